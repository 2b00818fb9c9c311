"""The bend sheet as a paper: tables to bend by, checks for the bench, the sketch."""

from __future__ import annotations

import math

from cagewright.base.cautions import CAUTIONS
from cagewright.base.names import shown
from cagewright.base.say import say_angle, say_length
from cagewright.base.sheet import Column, Sheet, Table
from cagewright.base.units import LengthUnit
from cagewright.make.bench import Bench, bench
from cagewright.make.bending import BendSheet, BendStep, rotation_words, turn_words
from cagewright.make.cells import angle_cell, facts, length_cell, length_column, wall_cell
from cagewright.make.cutlist import clocking_words, tube_words
from cagewright.make.sketch import bend_sketch, sketch_box
from cagewright.make.work import Work
from cagewright.shape.types import Member, member_named
from cagewright.stock.benders import PRACTICE_WORDS, outside_trials


def bend_paper(work: Work, sheet: BendSheet) -> Sheet:
    """The bend sheet of one member."""
    member, units = member_named(work.cage, sheet.member), work.cage.units
    on_bench = bench(sheet)
    return Sheet(
        name=f"bend_{sheet.member}",
        title=f"Bend sheet: {shown(sheet.member)}",
        kind="bend sheet",
        member=sheet.member,
        tables=(
            _tube(work, member, sheet),
            _steps(sheet, units),
            _details(sheet, units),
            _checks(on_bench, units),
            _places(on_bench, units),
        ),
        drawings=bend_sketch(member, units=units, starts_at=sheet.starts_at, box=sketch_box(member, units)),
        notes=(
            *CAUTIONS,
            f"{work.cage.title}, revision {work.cage.revision}.",
            *(f"To be seen to: {p.where}: {p.found}; {p.wanted}." for p in sheet.problems),
            *_notes(sheet, on_bench),
        ),
    )


def _tube(work: Work, member: Member, sheet: BendSheet) -> Table:
    units, row = work.cage.units, next(r for r in work.cuts if r.member == member.name)
    other = "end" if sheet.starts_at == "start" else "start"
    grip = f", {say_length(sheet.spare.grip, units)} of it for the clamp" if sheet.spare.grip > 0.05 else ""
    tail = f", {say_length(sheet.spare.tail, units)} of it for the machine" if sheet.spare.tail > 0.05 else ""
    rows = (
        ("tube", tube_words(member.tube, units)),
        ("rough length", say_length(sheet.rough, units)),
        ("finished length, furthest point to furthest point", say_length(sheet.finished, units)),
        ("starting end in the bender", f"the member's {sheet.starts_at}"),
        ("cut off after bending, starting end", f"{say_length(sheet.spare.first, units)}{grip}"),
        (f"cut off after bending, the member's {other}", f"{say_length(sheet.spare.last, units)}{tail}"),
        ("start", _end_cell(member, 0, row.start)),
        ("end", _end_cell(member, 1, row.end)),
    )
    return facts("The rough tube", rows)


def _end_cell(member: Member, which: int, how: str) -> str:
    lies = clocking_words(member, member.ends[which])
    return how if lies == "–" else f"{how}; {lies}"


def _steps(sheet: BendSheet, units: LengthUnit) -> Table:
    columns = (
        Column(head="bend", align="right"),
        length_column("starts at", units),
        length_column("middle at", units),
        length_column("ends at", units),
        Column(head="angle", align="right"),
        Column(head="set to", align="right"),
        Column(head="lies to the bend before"),
        Column(head="turn the tube"),
        Column(head="die"),
    )
    return Table(title="Bends in the order they are made", columns=columns,
                 rows=tuple(_step_row(s, units) for s in sheet.steps))  # fmt: skip


def _step_row(s: BendStep, units: LengthUnit) -> tuple[str, ...]:
    first = s.number == 1
    return (
        str(s.number), length_cell(s.start_mark, units), length_cell(s.centre_mark, units),
        length_cell(s.stop_mark, units), angle_cell(s.angle),
        angle_cell(s.set_angle) + (" *" if outside_trials(s.angle, s.rule) else ""),
        "first" if first else rotation_words(s.rotation), "–" if first else turn_words(s.rotation),
        s.die or "none fits",
    )  # fmt: skip


def _details(sheet: BendSheet, units: LengthUnit) -> Table:
    columns = (
        Column(head="bend", align="right"),
        length_column("radius", units),
        length_column("arc", units),
        length_column("straight before", units),
        Column(head="angle to set from"),
        Column(head="scatter", align="right"),
        Column(head="by theory", align="right"),
        length_column("outer wall", units),
        length_column("inner wall", units),
    )
    rows = tuple(
        (str(s.number), length_cell(s.clr, units), length_cell(s.arc, units), length_cell(s.straight, units),
         _basis(s), "–" if s.rule.scatter is None else f"±{math.degrees(s.rule.scatter):.2f}°",
         angle_cell(None if s.rule.theory is None else s.rule.theory * s.angle),
         wall_cell(s.outer_wall, units), wall_cell(s.inner_wall, units))
        for s in sheet.steps
    )  # fmt: skip
    return Table(title="Each bend", columns=columns, rows=rows)


def _basis(s: BendStep) -> str:
    """What the angle to set rests on, and where that does not reach."""
    if s.rule.tried is None:
        return "practice"
    low, high = (say_angle(angle) for angle in s.rule.tried)
    span = f"trials at {low}" if low == high else f"trials, {low} to {high}"
    return f"{span}: this is outside" if outside_trials(s.angle, s.rule) else span


def _checks(on_bench: Bench, units: LengthUnit) -> Table:
    columns = (
        Column(head="measure on the bench, rough ends still on"),
        length_column("should be", units),
        length_column("if the radius opens", units),
    )
    rows = tuple(
        (c.what, length_cell(c.value, units), "–" if c.opened is None else length_cell(c.opened, units))
        for c in on_bench.checks
    )
    return Table(title="Check on the bench", columns=columns, rows=rows)


def _places(on_bench: Bench, units: LengthUnit) -> Table:
    columns = (
        Column(head="middle of the tube at"),
        length_column("along", units),
        length_column("across", units),
        length_column("up", units),
    )
    rows = tuple(
        (p.what, length_cell(p.along, units), length_cell(p.across, units), length_cell(p.up, units))
        for p in on_bench.points
    )
    return Table(title="Where it lies, first bend flat on the bench", columns=columns, rows=rows)


def _notes(sheet: BendSheet, on_bench: Bench) -> tuple[str, ...]:
    flat = "All bends lie in one plane." if on_bench.flat else "The bends do not lie in one plane."
    return (
        f"{flat} Marks are along the rough tube from its starting end.",
        "Clockwise and anticlockwise are seen looking along the tube from the starting end. 'Lies' is where "
        "the bend goes; 'turn' is what the tube does in a die that stays still.",
        "On the bench: along from the rough starting end, across to the left (minus: to the right) looking "
        "along the first straight from that end, up from the bench.",
        "Arcs are counted at the centreline, with no gain and no stretch.",
        "'If the radius opens' is what to expect where a bend is formed round the die to its set angle and "
        "its radius then opens with the springback. A trial bend tells whether yours does.",
        "Cuts: clockwise is seen looking from the member's start to its end.",
        *_springback_notes(sheet),
    )


def _springback_notes(sheet: BendSheet) -> tuple[str, ...]:
    notes: list[str] = []
    if any(s.rule.basis == "trials" for s in sheet.steps):
        notes.append("Angles to set come from the shop's trial bends.")
    if any(outside_trials(s.angle, s.rule) for s in sheet.steps):
        notes.append(
            "* This bend is outside the trials, set by their line carried on: make a trial near its angle, "
            "enter it in the shop file and print again."
        )
    if any(s.rule.basis == "practice" for s in sheet.steps):
        notes.append(
            f"Angles from practice are {PRACTICE_WORDS}. Make two trial bends on the die, near the smallest "
            "and the largest angle of the sheet, enter them in the shop file and print again."
        )
    lone = dict.fromkeys(s.lone_trial for s in sheet.steps if s.lone_trial)
    for trial in lone:
        put, got = say_angle(trial.set_angle), say_angle(trial.got_angle)
        notes.append(f"One trial stands in the shop file, set {put} for {got}: it is gone by with a second.")
    return tuple(notes)
