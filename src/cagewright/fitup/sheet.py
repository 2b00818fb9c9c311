"""What is to be read at one step, what is held there, and the code on its paper."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import segno

from cagewright.base.drawing import Drawing, Label, Stroke
from cagewright.fitup.choose import Choice, choose_readings
from cagewright.fitup.marks import Mark
from cagewright.fitup.network import AXES, CAR, SIZES, Network, Reading, network
from cagewright.fitup.order import BuildStep, bodies_at, datum_at
from cagewright.fitup.readings import ReadingsFile
from cagewright.shape.types import Cage

MODULE = 1.0
"""Side of one square of the code, mm."""
QUIET = 4
"""Empty squares round the code (ISO/IEC 18004, from memory)."""
BLANK = "…………"


def step_readings(
    cage: Cage, marks: Sequence[Mark], steps: Sequence[BuildStep], number: int
) -> tuple[Choice, ...]:
    """The readings of one step: tapes chosen by their worth, then a level or plumb of each new tube.

    At a step that tacks, the new tubes are found against the car and those that were tacked before, which are
    taken to stand where the earlier steps left them; at a step that only welds, everything is read.
    """
    net = step_network(cage, marks, steps, number)
    return (*choose_readings(net, cage), *_levels(net)) if net.bodies else ()


def step_network(cage: Cage, marks: Sequence[Mark], steps: Sequence[BuildStep], number: int) -> Network:
    """Bodies and marks of one step."""
    bodies, held = bodies_at(cage, steps, number), held_at(cage, steps, number)
    return network(marks, bodies, datum=datum_at(steps, number), held=held)


def held_at(cage: Cage, steps: Sequence[BuildStep], number: int) -> tuple[str, ...]:
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


def head_at(cage: Cage, steps: Sequence[BuildStep], number: int) -> ReadingsFile:
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
