"""A plan under edit: its revisions, undo and redo, its file on the disk."""
