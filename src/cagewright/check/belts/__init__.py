"""The harness: its standards, mounts, bolts and tabs."""
