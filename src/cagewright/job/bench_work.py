"""What is joined on the bench: its welds, how it lies, and what to expect when it stands in the car."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from cagewright.base.answers import Answer, Level, Value, figure
from cagewright.base.names import listed, shown
from cagewright.base.say import say, say_length
from cagewright.base.sheet import Column, Table
from cagewright.base.units import LengthUnit
from cagewright.base.vectors import Vector
from cagewright.check.torch.poses import torch_with
from cagewright.check.torch.weld_position import SOURCE
from cagewright.fitup.bench_drift import BenchEnd
from cagewright.fitup.bench_first import SURE
from cagewright.fitup.bench_said import BenchSaid, bench_said, holds_flat
from cagewright.fitup.bench_work import BenchPlan, LeftOpen, bench_plan
from cagewright.fitup.marks import end_words
from cagewright.fitup.order import BenchWork, within_for
from cagewright.fitup.pull import off_words
from cagewright.fitup.shrink import FIGURES, PRIOR_SPREAD
from cagewright.fitup.weldstep import first_words
from cagewright.job.opening import Job
from cagewright.shape.shell import Shell
from cagewright.shape.types import member_named

WORTH_SETTING = 0.75
"""A movement smaller than this is not spoken of, mm: no tack is set finer."""
AS_DRAWN = 1.5
"""A root gap up to this is welded as drawn, mm (AWS D1.1, 1/16 in; second-hand)."""
AS_PLANNED = "stands as planned"
UP_WORDS = (("front", "rear"), ("left side", "right side"), ("underside", "top"))


@dataclass(frozen=True, slots=True, kw_only=True)
class BenchWeldRow:
    """One weld between tubes of the bench work.

    Attributes:
        joint: its name.
        done: welded on the bench, or only tacked there.
        why: it is only tacked, in a sentence; else empty.
        begin: the side that it is begun on, in words; empty where it is only tacked.
        length: of the weld.
        bench: of it in PA or PB in some way of lying on the bench.
        car: the same upright in the car.
    """

    joint: str
    done: Literal["welded", "tacked"]
    why: str
    begin: str
    length: Value
    bench: Value
    car: Value


@dataclass(frozen=True, slots=True, kw_only=True)
class BenchEndRow:
    """An end that meets something only in the car.

    Attributes:
        end: its name.
        words: which it is.
        gap: to expect there in the car along the tube, more than 0 where it stands open.
        aside: how far off it stands beside that.
        said: what to do.
        level: how it stands.
    """

    end: str
    words: str
    gap: Value
    aside: Value
    said: str
    level: Level


@dataclass(frozen=True, slots=True, kw_only=True)
class LieRow:
    """One way the work lies on the bench, and how much more weld is made in PA or PB so."""

    words: str
    length: Value


@dataclass(frozen=True, slots=True, kw_only=True)
class BenchWorkAnswer(Answer):
    """What is done on the bench.

    Attributes:
        tubes: the first is the one that the others are set to.
        welds: the ones made there in the order to make them, then the ones only tacked.
        lies: ways to lay it, in turn.
        ends: that meet something only in the car, what asks for the most first.
        notes: sentences on clamps and on what is left open.
        rests_on: what the figures rest on, each with its source.
        tables: the welds, how to lay the work and what to expect in the car, laid out.
    """

    tubes: tuple[str, ...]
    welds: tuple[BenchWeldRow, ...]
    lies: tuple[LieRow, ...]
    ends: tuple[BenchEndRow, ...]
    notes: tuple[str, ...]
    rests_on: tuple[str, ...]
    tables: tuple[Table, ...]
    units: LengthUnit


def bench_said_in(job: Job) -> BenchSaid | None:
    """What the plan says of the bench work.

    Raises:
        ProblemsFound: it cannot be so.
    """
    return job.cache.get(("bench said", job.key), lambda: bench_said(job.plan, job.cage))


def bench_plan_of(job: Job, shell: Shell, tubes: tuple[str, ...]) -> BenchPlan:
    """What is done with those tubes on the bench."""
    torch, factor = torch_with(job.shop.nozzle), job.shop.weld_shrinkage
    make = lambda: bench_plan(job.cage, shell, tubes, torch=torch, factor=factor)  # noqa: E731
    return job.cache.get(("bench plan", job.key, tubes), make)


def bench_for_order(job: Job, shell: Shell) -> BenchWork | None:
    """What the order takes from the plan's bench work; None where the plan says nothing of it.

    Raises:
        ProblemsFound: what the plan says cannot be so.
    """
    said = bench_said_in(job)
    if said is None:
        return None
    found = bench_plan_of(job, shell, said.tubes)
    made = tuple(bead.joint for bead in found.drift.beads)
    return BenchWork(tubes=said.tubes, welds=made, notes=_notes(job, found, said))


def bench_work_of(job: Job, shell: Shell, tubes: tuple[str, ...], said: BenchSaid | None) -> BenchWorkAnswer:
    """What is done with those tubes on the bench.

    Args:
        job: the plan, opened.
        shell: what is known of the body.
        tubes: the first is the one that the others are set to.
        said: what the plan says of them; None where it does not.
    """
    found, units = bench_plan_of(job, shell, tubes), job.cage.units
    begin = {b.joint: first_words(job.cage, b) for b in found.drift.beads}
    opened = {o.weld.name: o for o in found.opened}
    by_name = {w.name: w for w in (*found.welds, *(o.weld for o in found.opened))}
    rows = tuple(
        BenchWeldRow(
            joint=name, done="tacked" if name in opened else "welded",
            why=_why(job, opened[name]) if name in opened else "", begin=begin.get(name, ""),
            length=_mm(by_name[name].length, units), bench=_mm(by_name[name].bench, units),
            car=_mm(by_name[name].car, units),
        )
        for name in (*begin, *opened)
    )  # fmt: skip
    ends = [_end(job, found, e, m) for e, m in zip(found.drift.ends, found.drift.moves, strict=True)]
    ends.sort(key=lambda e: -abs(e.gap.value or 0.0) - abs(e.aside.value or 0.0))
    lies = tuple(LieRow(words=lie_words(up), length=_mm(made, units)) for up, made in found.turns)
    whole = sum(w.length for w in found.welds)
    easy, all_of = (say(v, "run", units) for v in (found.easy, whole))
    return BenchWorkAnswer(
        headline=f"{_so_many(len(found.welds), 'weld')} made on the bench, {easy} of {all_of} lying in PA or "
        f"PB; {_so_many(len(found.opened))} only tacked there."
        if found.welds
        else "Nothing is welded on the bench: all of it is only tacked there.",
        level="fine" if found.welds else "look at",
        tubes=found.tubes,
        welds=rows,
        lies=lies,
        ends=tuple(ends),
        notes=(*_notes(job, found, said), *_fine(ends)),
        rests_on=(SOURCE, *(f"{what}: {shrinks} ({source})" for what, shrinks, source in FIGURES)),
        tables=_tables(rows, lies, ends),
        units=units,
    )


WELD_HEADS = ("weld", "done", "begin", "length", "PA or PB on the bench", "in the car", "why")
END_HEADS = ("end", "gap (less than 0: it runs in)", "aside", "what to do")


def _tables(
    welds: Sequence[BenchWeldRow], lies: Sequence[LieRow], ends: Sequence[BenchEndRow]
) -> tuple[Table, ...]:
    """Of the ends only those that want something done: how many do not, a note says."""
    laid = (
        ("Welds", WELD_HEADS, [
            (shown(w.joint), w.done, w.begin or "–", w.length.said, w.bench.said, w.car.said, w.why or "–")
            for w in welds
        ]),
        ("How to lay it", ("lay it", "weld"), [(x.words, x.length.said) for x in lies]),
        ("When it stands in the car", END_HEADS, [
            (e.words, e.gap.said, e.aside.said, e.said) for e in ends if e.level != "fine"
        ]),
    )  # fmt: skip
    return tuple(
        Table(title=title, columns=tuple(Column(head=h) for h in heads), rows=tuple(rows))
        for title, heads, rows in laid
        if rows
    )


def _so_many(number: int, what: str = "") -> str:
    many = f"{what}{'' if number == 1 or not what else 's'}"
    return f"{number} {many} {'is' if number == 1 else 'are'}".replace("  ", " ")


def _mm(value: float, units: LengthUnit) -> Value:
    return figure(value, "length", units, places=0)


def lie_words(up: Vector) -> str:
    """How the work lies: ``upside down``, ``with its left side up``, ``propped half way, ...``."""
    parts = [
        UP_WORDS[i][int(up[i] > 0.0)] for i in np.argsort(-np.abs(up), kind="stable") if abs(up[i]) > 0.1
    ]
    if len(parts) == 2:
        return f"propped half way, its {parts[0]} and {parts[1]} up"
    usual = {"top": "upright as in the car", "underside": "upside down"}
    return usual.get(parts[0], f"with its {parts[0]} up")


def _why(job: Job, opened: LeftOpen) -> str:
    weld, units = opened.weld, job.cage.units
    if not opened.lean:
        return f"a torch reaches only {100.0 * opened.share:.0f} % of it there"
    if opened.lean != weld.branch:
        return f"{shown(opened.lean)}, which it lands on, is only tacked"
    doubt, allowed = (say_length(v, units, places=0) for v in (weld.doubt, weld.allowed))
    return (
        f"its far end has yet to find {listed(sorted(weld.far))}, and the weld's lean may leave it {doubt} "
        f"either way; {allowed} is allowed"
    )


def _notes(job: Job, found: BenchPlan, said: BenchSaid | None) -> tuple[str, ...]:
    clamps = said.clamps if said else ()
    held = listed([shown(c.name) for c in clamps])
    lies = "; then ".join(lie_words(up) for up, _ in found.turns)
    last = found.drift.beads[0].joint if found.drift.beads else ""
    return (
        f"Clamp it at {held} before its tubes are tacked."
        if clamps
        else "Clamp it true before its tubes are tacked.",
        *(
            ["The clamps do not hold it against turning: wanted three, not all in a line."]
            if clamps and not holds_flat(clamps)
            else ()
        ),
        *([f"Begin with {shown(last)}. Lay it {lies}."] if last and lies else ()),
        *(f"Left open on purpose: {shown(o.weld.name)}: {_why(job, o)}." for o in found.opened),
    )


def _fine(ends: list[BenchEndRow]) -> list[str]:
    """How many of the ends want nothing done, and by how much the worst of them is out."""
    fine = [e for e in ends if e.level == "fine"]
    if not fine:
        return []
    worst = max(fine, key=lambda e: abs(e.gap.value or 0.0) + (e.aside.value or 0.0))
    return [
        f"{len(fine)} of {len(ends)} ends want nothing done: at most {worst.gap.said} along and "
        f"{worst.aside.said} aside ({worst.words})."
    ]


def _end(job: Job, found: BenchPlan, end: BenchEnd, move: Vector) -> BenchEndRow:
    cage, units = job.cage, job.cage.units
    i = int(end.name.endswith(".end"))
    owner = end.name.rpartition(".")[0]
    words = f"{shown(owner)}, {end_words(member_named(cage, owner), i)}, at {listed(end.meets)}"
    if end.own and end.member not in found.held:
        why = "its tube is only tacked on the bench"
        blank = figure(None, "length", units, why=why)
        said = "only tacked: set it where the plan has it once the work stands, then weld"
        return BenchEndRow(end=end.name, words=words, gap=blank, aside=blank, said=said, level="look at")
    along = float(move @ end.out)
    aside = float(np.sqrt(max(float(move @ move) - along**2, 0.0)))
    open_by = -along if end.own else along
    doubt = SURE * PRIOR_SPREAD
    said, level = _to_do(job, end, move, open_by)
    return BenchEndRow(
        end=end.name, words=words,
        gap=figure(open_by, "length", units, plus_minus=doubt * abs(open_by)),
        aside=figure(aside, "length", units, plus_minus=doubt * aside),
        said=said, level=level,
    )  # fmt: skip


def _to_do(job: Job, end: BenchEnd, move: Vector, open_by: float) -> tuple[str, Level]:
    units, size = job.cage.units, float(np.sqrt(move @ move))
    if size < (WORTH_SETTING if end.own else AS_DRAWN):
        return AS_PLANNED, "fine"
    off = -move
    if not end.own:
        return "cut that end after the work stands, to what is read there", "look at"
    acts: list[str] = []
    if open_by >= WORTH_SETTING:
        acts.append(f"leave it {say_length(open_by, units)} long")
        off = off + float(move @ end.out) * end.out
    if float(np.abs(off).max()) >= WORTH_SETTING:
        acts.append(f"tack it {off_words(off, None, end.point, units)} of its place")
    reach = member_named(job.cage, end.member).path.length
    if SURE * PRIOR_SPREAD * size > within_for(reach):
        acts.append("clamp beside it, and read it before it leaves the bench")
    return "; ".join(acts) or AS_PLANNED, "look at" if acts else "fine"
