"""What a hand measures on a finished car, with what, for each measure of the rule books."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from types import MappingProxyType
from typing import Literal

Tool = Literal["tape", "calliper", "protractor", "gauge", "eye", "count", "papers", "test"]
PAPERS: Tool = "papers"


@dataclass(frozen=True, slots=True, kw_only=True)
class ByHand:
    """How one measure is taken by hand.

    Attributes:
        measure: a word of the rule books' vocabulary.
        what: what is measured or seen, from where to where.
        tool: with what.
        within: how near the tool reads, in the inside unit of the measure (a share where that is a ratio);
            0 where it counts or sees.
        nominal: the book's figure is the size a tube is sold by, so that ``within`` is its maker's tolerance.
        paper: the paper that says it, where the tool is papers.
    """

    measure: str
    what: str
    tool: Tool
    within: float = 0.0
    nominal: bool = False
    paper: str = ""


@cache
def hands() -> Mapping[str, ByHand]:
    """How each measure is taken by hand, by the measure's name."""
    text = files("cagewright.check").joinpath("data", "hand.toml").read_text(encoding="utf-8")
    return MappingProxyType({row["measure"]: ByHand(**row) for row in tomllib.loads(text)["hand"]})


def by_paper(measure: str) -> str:
    """The paper that says such a measure; empty where it is read off the steel, or is none of a book's."""
    hand = hands().get(measure)
    return hand.paper if hand else ""
