"""A step of the build as the Fit-up page shows it, and what its readings come to."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import partial
from typing import Any

import numpy as np

from cagewright.base.cautions import CAUTIONS
from cagewright.base.outliers import Outlier
from cagewright.base.problems import Problem
from cagewright.base.say import say_angle, say_length
from cagewright.base.units import LengthUnit
from cagewright.fitup.adjust import Adjusted
from cagewright.fitup.arrows import arrows_of
from cagewright.fitup.choose import Choice, most_helpful, unchecked_words
from cagewright.fitup.force import close_gap, root_gap_words
from cagewright.fitup.marks import Mark, marks_of
from cagewright.fitup.network import AXES, Reading
from cagewright.fitup.order import Step, broken_by, build_order, within_for
from cagewright.fitup.pull import EndStands, joint_gaps, stands_of
from cagewright.fitup.readings import FitUp, adjusted_readings, fitup_of
from cagewright.fitup.sheet import head_at, step_readings
from cagewright.frame.errors import FrameError
from cagewright.job.opening import Job, scan_of
from cagewright.make.weldmap import throat_for
from cagewright.records.fitting import reading_line, says
from cagewright.records.nouns import Entry
from cagewright.shape.drafts import points_of
from cagewright.shape.shell import shell_of
from cagewright.shape.types import Cage, member_named

LEAN_WITHIN = np.radians(0.3)
"""How far a lean may be out before the next step: 0.3 degrees, common practice, no source."""
STRETCH = 20.0
"""Arrows on the cage are this many times as long as the pull, which could not be seen otherwise."""
GAP_TOLD = 0.5
"""Root gaps under this are not told of, mm."""


# --- the steps


def marks_for(job: Job) -> tuple[Mark, ...]:
    """Every mark of the cage and the car, kept with the job."""
    return job.cache.get(("marks", job.key), lambda: marks_of(job.cage, points_of(job.plan)))


def steps_for(job: Job, moves: dict[str, int]) -> tuple[Step, ...]:
    """The steps of the build with the builder's moves, kept with the job."""
    key = (job.key, tuple(sorted(moves.items())))
    return job.cache.get(
        ("build order", key),
        lambda: build_order(job.cage, shell_of(job.cage, scan_of(job)), moves=moves),
    )


def broken_words(job: Job, moves: dict[str, int]) -> list[str]:
    """What the builder's moves break that the proposed order does not."""
    if not moves:
        return []
    shell = shell_of(job.cage, scan_of(job))
    usual = {b.what for b in broken_by(job.cage, shell, steps_for(job, {}))}
    return [b.words for b in broken_by(job.cage, shell, steps_for(job, moves)) if b.what not in usual]


def step_row(step: Step) -> dict[str, Any]:
    """The step as values; ``slow`` where choosing its readings takes seconds."""
    return {
        "number": step.number, "title": step.title, "where": step.where, "tack": list(step.tack),
        "weld": list(step.weld), "notes": list(step.notes), "slow": is_slow(step),
    }  # fmt: skip


def is_slow(step: Step) -> bool:
    """Whether the readings of the step take seconds to choose: all tubes are loose at a step of welds."""
    return not step.tack and bool(step.weld)


def choices_of(job: Job, steps: Sequence[Step], number: int) -> list[dict[str, Any]]:
    """The readings to take at a step, as values."""
    found = step_readings(job.cage, marks_for(job), steps, number)
    return [choice_row(i, c, job.cage.units) for i, c in enumerate(found, start=1)]


def choice_row(number: int, choice: Choice, units: LengthUnit) -> dict[str, Any]:
    """One reading to take: between which marks, what the plan says, and within how much."""
    r = choice.reading
    lean = r.kind == "lean"
    within = float(LEAN_WITHIN) if lean else within_for(abs(r.seen))
    return {
        "number": number, "kind": r.kind, "a": r.a, "b": r.b,
        "axis": AXES[r.axis] if r.kind in {"lean", "place"} else "",
        "plan": round(r.seen, 5 if lean else 2), "plan_words": said(r.seen, units, lean=lean),
        "within": round(within, 5), "within_words": said(within, units, lean=lean, short=True),
        "why": choice.why,
    }  # fmt: skip


def said(value: float, units: LengthUnit, *, lean: bool, short: bool = False) -> str:
    """A reading in words: mm to the half, a mark on an inch tape, or degrees."""
    if lean:
        return say_angle(value, places=1)
    if units == "mm":
        return f"{value:.0f} mm" if short else say_length(value, units)
    return say_length(value, units).partition(" (")[0]


def mark_row(mark: Mark, units: LengthUnit) -> dict[str, Any]:
    """Where to punch a mark."""
    return {
        "name": mark.name, "member": mark.member, "face": mark.face, "what": mark.what,
        "along": said(mark.along, units, lean=False) if mark.member else "",
        "point": np.round(mark.point, 1).tolist(),
    }  # fmt: skip


def entry_row(entry: Entry) -> dict[str, Any]:
    """A line of the record as the page shows it."""
    return {
        "line": entry.id, "kind": entry.sort or entry.kind, "a": entry.subject, "b": entry.other,
        "axis": entry.axis, "says": says(entry) if entry.kind == "reading" else entry.text,
        "value": entry.value, "used": entry.used, "why": entry.why, "by": entry.by, "taken": entry.taken,
    }  # fmt: skip


# --- what the readings come to


@dataclass(frozen=True, slots=True, kw_only=True)
class Found:
    """A step's readings and where they have everything; ``adjusted`` is None where nothing can move."""

    fit: FitUp
    adjusted: Adjusted | None


def found_at(job: Job, steps: Sequence[Step], number: int, entries: Sequence[Entry]) -> Found:
    """Where the step's readings have every tube."""
    lines = [reading_line(e) for e in entries]
    fit = fitup_of(head_at(job.cage, steps, number), lines, job.cage, marks_for(job))
    return Found(fit=fit, adjusted=adjusted_readings(fit) if fit.net.bodies and fit.used else None)


def square(job: Job, found: Found, *, within: float, welded: Sequence[str]) -> dict[str, Any]:
    """How every end stands, what does not fit, what to pull and what that takes, as values."""
    fit, adjusted = found.fit, found.adjusted
    if adjusted is None:
        return {"told": False, "not_used": [_not_used(p) for p in fit.problems], "cautions": list(CAUTIONS)}
    units = job.cage.units
    stands = stands_of(job.cage, adjusted, within=within, units=units)
    there = sorted({m.member for m in fit.net.marks if m.member})
    return {
        "told": True,
        "used": len(adjusted.checks),
        "datum": adjusted.net.held,
        "scatter": round(adjusted.unit_sigma, 2),
        "fits": adjusted.fits,
        "loose": list(adjusted.loose),
        "slips": [slip_row(s, units) for s in adjusted.outliers],
        "not_used": [_not_used(p) for p in fit.problems],
        "unchecked": _unchecked(adjusted),
        "ends": [_end(job, s, there, welded) for s in stands],
        "arrows": _arrows(adjusted, stands, units),
        "stretch": STRETCH,
        "gaps": _gaps(job, adjusted),
        "read_next": _read_next(job, adjusted),
        "cautions": list(CAUTIONS),
    }


def _not_used(problem: Problem) -> str:
    return f"{problem.found}; {problem.wanted}"


def slip_row(slip: Outlier[Reading], units: LengthUnit) -> dict[str, Any]:
    """A reading that the others contradict, in words."""
    lean = slip.reading.kind == "lean"
    seen, others = said(slip.reading.seen, units, lean=lean), said(slip.others, units, lean=lean)
    alike = f" It may be {' or '.join(r.name for r in slip.alike)} instead." if slip.alike else ""
    words = f"{slip.reading.name} says {seen}; the others make it {others}: read it again.{alike}"
    return {"a": slip.reading.a, "b": slip.reading.b, "kind": slip.reading.kind, "words": words}


def _unchecked(adjusted: Adjusted) -> list[str]:
    return [
        f"{c.reading.name}: {unchecked_words(c.checked)}"
        for c in adjusted.checks
        if not np.isfinite(c.smallest)
    ]


def _end(job: Job, stands: EndStands, there: Sequence[str], welded: Sequence[str]) -> dict[str, Any]:
    row: dict[str, Any] = {
        "member": stands.member, "mark": stands.mark, "end": stands.end, "stands": stands.stands,
        "off": np.round(stands.off, 1).tolist(), "sure": np.round(stands.sure, 1).tolist(),
        "words": stands.words, "closing": None,
    }  # fmt: skip
    if stands.stands == "out":
        row["closing"] = closing_of(job, stands, there, welded)
    return row


def closing_of(job: Job, stands: EndStands, there: Sequence[str], welded: Sequence[str]) -> dict[str, Any]:
    """What it takes to pull the end home: now, and with everything else welded."""
    end = f"{stands.member}.{stands.mark.rpartition('.')[2]}"
    closing = partial(close_gap, job.cage, end, -stands.off, present=there)
    every = [*(j.name for j in job.cage.joints), *(f.name for f in job.cage.feet)]
    try:
        now, then = closing(welded=welded), closing(welded=every)
    except FrameError as wrong:
        return {"how": "cannot tell", "words": f"cannot tell what it takes: {'; '.join(wrong.messages)}"}
    return {
        "how": now.how, "force": round(now.force), "stress": round(now.stress), "in": now.member,
        "words": now.words.partition(": ")[2],
        "then_how": then.how, "then_words": f"with all else welded {then.force:.0f} N",
    }  # fmt: skip


def _arrows(adjusted: Adjusted, stands: Sequence[EndStands], units: LengthUnit) -> list[dict[str, Any]]:
    return [
        {
            "mark": a.mark, "member": a.member, "stands": a.stands, "words": a.words,
            "from": np.round(a.start, 1).tolist(), "to": np.round(a.stop, 1).tolist(),
        }
        for a in arrows_of(adjusted, stands, stretch=STRETCH, units=units)
        if a.stands == "out"
    ]  # fmt: skip


def _gaps(job: Job, adjusted: Adjusted) -> list[dict[str, Any]]:
    return [
        {
            "joint": g.joint, "open": round(g.open, 1), "overlap": round(g.overlap, 1),
            "sure": round(g.sure, 1),
            "words": f"root gap {root_gap_words(g.open, _throat(job.cage, g.joint))}",
        }
        for g in joint_gaps(job.cage, adjusted)
        if max(g.open, g.overlap) > GAP_TOLD
    ]  # fmt: skip


def _throat(cage: Cage, name: str) -> float:
    joint = next(j for j in cage.joints if j.name == name)
    return throat_for(*(member_named(cage, m).tube.wall for m in (joint.branch, *joint.mains)))


def _read_next(job: Job, adjusted: Adjusted) -> list[dict[str, Any]]:
    readings: list[Reading] = [c.reading for c in adjusted.checks]
    more = most_helpful(adjusted.net, job.cage, readings, adjusted.state)
    return [choice_row(i, c, job.cage.units) for i, c in enumerate(more, start=1)]
