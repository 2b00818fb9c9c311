"""What a push does to the cage, drawn: load over travel, use of each tube, and the cage as it is bent."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from cagewright.base.curves import point_at
from cagewright.base.drawing import INK, STEEL, Drawing, Label, Look, Points, Stroke, box_round
from cagewright.base.say import say, scale_of, unit_of
from cagewright.base.units import LengthUnit
from cagewright.base.vectors import cross, unit
from cagewright.frame.contact import Platen, Pole
from cagewright.frame.results import Event, Results, Shape
from cagewright.make.placing import AreasInUse, placed
from cagewright.make.plots import Axis, Curve, PlotMark, curves_drawing, disc
from cagewright.make.projection import Frame, on_paper
from cagewright.make.ramp import legend, ramp
from cagewright.make.scales import SCALES
from cagewright.make.strokes import Ink, circle, polyline, together
from cagewright.make.views import FRAMES, NAMES, Direction, cage_view
from cagewright.shape.survival_space import Space, survival_spaces
from cagewright.shape.types import Cage

Floats = NDArray[np.float64]
GIVES = ("hinge", "joint", "foot", "strip")
"""What counts as giving way; a first fibre past yield does not."""
NUMBERED = 12
"""So many of what gives are numbered in a picture; the rest are dots."""
PATCH = 700.0
"""Of a larger platen, a piece this long and wide is drawn where it touches, mm."""


def axes_of(units: LengthUnit) -> tuple[Axis, Axis]:
    """The axes of travel and load."""
    return Axis(name="travel", unit=unit_of("length", units)), Axis(name="load", unit=unit_of("force", units))


def curve_of(results: Results, name: str, units: LengthUnit) -> Curve:
    """The load over travel of one push in the axes' units, without marks."""
    x, y = scale_of("length", units).size, scale_of("force", units).size
    return Curve(
        name=name, x=results.travel / x, y=results.load / y, cut_short=not (results.reached or results.left)
    )


def load_drawing(results: Results, units: LengthUnit) -> Drawing:
    """Load over travel of one push: first yield, largest load, what gives, limits, how far it counts."""
    marks = tuple(_along_curve(results, units))
    curve = replace(curve_of(results, results.push.title, units), marks=marks)
    title = f"Load over travel: {results.push.title}"
    x, y = axes_of(units)
    return curves_drawing((curve,), name=f"load_{_file(results)}", title=title, x=x, y=y)


def _file(results: Results) -> str:
    return results.push.name.replace("-", "_")


def _along_curve(results: Results, units: LengthUnit) -> list[PlotMark]:
    said: list[tuple[float, str]] = []
    peak, upto = results.peak, results.counted
    still = "" if peak.passed else ", still rising"
    said.append((peak.travel, f"{say(peak.load, 'force', units)}{still}"))
    if results.first_yield is not None:
        said.append((results.first_yield.travel, "first yield"))
    if upto.what:
        said.append((upto.travel, f"counted to here: {upto.kind}"))
    said += [(m.travel, m.words) for m in results.limits]
    said += [(h.travel, str(n)) for n, h in numbered(results)[:NUMBERED]]
    x, y = scale_of("length", units).size, scale_of("force", units).size
    loads = np.interp([at for at, _ in said], results.travel, results.load)
    return [PlotMark(x=at / x, y=float(n) / y, text=text) for (at, text), n in zip(said, loads, strict=True)]


def numbered(results: Results) -> list[tuple[int, Event]]:
    """What gave way in order, numbered from 1."""
    gave = [h for h in results.order if h.kind in GIVES]
    return list(enumerate(gave, start=1))


# --- use of each tube


def use_view(cage: Cage, results: Results, direction: Direction = "three-quarter") -> Drawing:
    """The cage with each tube's face coloured by the largest share of its section it uses up to the peak.

    Where a tube bends through stands a ring besides.
    """
    use = {m.member: m.most for m in results.members}
    faces = {name: ramp(round(min(most, 1.0), 2)) for name, most in use.items()}
    view = cage_view(cage, direction, sizes=False, faces=faces)
    x0, y0, _, _ = view.box
    scale = legend((x0 + 2.0, y0 - 9.0), "share of the tube's section used, up to the peak",
                   (0.0, 0.25, 0.5, 0.75, 1.0), 1.0)  # fmt: skip
    ring = circle((x0 + 71.0, y0 - 7.2), 0.9, "mark", fill="paper", sides=16)
    words = Label(text="bends through here", at=(x0 + 74.0, y0 - 8.0), height=2.0)
    rings = _rings(cage, results, replace(FRAMES[direction], scale=view.scale))
    picture = Ink(strokes=(*view.strokes, *rings, ring), labels=(*view.labels, words))
    made = together(picture, scale)
    return replace(
        view, name=f"use_{_file(results)}_{direction.replace('-', '_')}",
        title=f"How far each tube is used: {results.push.title}", strokes=made.strokes, labels=made.labels,
        box=box_round(made.strokes, made.labels, margin=1.0),
    )  # fmt: skip


def _rings(cage: Cage, results: Results, view: Frame) -> tuple[Stroke, ...]:
    """A ring at each place where a tube bends through up to the largest load."""
    top = results.peak.travel
    paths = {member.name: member.path for member in cage.members}
    spots = [h.spot for h in results.order if h.kind == "hinge" and h.spot and h.travel <= top + 1e-6]
    points = (on_paper(view, point_at(paths[s.member], s.along)) for s in spots)
    return tuple(circle(p, 0.9, "mark", fill="paper", sides=16) for p in points)


# --- the bent cage


def bent_view(
    cage: Cage,
    results: Results,
    shape: Shape,
    direction: Direction = "side",
    *,
    box: tuple[float, float] = (178.0, 108.0),
) -> Drawing:
    """The cage as it is at one moment of the push, over the cage at rest.

    Drawn at true size, not exaggerated: what presses, the room of the people in it, and what has given way
    numbered in order.

    Args:
        cage: what was pushed.
        results: of the push.
        shape: the moment, one of ``results.shapes``.
        direction: where the eye is.
        box: room for the picture, mm.
    """
    rest = results.shapes[0]
    view = _at_scale(FRAMES[direction], (*rest.lines, *shape.lines), box)
    people = _people(cage, results, shape, view)
    picture = together(
        Ink(strokes=tuple(polyline(on_paper(view, line.points), "body") for line in cage.lines)),
        people,
        Ink(strokes=tuple(_thin(on_paper(view, line)) for line in rest.lines)),
        Ink(strokes=tuple(_heavy(on_paper(view, line)) for line in shape.lines)),
        _tool(results.push.press, cage, shape, view),
    )
    whole = together(picture, _given(cage, results, shape, view))
    x0, y0, _, _ = box_round(whole.strokes, whole.labels)
    whole = together(whole, Ink(labels=_captions(shape, direction, view, (x0, y0), cage.units)))
    return Drawing(
        name=f"bent_{_file(results)}_{direction.replace('-', '_')}",
        title=f"{results.push.title}: {shape.label}, {NAMES[direction]}",
        box=box_round(whole.strokes, whole.labels, margin=1.0),
        scale=view.scale,
        strokes=whole.strokes,
        labels=whole.labels,
    )


def _at_scale(bare: Frame, lines: tuple[Floats, ...], box: tuple[float, float]) -> Frame:
    size = np.ptp(on_paper(bare, np.vstack(lines)), axis=0) + 60.0
    need = max(size[0] / (box[0] - 10.0), size[1] / (box[1] - 16.0))
    return replace(bare, scale=1.0 / next((s for s in SCALES if s >= need), float(np.ceil(need))))


def _thin(points: Points) -> Stroke:
    return replace(polyline(points, "hidden"), look=Look(width=0.15, ink=STEEL, dash=(1.2, 0.9)))


def _heavy(points: Points) -> Stroke:
    return replace(polyline(points, "tube"), look=Look(width=0.7, ink=INK))


def _people(cage: Cage, results: Results, shape: Shape, view: Frame) -> Ink:
    """Everybody's survival space; a part that is touched by then is drawn heavy and said."""
    touched = {
        (p.person, p.part)
        for p in (results.room.parts if results.room else ())
        if p.touched is not None and p.touched <= shape.travel + 1e-6
    }
    return together(*(_space(s, view, touched=(s.person, s.part) in touched) for s in survival_spaces(cage)))


def _space(space: Space, view: Frame, *, touched: bool) -> Ink:
    ring = polyline(_round_about(on_paper(view, space.outline), space.radius * view.scale),
                    "wrong" if touched else "mark", closed=True)  # fmt: skip
    if space.part != "helmet" and not touched:
        return Ink(strokes=(replace(ring, look=Look(width=0.1, ink=STEEL)),))
    middle = on_paper(view, space.outline).mean(axis=0)
    spot = (float(middle[0]), float(middle[1]) - 0.9)
    word = f"{space.part}, touched" if touched else space.part
    return Ink(strokes=(ring,), labels=(Label(text=word, at=spot, height=1.8, anchor="middle"),))


def _round_about(points: Points, radius: float) -> Points:
    """The outline of all within ``radius`` mm of the points' hull on paper."""
    turn = np.linspace(0.0, 2.0 * np.pi, 48, endpoint=False)
    out = np.stack([np.cos(turn), np.sin(turn)], axis=1)
    furthest = (points @ out.T).argmax(axis=0)
    return points[furthest] + radius * out


def _tool(press: Platen | Pole | None, cage: Cage, shape: Shape, view: Frame) -> Ink:
    """The platen's edges or the pole's outline where it touches the bent cage."""
    if press is None:
        return Ink()
    outline = _platen(press, cage, shape) if isinstance(press, Platen) else _pole(press, cage, shape)
    ring = polyline(on_paper(view, outline), "selected", closed=True)
    return Ink(strokes=(replace(ring, look=Look(width=0.3, ink=INK, dash=(4.0, 0.8, 0.8, 0.8))),))


def _platen(press: Platen, cage: Cage, shape: Shape) -> Floats:
    normal = unit(press.normal)
    along = unit(press.along - (press.along @ normal) * normal)
    aside = cross(normal, along)
    over = [(line - press.centre) @ normal - member.tube.radius
            for member, line in zip(cage.members, shape.lines, strict=True)]  # fmt: skip
    gap = min(float(o.min()) for o in over)
    first = next(line[int(o.argmin())] for o, line in zip(over, shape.lines, strict=True) if o.min() == gap)
    long, wide = min(press.length, PATCH), min(press.width, PATCH)
    off = first - press.centre
    aside_by, along_by = (
        float(np.clip(off @ way, -(whole - part) / 2.0, (whole - part) / 2.0))
        for way, whole, part in ((aside, press.width, wide), (along, press.length, long))
    )
    middle = press.centre + normal * gap + along * along_by + aside * aside_by
    x, y = along * long / 2.0, aside * wide / 2.0
    return np.array([middle - x - y, middle + x - y, middle + x + y, middle - x + y])


def _pole(press: Pole, cage: Cage, shape: Shape) -> Floats:
    axis, way = unit(press.axis), unit(press.way)
    aside = cross(axis, way)
    gaps = [_pole_gap(press, line, member.tube.radius, way, aside)
            for member, line in zip(cage.members, shape.lines, strict=True)]  # fmt: skip
    gap = min(gaps)
    middle = press.centre + way * (gap if np.isfinite(gap) else 0.0)
    up, side = axis * press.length / 2.0, aside * press.radius
    return np.array([middle - up - side, middle + up - side, middle + up + side, middle - up + side])


def _pole_gap(press: Pole, line: Floats, radius: float, way: Floats, aside: Floats) -> float:
    off = line - press.centre
    reach, across = press.radius + radius, off @ aside
    under = np.abs(across) < reach
    if not under.any():
        return float("inf")
    return float(np.min((off @ way - np.sqrt(np.maximum(reach**2 - across**2, 0.0)))[under]))


def _given(cage: Cage, results: Results, shape: Shape, view: Frame) -> Ink:
    """Numbered discs where tubes have given way by then."""
    taken, inks = AreasInUse(), list[Ink]()
    pairs = zip(results.shapes[0].lines, shape.lines, strict=True)
    lines = {member.name: pair for member, pair in zip(cage.members, pairs, strict=True)}
    for number, happening in numbered(results):
        if happening.spot is None or happening.travel > shape.travel + 1e-6:
            continue
        rest, now = lines[happening.spot.member]
        at = on_paper(view, _at_along(rest, now, happening.spot.along))
        dot = Ink(strokes=(circle(at, 0.8, "mark", fill="ink", sides=16),))
        near = [disc(at + np.array([dx, dy]), str(number)) for dx, dy in _AROUND]
        inks.append(together(dot, placed(near, taken)) if number <= NUMBERED else dot)
    return together(*inks)


_AROUND = [
    (4.0 * np.cos(a) * k, 4.0 * np.sin(a) * k) for k in (1.0, 1.6, 2.2) for a in np.arange(8) * np.pi / 4.0
]
"""Where a number may stand, mm from what it names."""


def _at_along(rest: Floats, now: Floats, along: float) -> Floats:
    """The point (3,) that stood ``along`` mm from the member's start, where it is now."""
    run = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(rest, axis=0), axis=1))])
    return np.array([np.interp(along, run, now[:, k]) for k in range(3)])


def _captions(
    shape: Shape, direction: Direction, view: Frame, corner: tuple[float, float], units: LengthUnit
) -> tuple[Label, ...]:
    x, y = corner
    at = say(shape.travel, "length", units, places=0)
    moment = f"{shape.label}: {at}, {say(shape.load, 'force', units)}"
    how = f"seen {NAMES[direction]}, scale 1:{1.0 / view.scale:g}, bent as far as drawn"
    return (
        Label(text=moment, at=(x, y - 5.0), height=2.4),
        Label(text=f"{how}; dashed: at rest", at=(x, y - 9.0), height=2.0),
    )
