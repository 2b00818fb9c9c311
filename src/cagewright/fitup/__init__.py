"""Fitting up: build order, marks and readings, where each tube really is, what to pull, weld shrinkage."""
