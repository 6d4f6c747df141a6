"""Pictures of the cloth being edited, at the requested size and look."""
