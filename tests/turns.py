"""What is slow takes turns: a run does a third of its files, the next commit's the next third."""

from __future__ import annotations

from zlib import crc32

TURNS = 3


def has_its_turn(file: str, turn: str) -> bool:
    """Whether the tests of the file run in that turn: a commit's number, or ``all``."""
    return turn == "all" or crc32(file.encode()) % TURNS == int(turn) % TURNS
