"""Charts for lessons and books."""
