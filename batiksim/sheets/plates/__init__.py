"""Plates on a line: the sheet of stages, the moving picture."""
