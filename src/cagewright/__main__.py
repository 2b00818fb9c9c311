"""``python -m cagewright``."""

from cagewright.cli import main

main()
