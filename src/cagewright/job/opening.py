"""One plan, opened: read, resolved, and with the results of later stages kept beside it."""

from __future__ import annotations

from collections.abc import Callable, Hashable
from dataclasses import dataclass
from functools import partial
from pathlib import Path

from cagewright.base.cache import Cache
from cagewright.base.problems import Problem
from cagewright.plan.shop import read_job, read_job_source
from cagewright.plan.text import Source
from cagewright.plan.types import Plan, where_of
from cagewright.shape.drafts import points_of
from cagewright.shape.resolve import resolve, with_blemishes
from cagewright.shape.scan import Scan, read_scan
from cagewright.shape.shell import metal_of
from cagewright.shape.types import Cage
from cagewright.stock.shop import Shop

Step = Callable[[str, float], None]
"""Told what is being done and the share done, 0 to 1."""


def no_progress(doing: str, share: float) -> None:
    """For work whose progress nobody asked for."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Job:
    """One plan, read and resolved.

    Attributes:
        shop: the plan's shop, or ``NO_SHOP``.
        cage: what will be built.
        cache: results of later stages.
    """

    path: Path
    plan: Plan
    shop: Shop
    cage: Cage
    cache: Cache

    @property
    def key(self) -> Hashable:
        """Hash of what every later stage depends on."""
        return (self.cage.revision, self.shop)


def open_job(path: Path, cache: Cache | None = None) -> Job:
    """The job of that plan file.

    Raises:
        ProblemsFound: every problem of the plan's text, or of its geometry.
    """
    return _job(path, *read_job(path), cache)


def job_of(text: Source, path: Path, cache: Cache | None = None) -> Job:
    """The job of a plan's text that is to stand in the file ``path``, whatever stands there now.

    Raises:
        ProblemsFound: every problem of the plan's text, or of its geometry.
    """
    return _job(path, *read_job_source(text, path.parent), cache)


def shown_job(text: Source, path: Path, cache: Cache | None = None) -> tuple[Job, tuple[Problem, ...]]:
    """The job of a text whose cage cannot be made yet, only to be shown, and what has to be put right.

    Raises:
        ProblemsFound: there is nothing to show.
    """
    plan, shop = read_job_source(text, path.parent)
    cage, blemishes = with_blemishes(plan, partial(where_of, plan))
    return Job(path=path, plan=plan, shop=shop, cage=cage, cache=cache or Cache()), blemishes


def _job(path: Path, plan: Plan, shop: Shop, cache: Cache | None) -> Job:
    cage = resolve(plan, partial(where_of, plan))
    return Job(path=path, plan=plan, shop=shop, cage=cage, cache=cache or Cache())


_SCANS = Cache(most=2)
"""The scans read last: a large one takes seconds and hundreds of MB."""


def scan_of(job: Job) -> Scan | None:
    """The scan of the shell that the plan names, placed in the car; None where it names none.

    Raises:
        ProblemsFound: the file is missing, broken, or cannot be a car in those units.
    """
    entry = job.plan.shell.scan if job.plan.shell else None
    if entry is None:
        return None
    points = {name: (float(p[0]), float(p[1]), float(p[2])) for name, p in points_of(job.plan).items()}
    where = where_of(job.plan, ("shell", "scan"))
    metal = metal_of(job.cage)
    file = job.path.parent / entry.file
    stamp = (file.stat().st_mtime_ns, file.stat().st_size) if file.is_file() else None
    key = (file, stamp, entry, tuple(points.items()), metal.tobytes(), where)
    return _SCANS.get(key, lambda: read_scan(entry, job.path.parent, points=points, metal=metal, where=where))
