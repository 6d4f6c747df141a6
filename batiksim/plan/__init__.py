"""Decisions on top of the cloth: checks and stages."""
