"""What the commands print."""
