"""A cage in one line to decide by: findings, sight, torch, the door's window and a way out, hours."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path

from cagewright.base.answers import CANNOT_TELL, Answer, Value, worst
from cagewright.base.cache import Cache
from cagewright.base.problems import ProblemsFound
from cagewright.base.say import say
from cagewright.base.sheet import Column, Table
from cagewright.base.units import LengthUnit
from cagewright.check.findings import CAUTION, LEVEL, Finding, Judge, stamp, strip, tally
from cagewright.check.sight.panorama import panorama
from cagewright.check.sight.paper import said_share
from cagewright.check.torch.findings import ACCESS
from cagewright.check.way_out import WayOut, ways_out
from cagewright.job.findings import findings_of
from cagewright.job.hours import hours_of
from cagewright.job.opening import Job
from cagewright.plan.types import Plan
from cagewright.shape.resolve import resolve
from cagewright.shape.types import Cage, driver_body
from cagewright.stock.shop import Shop

HEADS = {
    "books": "rule books", "own": "own checks", "sight": "hidden from both eyes", "torch": "torch",
    "window": "largest window of a door", "way out": "way out, for comparison", "hours": "hours",
}  # fmt: skip
FOR_COMPARISON = (
    "The way out is that of the ellipsoid of 49 CFR 571.217 S5.4.1 (20 by 13 in), made for the exits of "
    "buses, straight out sideways past the tubes: for comparison only."
)
NO_DOOR = "no body line called 'door opening'"


@dataclass(frozen=True, slots=True, kw_only=True)
class SummaryRow:
    """One figure of the summary; ``key`` is one of ``HEADS``."""

    key: str
    head: str
    value: Value


@dataclass(frozen=True, slots=True, kw_only=True)
class SummaryAnswer(Answer):
    """A cage in one line to decide by."""

    title: str
    revision: str
    rows: tuple[SummaryRow, ...]


def summary_of(job: Job) -> SummaryAnswer:
    """What else to decide by, beside mass, cost and strength.

    Raises:
        ProblemsFound: a rule book, the scan or a practice switch is not as it should be.
    """
    found = findings_of(job)
    values = {
        "books": _counted(found, "by the book"), "own": _counted(found, "own check"),
        "sight": _sight(job.cage), "torch": _torch(found), **_doors(job.cage),
        "hours": hours_of(job).total,
    }  # fmt: skip
    return SummaryAnswer(
        headline=stamp(found), level=worst(tuple(LEVEL[f.verdict] for f in found)),
        cautions=(CAUTION, FOR_COMPARISON), title=job.cage.title, revision=job.cage.revision,
        rows=tuple(SummaryRow(key=key, head=head, value=values[key]) for key, head in HEADS.items()),
    )  # fmt: skip


def case_summary(path: Path, plan: Plan, shop: Shop) -> SummaryAnswer | str:
    """The same of one case of a study, for a worker of its own; in words why there is none."""
    try:
        return summary_of(Job(path=path, plan=plan, shop=shop, cage=resolve(plan), cache=Cache()))
    except ProblemsFound as wrong:
        return f"{CANNOT_TELL}: {wrong.problems[0].found}"


def summary_table(title: str, rows: Sequence[tuple[str, str, SummaryAnswer | str]]) -> Table:
    """The summaries of several cages, a row for each: its letter, its name, and what came of it."""
    cells = (
        (*names, *((row.value.said for row in found.rows) if not isinstance(found, str) else
         (found, *("–" for _ in list(HEADS)[1:]))))
        for *names, found in rows
    )  # fmt: skip
    heads = ("", "alternative", *HEADS.values())
    return Table(
        title=f"{title}: to decide by", columns=tuple(Column(head=h) for h in heads), rows=tuple(cells)
    )


def _counted(found: Sequence[Finding], judge: Judge) -> Value:
    """What the stamp says of one judge's findings; the value is how many fail, None if none was checked."""
    counts = tally(found)
    fails = float(counts[judge]["fail"]) if any(counts[judge].values()) else None
    return Value(value=fails, unit="", said=strip(counts, judge))


def _sight(cage: Cage) -> Value:
    if driver_body(cage) is None:
        return Value(value=None, unit="%", said=CANNOT_TELL, why="nobody sits in the car")
    share = panorama(cage).share_both
    return Value(value=100.0 * share, unit="%", said=said_share(share))


def _torch(found: Sequence[Finding]) -> Value:
    """How many welds no torch gets all round."""
    rows = [f for f in found if f.rule == ACCESS]
    welds = {
        verdict: _welds(r for r in rows if r.verdict == verdict) for verdict in {r.verdict for r in rows}
    }
    every, open_ = set[str]().union(*welds.values()), welds.get("fail", set()) | welds.get("look at", set())
    untold = welds.get("cannot tell", set())
    if not every or untold:
        why = f"{len(untold)} of {len(every)} welds cannot be told" if untold else "no weld was looked at"
        return Value(value=None, unit="", said=CANNOT_TELL, why=why)
    said = f"{len(open_)} of {len(every)} welds not all round" if open_ else f"all {len(every)} welds"
    return Value(value=float(len(open_)), unit="", said=said)


def _welds(rows: Iterable[Finding]) -> set[str]:
    return {name for row in rows for name in (*row.where.joints, *row.where.feet)}


def _doors(cage: Cage) -> dict[str, Value]:
    doors = ways_out(cage)
    if not doors:
        untold = Value(value=None, unit="", said=CANNOT_TELL, why=NO_DOOR)
        return {"window": untold, "way out": untold}
    return {
        "window": Value(
            value=min(d.window for d in doors), unit="mm2",
            said=_sided((d.side, _area(d, cage.units)) for d in doors),
            plus_minus=max(d.window_doubt for d in doors),
        ),
        "way out": Value(
            value=min(d.share for d in doors), unit="", said=_sided((d.side, _passes(d)) for d in doors),
            plus_minus=max(d.doubt for d in doors), why="49 CFR 571.217 S5.4.1, for comparison only",
        ),
    }  # fmt: skip


def _area(door: WayOut, units: LengthUnit) -> str:
    return say(door.window, "area", units, places=0, plus_minus=door.window_doubt)


def _passes(door: WayOut) -> str:
    """Whether the stand-in passes, and the largest size of it that does."""
    size = f"{100.0 * door.share:.0f} % of its size"
    if abs(door.share - 1.0) <= door.doubt:
        return f"{CANNOT_TELL}, {size}"
    return f"passes, {size}" if door.share > 1.0 else f"does not pass, {size}"


def _sided(said: Iterable[tuple[str, str]]) -> str:
    """Both sides at once where they are alike, else each."""
    each = list(said)
    if len({words for _, words in each}) == 1 and len(each) > 1:
        return f"{each[0][1]}, either side"
    return "; ".join(f"{side}: {words}" for side, words in each)
