"""The commands: thin over job. Exit codes: 0 done, 1 problems in the plan or failed findings, 2 wrong usage."""

from cagewright.cli.app import main

__all__ = ["main"]
