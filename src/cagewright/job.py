"""The only composer: runs the stages of one job in order, and keeps each result by the hash of its inputs."""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable, Hashable
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import Any, TypeVar, cast

from cagewright.check.findings import Finding, worst_first
from cagewright.check.judge import check_books
from cagewright.check.library import find_books
from cagewright.plan.shop import read_job
from cagewright.plan.types import Plan, where_of
from cagewright.shape.resolve import resolve
from cagewright.shape.types import Cage
from cagewright.stock.shop import Shop

T = TypeVar("T")
Step = Callable[[str, float], None]
"""Told what is being done and the share done, 0 to 1."""


def unheard(doing: str, share: float) -> None:
    """Take no notice of progress."""


class Kept:
    """Results of stages by the hash of their inputs; the ``most`` newest stay."""

    def __init__(self, most: int = 200) -> None:
        self._most = most
        self._results: OrderedDict[Hashable, Any] = OrderedDict()

    def get(self, stage: str, key: Hashable, make: Callable[[], T]) -> T:
        """The stage's result for inputs of that hash, made now if it is not kept."""
        whole = (stage, key)
        if whole not in self._results:
            self._results[whole] = make()
        self._results.move_to_end(whole)
        while len(self._results) > self._most:
            self._results.popitem(last=False)
        return cast("T", self._results[whole])


@dataclass(frozen=True, slots=True, kw_only=True)
class Job:
    """One plan, read and resolved.

    Attributes:
        path: the plan file.
        plan: as read.
        shop: the plan's shop, or ``NO_SHOP``.
        cage: what will be built.
        kept: results of later stages.
    """

    path: Path
    plan: Plan
    shop: Shop
    cage: Cage
    kept: Kept

    @property
    def key(self) -> Hashable:
        """Hash of what every later stage depends on."""
        return (self.cage.revision, self.shop)


def open_job(path: Path, kept: Kept | None = None) -> Job:
    """The job of that plan file.

    Raises:
        ProblemsFound: every problem of the plan's text, or of its geometry.
    """
    kept = kept or Kept()
    plan, shop = read_job(path)
    cage = resolve(plan, partial(where_of, plan))
    return Job(path=path, plan=plan, shop=shop, cage=cage, kept=kept)


def rule_findings(job: Job) -> tuple[Finding, ...]:
    """The findings of the rule books that the plan's car answers to, worst first.

    Raises:
        ProblemsFound: a book is not known or has problems of its own.
    """
    names = job.plan.car.rules if job.plan.car else ()
    books = find_books(names, job.path.parent, where_of(job.plan, ("car", "rules")))
    return worst_first(job.kept.get("rules", (job.key, repr(books)), lambda: check_books(job.cage, books)))
