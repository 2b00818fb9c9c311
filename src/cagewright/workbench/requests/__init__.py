"""What is asked of an open plan beside its pages: edits, files, long work."""
