"""Base structures: a module each, and the table of them in ``every``."""
