"""Dyes in pots: colours, recipes, matches, overlays, and what is mud."""
