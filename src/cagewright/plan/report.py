"""Where problems of a merged plan are collected."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import dataclass, field
from itertools import islice

from cagewright.base.problems import Problem, Where, nearest_word
from cagewright.plan.source import Keys, Sources, home, label_at, label_of, where_in
from cagewright.plan.text import shown

MOST = 200
"""Most problems reported of one reading."""

MOST_LOOKS = 10_000
"""Words compared in search of nearest ones, in one reading: the search is slow."""


def more_problems(count: int, where: Where) -> Problem:
    """The problem that stands for ``count`` more."""
    return Problem(
        code="more-problems",
        where=where,
        found=f"there are {count} more problems",
        wanted="wanted the ones shown mended first",
    )


def near(word: str, known: Iterable[str]) -> str | None:
    """The known word closest to ``word``, looked for only where ``word`` is short enough to be a slip."""
    return nearest_word(word, (k for k in known if k.isprintable())) if len(word) <= 60 else None


def listed(names: Collection[str]) -> str:
    """The first twenty names, and dots where there are more."""
    return ", ".join(shown(name) for name in islice(names, 20)) + (", ..." if len(names) > 20 else "")


@dataclass(slots=True)
class ProblemReport:
    """Collects problems found in the merged plan, of which the first ``MOST`` are told."""

    sources: Sources
    told: list[Problem] = field(default_factory=list[Problem])
    count: int = 0
    looks: int = 0

    def add(
        self, code: str, keys: Keys, found: str, wanted: str, *, like: tuple[str, Iterable[str]] | None = None
    ) -> None:
        """Adds a problem at ``keys``; ``like`` is a word and the words that it may stand for."""
        if self.passed_over():
            return
        self.count += 1
        nearest = self._near(*like) if like else None
        where = where_in(self.sources, keys)
        self.told.append(Problem(code=code, where=where, found=found, wanted=wanted, nearest=nearest))

    def passed_over(self) -> bool:
        """Counts one more and says True where as many are told as will be, so that it needs no words."""
        if len(self.told) < MOST:
            return False
        self.count += 1
        return True

    def _near(self, word: str, known: Iterable[str]) -> str | None:
        words = list(known)
        self.looks += len(words)
        return near(word, words) if self.looks <= MOST_LOOKS else None

    def label(self, keys: Keys) -> str:
        """The keys as the builder wrote them."""
        source = home(self.sources, keys)
        return label_at(source, keys) if source else label_of(keys)

    def problems(self) -> list[Problem]:
        """The problems told, and how many more there are."""
        rest = self.count - len(self.told)
        return [*self.told, more_problems(rest, where_in(self.sources, ()))] if rest else self.told
