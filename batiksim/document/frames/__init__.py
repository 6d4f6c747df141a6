"""Pictures of the cloth being edited, at the size and in the look that is asked for."""
