"""The workshop sheet and the risk sheet."""
