"""How long a cage takes to build: counts that the plan has, by the shop's own times or its recorded hours."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

from cagewright.base.answers import CANNOT_TELL, Value, figure
from cagewright.base.say import say
from cagewright.base.units import LengthUnit
from cagewright.job.opening import Job
from cagewright.job.trims import trims_of_job
from cagewright.make.weldmap import weld_map
from cagewright.shape.types import Cage, Cope, FlatCut
from cagewright.stock.rates import NO_TIMES, Times

Act = Literal["cut", "cope", "bend", "tack", "weld", "foot", "plate", "trim"]
ACTS: dict[Act, str] = {
    "cut": "saw cuts", "cope": "ends coped", "bend": "bends", "tack": "tubes set in place and tacked",
    "weld": "weld line", "foot": "foot plates", "plate": "plates and gussets", "trim": "cuts of the shell",
}  # fmt: skip
"""The words of the shop file's times, and what each is counted by."""
UNTOLD = "the shop file gives no times"
NO_TRIMS = "Cuts of the shell are not counted: the plan names no scan."


@dataclass(frozen=True, slots=True, kw_only=True)
class Recorded:
    """What the shop's record says of one kind of work: hours worked, on how many of them, in how many jobs.

    ``count`` is in mm for weld line.
    """

    act: Act
    hours: float
    count: float
    jobs: int


@dataclass(frozen=True, slots=True, kw_only=True)
class HoursRow:
    """One kind of work.

    Attributes:
        act: the shop file's word for it; empty for what every job takes.
        what: in words.
        count: how many, or how long a weld line.
        each: how long one takes, or so long a line.
        hours: count times each.
        basis: where ``each`` is from, in words, with what the record says beside it.
    """

    act: Act | Literal[""]
    what: str
    count: Value
    each: Value
    hours: Value
    basis: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Hours:
    """How long a cage takes.

    Attributes:
        total: of the rows that have a figure; ``at least`` where one has none.
        rows: each kind of work the plan has, and what every job takes.
        blanks: words of ``ACTS`` for which neither shop file nor record has a time.
        notes: what is not counted.
    """

    total: Value
    rows: tuple[HoursRow, ...]
    blanks: tuple[Act, ...]
    notes: tuple[str, ...]


def counts_of(cage: Cage) -> dict[Act, float]:
    """How much of each kind of work the cage is, without cuts of the shell; weld line in mm.

    A tube of the shop's own is sawn off the bar once, and once more at each end that is cut flat; what came
    bent or notched is not made again.
    """
    own = [m for m in cage.members if not m.bought]
    flat = sum(isinstance(e.cut, FlatCut) for m in own for e in m.ends)
    coped = sum(isinstance(e.cut, Cope) and not e.given for m in cage.members for e in m.ends)
    return {
        "cut": float(len(own) + flat), "cope": float(coped), "bend": float(sum(len(m.bends) for m in own)),
        "tack": float(len(cage.members)), "weld": weld_map(cage).length, "foot": float(len(cage.feet)),
        "plate": float(len(cage.plates) + len(cage.gussets)),
    }  # fmt: skip


def hours_of(job: Job, recorded: Sequence[Recorded] = ()) -> Hours:
    """The hours of the plan.

    The shop file's time counts where it gives one; where it gives none the recorded hours do.

    Args:
        job: the plan.
        recorded: what the shop's record says.

    Raises:
        ProblemsFound: the scan cannot be used.
    """
    return job.cache.get(("hours", job.key, tuple(recorded)), lambda: _hours(job, recorded))


def _hours(job: Job, recorded: Sequence[Recorded]) -> Hours:
    times, units = job.shop.times, job.cage.units
    if times == NO_TIMES and not recorded:
        return Hours(total=_untold(UNTOLD), rows=(), blanks=(), notes=())
    counts, notes = counts_of(job.cage), ()
    if job.plan.shell is not None and job.plan.shell.scan is not None:
        counts["trim"] = float(sum(t.standing == "trimmable" for t in trims_of_job(job)))
    else:
        notes = (NO_TRIMS,)
    read = {r.act: r for r in recorded}
    rows = [_row(act, count, times, read.get(act), units) for act, count in counts.items() if count]
    fixed = [_fixed(what, hours) for what, hours in times.each_job]
    blanks = tuple(row.act for row in rows if row.act and row.hours.value is None)
    return Hours(total=_total([*rows, *fixed]), rows=(*rows, *fixed), blanks=blanks, notes=notes)


def _row(act: Act, count: float, times: Times, read: Recorded | None, units: LengthUnit) -> HoursRow:
    given: float | None = getattr(times, act)
    why = f"the shop file gives no time for '{act}'"
    by_record = read.hours / read.count if read and read.count else None
    each = given if given is not None else by_record
    return HoursRow(
        act=act, what=ACTS[act],
        count=figure(count, "run", units) if act == "weld" else _number(count),
        each=_untold(why) if each is None
        else _each(act, each, units, measured=given is None),
        hours=_untold(why) if each is None else told_hours(each * count),
        basis=_basis(act, given, read, by_record, units),
    )  # fmt: skip


def _basis(
    act: Act, given: float | None, read: Recorded | None, by_record: float | None, units: LengthUnit
) -> str:
    record = ""
    if read is not None and by_record is not None:
        on = say(read.count, "run", units) if act == "weld" else f"{read.count:g}"
        jobs = f"{read.jobs} job{'' if read.jobs == 1 else 's'}"
        record = (
            f"record: {_each(act, by_record, units, measured=True).said} ({read.hours:.1f} h on {on}, {jobs})"
        )
    if given is None:
        return record or "blank: the shop file gives no time"
    return f"shop file; {record}" if record else "shop file"


def _fixed(what: str, hours: float) -> HoursRow:
    return HoursRow(
        act="", what=what, count=_number(1.0), each=told_hours(hours), hours=told_hours(hours),
        basis="shop file, every job",
    )  # fmt: skip


def _each(act: Act, hours: float, units: LengthUnit, *, measured: bool) -> Value:
    """How long one takes; of a weld line a metre or a foot of it."""
    run = {"mm": 1000.0}.get(units, 304.8) if act == "weld" else 1.0
    tail = {"mm": " a metre"}.get(units, " a foot") if act == "weld" else ""
    minutes = hours * run * 60.0
    said = f"{minutes / 60.0:.2f} h" if minutes >= 120.0 else f"{minutes:.1f} min".replace(".0 ", " ")
    return Value(
        value=hours * run, unit="h", said=said + tail, rests_on="measured" if measured else "plan",
        certainty="shop",
    )  # fmt: skip


def _number(count: float) -> Value:
    return Value(value=count, unit="", said=f"{count:g}", rests_on="plan")


def told_hours(hours: float, *, at_least: bool = False) -> Value:
    """Hours worked, as they are said."""
    mark = "≥ " if at_least else ""
    return Value(
        value=hours, unit="h", said=f"{mark}{hours:.1f} h", rests_on="estimate", certainty="shop",
        bound="at least" if at_least else "",
    )  # fmt: skip


def _untold(why: str) -> Value:
    return Value(value=None, unit="h", said=CANNOT_TELL, why=why)


def _total(rows: Sequence[HoursRow]) -> Value:
    told = [row.hours.value for row in rows if row.hours.value is not None]
    blanks = [f"'{row.act}'" for row in rows if row.hours.value is None]
    if not told:
        return _untold(UNTOLD)
    total = told_hours(sum(told), at_least=bool(blanks))
    return replace(total, why=f"the shop file gives no time for {', '.join(blanks)}") if blanks else total


def more_hours(after: Hours, before: Hours) -> Value:
    """What one way takes more than another, said with its sign; cannot tell where either is not whole."""
    a, b = after.total, before.total
    if a.value is None or b.value is None:
        return _untold(a.why or b.why)
    if a.bound or b.bound:
        return _untold(a.why or b.why)
    return replace(a, value=a.value - b.value, said=f"{a.value - b.value:+.1f} h")
