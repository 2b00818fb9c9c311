"""One file a version, oldest first; a file that has been released is never changed."""
