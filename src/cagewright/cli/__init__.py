"""The commands: thin over job. Exit codes: 0 done, 1 problems or failed findings, 2 wrong usage."""

from cagewright.cli.app import main

__all__ = ["main"]
