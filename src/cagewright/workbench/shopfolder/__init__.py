"""The shop folder: its plans and its surveys."""
