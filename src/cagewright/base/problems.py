"""The builder's mistakes, located: collected while reading, raised once."""

from __future__ import annotations

import difflib
from collections.abc import Iterable
from dataclasses import dataclass, field


@dataclass(frozen=True, slots=True, kw_only=True, order=True)
class Where:
    """A spot in a text file; line and column count from 1, 0 where unknown."""

    file: str
    line: int = 0
    col: int = 0

    def __str__(self) -> str:
        return f"{self.file}:{self.line}:{self.col}" if self.line else self.file


@dataclass(frozen=True, slots=True, kw_only=True)
class Problem:
    """One mistake in what the builder wrote.

    Attributes:
        code: short fixed word for the kind of mistake, e.g. ``unknown-key``.
        where: the spot in the file.
        found: what stands there, in the builder's words.
        wanted: what would have been right.
        nearest: the nearest known word, where a slip of the pen is likely.
        point: where in the car it is, mm, where it is at a place.
    """

    code: str
    where: Where
    found: str
    wanted: str
    nearest: str | None = None
    point: tuple[float, float, float] | None = field(default=None, compare=False)

    def __str__(self) -> str:
        hint = f" Did you mean '{self.nearest}'?" if self.nearest else ""
        return f"{self.where}: {self.found}; {self.wanted}.{hint} [{self.code}]"


class ProblemsFound(Exception):
    """Every problem found in one pass, in file order.

    Attributes:
        problems: at least one problem, sorted by file, line and column.
    """

    def __init__(self, problems: Iterable[Problem]) -> None:
        self.problems: tuple[Problem, ...] = tuple(sorted(problems, key=lambda p: (p.where, p.code)))
        if not self.problems:
            raise ValueError("ProblemsFound needs at least one problem")
        super().__init__("\n".join(str(p) for p in self.problems))


def nearest_word(word: str, known: Iterable[str]) -> str | None:
    """The known word closest to ``word``, or None where none is close."""
    words = {k.lower(): k for k in known}
    hits = difflib.get_close_matches(word.lower(), words, n=1, cutoff=0.6)
    return words[hits[0]] if hits else None


def printable(text: str, *, keep: str = "") -> str:
    """The text with unprintable characters written out, but for those to ``keep``."""
    if text.isprintable():
        return text
    return "".join(c if c.isprintable() or c in keep else f"\\u{ord(c):04x}" for c in text)
