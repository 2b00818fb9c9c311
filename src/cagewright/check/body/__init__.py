"""The cage against the body shell and the driver in it."""
