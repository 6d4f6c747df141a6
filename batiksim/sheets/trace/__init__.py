"""True-size sheets to trace onto cloth."""
