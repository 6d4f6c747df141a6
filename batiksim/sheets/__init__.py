"""Values to pages: plates on a line, charts, handouts, tracing sheets."""
