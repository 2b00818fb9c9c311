"""What is to be read at one step, what is held there, and the code on its paper."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import segno

from cagewright.base.drawing import Drawing, Label, Stroke
from cagewright.fitup.choose import Choice, choose_readings, tapes_of
from cagewright.fitup.marks import Mark
from cagewright.fitup.network import CAR, Network, network, ties_of, up_at
from cagewright.fitup.order import BuildStep, bodies_at, datum_at
from cagewright.fitup.readings import ReadingsFile
from cagewright.shape.mesh import Mesh
from cagewright.shape.types import Cage

MODULE = 1.0
"""Side of one square of the code, mm."""
QUIET = 4
"""Empty squares round the code (ISO/IEC 18004, from memory)."""
BLANK = "…………"


def step_readings(
    cage: Cage, marks: Sequence[Mark], steps: Sequence[BuildStep], number: int, body: Mesh | None = None
) -> tuple[Choice, ...]:
    """The readings of one step.

    At a step that tacks, the new tubes are found against the car and those that were tacked before, which are
    taken to stand where the earlier steps left them; at a step that only welds, everything is read.

    Args:
        cage: as planned.
        marks: of the cage and the car.
        steps: of the build.
        number: of the step.
        body: as far as it is known, which stands in a tape's way.
    """
    step = next(s for s in steps if s.number == number)
    if step.where in {"dropped", "slid"} or step.parts:
        return ()  # hung low or slid back nothing stands where the plan has it; sheet moves nothing
    net = step_network(cage, marks, steps, number)
    return choose_readings(net, tapes_of(net, cage, body)) if net.bodies else ()


def step_network(cage: Cage, marks: Sequence[Mark], steps: Sequence[BuildStep], number: int) -> Network:
    """Bodies and marks of one step; the plate of a foot whose tube is not there yet is no mark."""
    bodies, held = bodies_at(cage, steps, number), held_at(cage, steps, number)
    there, datum = {m for b in bodies for m in b.members}, datum_at(steps, number)
    later = {f.name for f in cage.feet if f.members and not there & set(f.members)}
    now = [m for m in marks if m.member or m.name not in later]
    ties = ties_of(cage) if tacked_at(steps, number) else ()
    return network(now, bodies, datum=datum, held=held, up=up_at(cage, datum), ties=ties)


def tacked_at(steps: Sequence[BuildStep], number: int) -> bool:
    """Whether all that is there was tacked together before: at a step that tacks nothing."""
    return not next(s for s in steps if s.number == number).tack


def held_at(cage: Cage, steps: Sequence[BuildStep], number: int) -> tuple[str, ...]:
    """Tubes taken to stand where earlier steps left them: at a step that tacks in the car, all the others."""
    step = next(s for s in steps if s.number == number)
    if not step.tack or datum_at(steps, number) != CAR:
        return ()
    old = [b for b in bodies_at(cage, steps, number) if not set(b.members) & set(step.tack)]
    return tuple(m for b in old for m in b.members)


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
        tacked=tacked_at(steps, number),
    )
