"""The handout of a class."""
