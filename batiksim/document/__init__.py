"""A cloth being edited: verbs, undo, autosave, frames, uploads. Knows nothing of the web."""
