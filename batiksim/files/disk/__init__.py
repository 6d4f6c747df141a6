"""Writing that is whole or not at all, locks, and names that stay in their folder."""
