"""Answers about the examples, worked out once for every test of a process that asks."""

from cagewright.base.cache import Cache

KEPT = Cache(most=600)
"""Handed to ``open_job``, or to commands and pages by the fixture ``kept_answers``."""
