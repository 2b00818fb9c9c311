"""A drop drawn: the cage over the ground as it is let go, with height, roll, pitch and way; and over time."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from cagewright.base.curves import sample
from cagewright.base.drawing import INK, STEEL, Drawing, Label, Look, Points, Stroke, box_round
from cagewright.base.say import say, scale_of, unit_of
from cagewright.base.units import LengthUnit
from cagewright.base.vectors import UP, Vector
from cagewright.frame.drop_case import DropCase, up_of, way_of
from cagewright.frame.drop_results import DropResults
from cagewright.make.plots import Axis, Curve, PlotMark, curves_drawing
from cagewright.make.scales import SCALES
from cagewright.make.strokes import Ink, arrowhead, circle, dimension, polyline, together
from cagewright.shape.seated import head_centre
from cagewright.shape.types import Cage, bodies_of

Floats = NDArray[np.float64]
Side = Literal["nose", "left"]
"""Where the eye is: before the car's nose, or at its left, as it lies over the ground."""
ROOM = (84.0, 84.0)
"""mm of paper for one view."""


def hanging_view(cage: Cage, case: DropCase, centre: Vector, side: Side) -> Drawing:
    """The cage as it is let go, over the ground, its height, and its roll or pitch.

    Args:
        cage: what falls.
        case: how.
        centre: (3,) mm, the middle of its mass.
        side: where the eye is.
    """
    up, along = up_of(case), _along(case, side)
    tubes = [sample(member.path) for member in cage.members]
    low = min(float((line @ up).min()) - m.tube.radius for line, m in zip(tubes, cage.members, strict=True))
    shift = case.height - low

    def flat(points: Floats) -> Floats:
        return np.stack([points @ along, points @ up + shift], axis=-1)

    lines = [flat(line) for line in tubes]
    every = np.concatenate([*lines, flat(centre[None])])
    left, right, top = float(every[:, 0].min()), float(every[:, 0].max()), float(every[:, 1].max())
    need = max((right - left + 500.0) / ROOM[0], (top + 150.0) / ROOM[1])
    scale = 1.0 / next((s for s in SCALES if s >= need), float(np.ceil(need)))
    ink = together(
        Ink(strokes=tuple(_tube(line * scale) for line in lines)),
        Ink(strokes=_heads(cage, flat, scale)),
        _ground((left - 150.0) * scale, (right + 150.0) * scale),
        _height(case, (left - 60.0) * scale, scale, cage.units),
        _leaning(
            case,
            side,
            flat(centre[None])[0] * scale,
            flat(centre[None] + 420.0 * UP)[0] * scale,
            right * scale,
        ),
        _speed(case, side, ((left + right) / 2.0 * scale, 5.0), cage.units),
    )
    return Drawing(
        name=f"drop_hanging_{side}", title=f"As it is let go, seen {_seen(side)}",
        box=box_round(ink.strokes, ink.labels, margin=1.0), scale=scale, strokes=ink.strokes,
        labels=ink.labels,
    )  # fmt: skip


def _along(case: DropCase, side: Side) -> Vector:
    """The unit way (3,) that runs to the right on the paper: across the way up it points at the eye."""
    return way_of(replace(case, first="right" if side == "nose" else "nose"))


def _seen(side: Side) -> str:
    return "from before its nose" if side == "nose" else "from its left"


def _tube(points: Points) -> Stroke:
    return Stroke(points=points, layer="tube", look=Look(width=0.5, ink=INK))


def _heads(cage: Cage, flat: Callable[[Floats], Floats], scale: float) -> tuple[Stroke, ...]:
    return tuple(
        circle(flat(head_centre(body)[0][None])[0] * scale, body.helmet / 2.0 * scale, "mark")
        for _, body in bodies_of(cage)
    )


def _ground(left: float, right: float) -> Ink:
    """The ground's line with hatching under it."""
    ticks = np.arange(left, right, 4.0)
    hatch = tuple(polyline([(x, 0.0), (x - 2.0, -2.0)], "dimension") for x in ticks)
    line = Stroke(points=np.array([(left, 0.0), (right, 0.0)]), layer="mark", look=Look(width=0.6, ink=INK))
    return Ink(strokes=(line, *hatch), labels=(Label(text="ground", at=(left, -5.5), height=2.0),))


def _height(case: DropCase, x: float, scale: float, units: LengthUnit) -> Ink:
    top = case.height * scale
    text = f"height {say(case.height, 'length', units, places=0)}"
    made = dimension(np.array([x, 0.0]), np.array([x, top]), 4.0, text, height=2.2)
    words = Label(text="from the ground to the cage's lowest place", at=(x - 4.0, -9.0), height=1.8)
    return together(made, Ink(labels=(words,)))


def _leaning(case: DropCase, side: Side, at: Points, tip: Points, right: float) -> Ink:
    """The car's own up, the way down that it has when it lies on its roof, and the angle between."""
    angle, name, lower = (
        (case.roll, "roll", ("left side", "right side"))
        if side == "nose"
        else (case.pitch, "pitch", ("nose", "tail"))
    )
    way = tip - at
    size = float(np.hypot(*way)) or 1.0
    straight = at + np.array([0.0, -size])
    dashed = Look(width=0.2, ink=STEEL, dash=(3.0, 1.0))
    strokes = (
        circle(at, 1.2, "mark", fill="ink", sides=16),
        Stroke(points=np.array([at, straight]), layer="centre", look=dashed),
        polyline([at, tip], "selected"),
        arrowhead(tip, way / size, "selected"),
    )
    down = lower[0] if angle > 0.0 else lower[1]
    leaning = f", {down} lower" if abs(angle) > 1e-9 else ""
    words = f"{name} {math.degrees(angle):g}°{leaning}"
    sign = ("0° lies on its roof", f"more than 0° lowers the {lower[0]}")
    x, y = right + 6.0, float(at[1])
    labels = (
        Label(text=words, at=(x, y + 1.0), height=2.4, strong=True),
        *(Label(text=text, at=(x, y - 2.6 - 3.2 * k), height=1.9) for k, text in enumerate(sign)),
        Label(text="arrow: the car's own up, from its middle of mass", at=(x, y - 9.6), height=1.9),
        Label(text="dashes: where up points when it lies on its roof", at=(x, y - 12.8), height=1.9),
    )
    return Ink(strokes=strokes, labels=labels)


def _speed(case: DropCase, side: Side, at: tuple[float, float], units: LengthUnit) -> Ink:
    """An arrow the way it goes over the ground, in the view that shows it from the side."""
    across = case.first in ("left", "right")
    if case.speed <= 0.0 or across != (side == "nose"):
        return Ink()
    ahead = 1.0 if case.first in ("right", "nose") else -1.0
    start = np.array([at[0] - 10.0 * ahead, at[1]])
    tip = start + np.array([20.0 * ahead, 0.0])
    words = f"{say(case.speed, 'speed', units)}, {case.first} first"
    return Ink(
        strokes=(polyline([start, tip], "dimension"), arrowhead(tip, np.array([ahead, 0.0]))),
        labels=(Label(text=words, at=(at[0], at[1] + 1.2), height=2.0, anchor="middle"),),
    )


# --- over time


def force_drawing(results: DropResults, units: LengthUnit) -> Drawing:
    """The force out of the ground over time, its largest marked and the moment that ends what is told."""
    size = scale_of("force", units).size
    top, end = int(np.argmax(results.force)), results.moments[0]
    marks = [(float(results.time[top]), say(float(results.force[top]), "force", units))]
    if end.kind not in ("end of travel", "cannot tell"):
        marks.append((end.travel, end.kind))
    spots = tuple(
        PlotMark(x=t, y=float(np.interp(t, results.time, results.force)) / size, text=text)
        for t, text in marks
    )
    curve = Curve(
        name="force out of the ground", x=results.time, y=results.force / size, marks=spots,
        cut_short=not results.reached,
    )  # fmt: skip
    return curves_drawing(
        (curve,), name="drop_force", title="Force out of the ground over time, mean over each ms",
        x=Axis(name="time since first touch", unit="ms"), y=Axis(name="force", unit=unit_of("force", units)),
    )  # fmt: skip


def energy_drawing(results: DropResults, units: LengthUnit) -> Drawing:
    """Where the energy is over time."""
    a, size = results.account, scale_of("energy", units).size
    pick = np.unique(np.linspace(0, len(a.time) - 1, 200).astype(int))
    rows = (
        ("motion", a.kinetic), ("spent on bending", a.spent), ("held as in a spring", a.stored + a.ground),
        ("rubbed off", a.friction), ("taken by the time steps", np.maximum(a.numerical, 0.0)),
    )  # fmt: skip
    curves = tuple(Curve(name=name, x=a.time[pick] * 1e3, y=row[pick] * 1e-3 / size) for name, row in rows)
    return curves_drawing(
        curves, name="drop_energy", title="Where the energy is over time",
        x=Axis(name="time since first touch", unit="ms"),
        y=Axis(name="energy", unit=unit_of("energy", units)),
    )  # fmt: skip
