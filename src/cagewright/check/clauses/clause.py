"""The shape of a clause's own function."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from cagewright.check.bench import Gauged
from cagewright.check.readings import YesNo
from cagewright.check.rules import Rule
from cagewright.shape.types import Cage


@dataclass(frozen=True, slots=True, kw_only=True)
class Clause:
    """A clause that no measure can say."""

    name: str
    meaning: str
    passes: str
    fails: str
    take: Callable[[Cage, Rule, Gauged], tuple[YesNo, ...]]
