"""The fit-up sheet of one step: what to tack, what to read, with blanks, and a code to the step."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import segno

from cagewright.base.cautions import CAUTIONS
from cagewright.base.drawing import Drawing, Label, Stroke
from cagewright.base.sheet import Column, Sheet, Table
from cagewright.base.units import LengthUnit
from cagewright.base.vectors import Vector
from cagewright.fitup.choose import Choice, choose_readings
from cagewright.fitup.marks import Mark
from cagewright.fitup.network import AXES, CAR, SIZES, Network, Reading, network
from cagewright.fitup.order import Step, bodies_at, datum_at, within_for
from cagewright.fitup.readings import ReadingsFile, line_of, readings_text
from cagewright.make.cells import angle_cell, length_cell, length_column
from cagewright.plan.survey import UNREAD
from cagewright.shape.types import Cage

MODULE = 1.0
"""Side of one square of the code, mm."""
QUIET = 4
"""Empty squares round the code (ISO/IEC 18004, from memory)."""
BLANK = "…………"


def step_readings(
    cage: Cage, marks: Sequence[Mark], steps: Sequence[Step], number: int
) -> tuple[Choice, ...]:
    """The readings of one step: tapes chosen by their worth, then a level or plumb of each new tube.

    At a step that tacks, the new tubes are found against the car and those that were tacked before, which are
    taken to stand where the earlier steps left them; at a step that only welds, everything is read.
    """
    bodies = bodies_at(cage, steps, number)
    held = held_at(cage, steps, number)
    net = network(marks, bodies, datum=datum_at(steps, number), held=held)
    if not net.bodies:
        return ()
    return (*choose_readings(net, cage), *_levels(net))


def held_at(cage: Cage, steps: Sequence[Step], number: int) -> tuple[str, ...]:
    """Tubes taken to stand where earlier steps left them: at a step that tacks in the car, all the others."""
    step = next(s for s in steps if s.number == number)
    if not step.tack or datum_at(steps, number) != CAR:
        return ()
    old = [b for b in bodies_at(cage, steps, number) if not set(b.members) & set(step.tack)]
    return tuple(m for b in old for m in b.members)


def _levels(net: Network) -> tuple[Choice, ...]:
    """A level along each flat tube, a plumb on each upright one, both ways."""
    out: list[Choice] = []
    for body in net.bodies:
        for member in body.members:
            for a, b in _straights(net, member):
                out += _level(net, a, b)
    return tuple(out)


def _straights(net: Network, member: str) -> list[tuple[int, int]]:
    """Marks at both ends of the member's first and last straight."""
    bends = sum(m.member == member and m.name.endswith("a") and ".bend" in m.name for m in net.marks)
    names = [("start", "bend1a"), (f"bend{bends}b", "end")] if bends else [("start", "end")]
    pairs = [(net.index.get(f"{member}.{a}"), net.index.get(f"{member}.{b}")) for a, b in names]
    return [(a, b) for a, b in pairs if a is not None and b is not None]


def _level(net: Network, i: int, j: int) -> list[Choice]:
    """Heights and leans lie within one body and say how that is turned."""
    gap = net.points[j] - net.points[i]
    flat = abs(float(gap[2])) < 0.1 * float(np.sqrt(gap @ gap))
    a, b = net.marks[i].name, net.marks[j].name
    if flat:
        reading = Reading(
            name=f"level of {a} to {b}",
            kind="level",
            a=a,
            b=b,
            axis=2,
            seen=float(gap[2]),
            size=SIZES["level"],
        )
        return [Choice(reading=reading, why="level", gain=0.0)]
    if abs(float(gap[2])) < 0.7 * float(np.sqrt(gap @ gap)):
        return []
    low, high, way = (a, b, gap) if gap[2] > 0.0 else (b, a, -gap)
    return [
        Choice(
            reading=Reading(
                name=f"lean of {low} to {high}, {AXES[axis]}", kind="lean", a=low, b=high, axis=axis,
                seen=float(np.arctan2(way[axis], way[2])), size=SIZES["lean"],
            ),
            why="plumb",
            gain=0.0,
        )
        for axis in (0, 1)
    ]  # fmt: skip


# --- the sheet


def step_sheet(
    cage: Cage,
    steps: Sequence[Step],
    number: int,
    choices: Sequence[Choice],
    marks: Sequence[Mark],
    *,
    link: str = "",
) -> Sheet:
    """The paper of one step.

    Args:
        cage: with its title and revision.
        steps: of the build.
        number: which one.
        choices: the readings to take.
        marks: to say where each stands.
        link: what the code leads to; the step's own words where empty.
    """
    step = next(s for s in steps if s.number == number)
    used = {n for c in choices for n in (c.reading.a, c.reading.b) if n}
    target = link or f"cagewright:{cage.revision}/fit-up/{number}"
    return Sheet(
        name=f"fit_up_{number}",
        title=f"Fit-up, step {number}: {step.title}",
        kind="fit-up",
        tables=(
            *_work_table(step),
            readings_table(choices, cage.units),
            marks_table([m for m in marks if m.name in used], cage.units),
        ),
        drawings=(code_drawing(target, name=f"code_{number}"),),
        notes=(
            *CAUTIONS,
            f"{cage.title}, revision {cage.revision}.",
            f"Read from {datum_at(steps, number)}. Within: ISO 13920 class B for that length.",
            *step.notes,
            "A reading that does not fit is read again, not made to fit.",
        ),
    )


def _work_table(step: Step) -> tuple[Table, ...]:
    rows = [(n, "tack", BLANK) for n in step.tack] + [(n, "weld", BLANK) for n in step.weld]
    heads = (Column(head="what"), Column(head="do"), Column(head="done, by"))
    return (Table(title="Work", columns=heads, rows=tuple(rows)),) if rows else ()


def readings_table(choices: Sequence[Choice], units: LengthUnit) -> Table:
    """One row a reading: from, to, what the plan says, how near it must be, and a blank."""
    columns = (
        Column(head="No", align="right"),
        Column(head="what"),
        Column(head="from"),
        Column(head="to"),
        length_column("plan", units),
        length_column("within", units),
        Column(head="read"),
        Column(head="why"),
    )
    rows = tuple(_reading_row(n, c, units) for n, c in enumerate(choices, start=1))
    return Table(title="Readings", columns=columns, rows=rows)


def _reading_row(n: int, c: Choice, units: LengthUnit) -> tuple[str, ...]:
    r = c.reading
    what = r.kind if r.axis < 0 or r.kind == "level" else f"{r.kind} {AXES[r.axis]}"
    if r.kind == "lean":
        return (str(n), what, r.a, r.b, angle_cell(r.seen), angle_cell(np.radians(0.3)), BLANK, c.why)
    return (
        str(n), what, r.a, r.b, length_cell(r.seen, units), length_cell(within_for(abs(r.seen)), units),
        BLANK, c.why, )  # fmt: skip


def marks_table(marks: Sequence[Mark], units: LengthUnit) -> Table:
    """Where to punch each mark: tube, distance along it, side, what stands there, place in the car."""
    columns = (
        Column(head="mark"),
        length_column("along the tube", units),
        Column(head="side"),
        Column(head="what"),
        Column(head="back / across / up"),
    )
    rows = tuple(
        (
            m.name,
            length_cell(m.along, units) if m.member else "–",
            m.face or "–",
            m.what,
            _place(m.point, units),
        )
        for m in marks
    )
    return Table(title="Marks", columns=columns, rows=rows)


def _place(point: Vector, units: LengthUnit) -> str:
    return " / ".join(length_cell(float(v), units) for v in point)


def code_drawing(target: str, *, name: str) -> Drawing:
    """A QR code of ``target`` as filled squares, with the words below it."""
    rows = [list(row) for row in segno.make(target, error="m").matrix]
    count, side = len(rows), MODULE * (len(rows) + 2 * QUIET)
    strokes = tuple(
        _square(MODULE * (QUIET + i), MODULE * (QUIET + count - 1 - j))
        for j, row in enumerate(rows)
        for i, dark in enumerate(row)
        if dark
    )
    words = Label(text=target, at=(0.0, -3.0), height=1.8)
    return Drawing(
        name=name, title="To this step on a tablet", box=(0.0, -5.0, max(side, 2.0 * len(target)), side),
        scale=1.0, strokes=strokes, labels=(words,),
    )  # fmt: skip


def _square(x: float, y: float) -> Stroke:
    corners = np.array([[x, y], [x + MODULE, y], [x + MODULE, y + MODULE], [x, y + MODULE]])
    return Stroke(points=corners, layer="area", closed=True, fill="ink")


def head_at(cage: Cage, steps: Sequence[Step], number: int) -> ReadingsFile:
    """What a readings file of that step says beside its readings: what is there, welded, held."""
    bodies = bodies_at(cage, steps, number)
    return ReadingsFile(
        plan=cage.revision,
        step=number,
        units="mm" if cage.units == "mm" else "in",
        welded=tuple(b.members for b in bodies if len(b.members) > 1),
        present=tuple(m for b in bodies for m in b.members),
        datum=datum_at(steps, number),
        held=held_at(cage, steps, number),
    )


def blank_readings(cage: Cage, steps: Sequence[Step], number: int, choices: Sequence[Choice]) -> str:
    """A readings file with every reading of the step still blank."""
    return readings_text(
        head_at(cage, steps, number), ((_blank(c.reading), _planned(c.reading, cage.units)) for c in choices)
    )


def _blank(r: Reading) -> dict[str, object]:
    return line_of(r.kind, (r.a, r.b), AXES[r.axis] if r.axis >= 0 else "", UNREAD)


def _planned(r: Reading, units: LengthUnit) -> str:
    return f"plan {angle_cell(r.seen) if r.kind == 'lean' else length_cell(r.seen, units)}"
