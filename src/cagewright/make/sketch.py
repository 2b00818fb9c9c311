"""The sketch on a bend sheet: a member in two views, dimensioned like a shop drawing."""

from __future__ import annotations

import textwrap
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np

from cagewright.base.curves import point_at
from cagewright.base.drawing import ADVANCE, Drawing, Label, Points, Stroke, box_round, text_width
from cagewright.base.names import shown
from cagewright.base.say import say_angle
from cagewright.base.units import LengthUnit
from cagewright.base.vectors import UP, Vector, cross, dot, length, square_to, unit
from cagewright.make.bending import rotation_words
from cagewright.make.callouts import LETTER, callouts, unit2
from cagewright.make.placing import AreasInUse, placed, ribbon
from cagewright.make.projection import (
    Edges,
    Frame,
    edges,
    extent,
    finished,
    frame,
    on_paper,
    seen_cut,
    stations,
)
from cagewright.make.scales import SCALES, size_words
from cagewright.make.strokes import Ink, arrowhead, dimension, polyline, together
from cagewright.make.wraps import bend_number
from cagewright.plan.types import Which
from cagewright.shape.types import Bend, Member

_LEAD = 1.7 * LETTER
_FAR = 9.0
"""Distance of the first dimension line from the tube's centre line or edge, mm."""
_TRUE = 0.995
"""A length seen shorter than this part of itself is marked as true length."""
_FIRST = np.sqrt(1.0 - _TRUE**2)
_SEEN = 0.3
"""Below this part a length is not dimensioned in that view."""
_TRIES = 6
_OVER_ALL = " over all"
_SMALL = 1.9
"""A leg's size is set no smaller than this where it is longer than the leg, mm."""
_FLAT = np.radians(0.1)
_ROUND = np.linspace(0.0, 2.0 * np.pi, 121)


@dataclass(frozen=True, slots=True, kw_only=True)
class _View:
    """One view being drawn."""

    member: Member
    view: Frame
    units: LengthUnit
    drawn: Edges
    taken: AreasInUse
    starts_at: Which


def bend_sketch(
    member: Member,
    *,
    box: tuple[float, float] = (178.0, 190.0),
    units: LengthUnit = "mm",
    starts_at: Which = "start",
) -> tuple[Drawing, ...]:
    """The member in two views that share one scale; one above the other they fit the box.

    Where the words alone need more than the box, the views are as high as they must be.

    The first looks square to the plane of the first bend made, the second along the arrow A drawn in the
    first. A straight member is seen from the side on which its start cut shows as a curve.

    Args:
        member: the tube.
        box: width and height for both views together, mm.
        units: what the builder's tape reads.
        starts_at: the end that goes into the bender first; bends are numbered from it, and it is at the left.
    """
    first = first_frame(member, starts_at)
    second = Frame(right=first.right, up=-first.toward, toward=first.up)
    tried: list[tuple[Drawing, ...]] = []
    for scale in SCALES:
        frames = tuple(replace(f, scale=1.0 / scale) for f in (first, second))
        if not _bare_fit(member, frames, box) and scale < SCALES[-1]:
            continue
        inks = tuple(_drawn(member, f, units, starts_at, which) for which, f in enumerate(frames))
        tried.append(_named(inks, member, scale, units, box[0]))
        if _fit(tried[-1], box) or len(tried) > _TRIES:
            break
    return tried[-1] if _fit(tried[-1], box) else tried[0]


def sketch_box(member: Member, units: LengthUnit) -> tuple[float, float]:
    """What a bend sheet's tables leave of a page for the sketch: width and height, mm."""
    return 178.0, 160.0 - 6.0 * len(member.bends)


def _bare_fit(member: Member, frames: tuple[Frame, ...], box: tuple[float, float]) -> bool:
    """Whether the bare tube leaves the box the room that its dimensions are sure to need."""
    sizes = [np.ptp(edges(member, f).centre, axis=0) for f in frames]
    return max(s[0] for s in sizes) < box[0] - 20.0 and sum(s[1] for s in sizes) < box[1] - 60.0


def first_frame(member: Member, starts_at: Which = "start") -> Frame:
    """The frame of the first view: the starting end at the left, the bulk of the tube above its ends."""
    if not member.bends:
        return _straight_frame(member)
    first, last = member.path.pieces[0], member.path.pieces[-1]
    ahead = starts_at == "start"
    normal = member.bends[0 if ahead else -1].normal
    chord = _flattened(last.stop - first.start, normal) * (1.0 if ahead else -1.0)
    line = _flattened(first.stop - first.start if ahead else last.start - last.stop, normal)
    right = unit(chord if float(length(chord)) > 0.2 * member.length else line)
    up = cross(normal, right)
    middle = stations(member.path, 0.0, member.path.length).points.mean(axis=0)
    ends = (member.path.pieces[0].start + member.path.pieces[-1].stop) / 2.0
    return frame(right, up if dot(middle - ends, up) >= 0.0 else -up)


def _flattened(v: Vector, normal: Vector) -> Vector:
    return v - dot(v, normal) * normal


def _straight_frame(member: Member) -> Frame:
    right = unit(member.path.pieces[-1].stop - member.path.pieces[0].start)
    cut = member.ends[0].cut
    return frame(right, square_to(right, cut.zero if abs(float(dot(cut.zero, right))) < 0.9 else UP))


def flat(member: Member) -> bool:
    """Whether all bends lie in one plane."""
    return all(abs(np.sin(b.clocking)) < np.sin(_FLAT) for b in member.bends)


def _fit(made: tuple[Drawing, ...], box: tuple[float, float]) -> bool:
    return made[0].box[2] - made[0].box[0] <= box[0] and sum(d.box[3] - d.box[1] for d in made) <= box[1]


def _named(
    inks: tuple[Ink, ...], member: Member, scale: float, units: LengthUnit, room: float
) -> tuple[Drawing, ...]:
    """The views with their titles, all of one width, so that they stay above each other."""
    boxes = [box_round(ink.strokes, ink.labels, margin=1.0) for ink in inks]
    titles = [_titles(ink, member, which, scale, units, room) for which, ink in enumerate(inks)]
    x0, x1 = min(b[0] for b in boxes), max(b[2] for b in boxes)
    wide = max(x1 - x0, *(text_width(line, LETTER) + 2.0 for lines in titles for line in lines))
    x0, x1 = (x0 + x1 - wide) / 2.0, (x0 + x1 + wide) / 2.0
    made = zip(inks, boxes, titles, ("side", "along_A"), strict=True)
    return tuple(
        Drawing(
            name=f"sketch_{member.name}_{name}",
            title=f"{shown(member.name)}: {lines[0]}",
            box=(x0, box[1], x1, box[3] + 2.0 + _LEAD * len(lines)),
            scale=1.0 / scale,
            strokes=ink.strokes,
            labels=(*ink.labels, *_heading(lines, x0 + 1.0, box[3] + 2.0)),
        )
        for ink, box, lines, name in made
    )


def _heading(lines: list[str], x: float, y: float) -> list[Label]:
    rows = reversed(list(enumerate(lines)))
    return [
        Label(text=line, at=(x, y + _LEAD * up), height=LETTER, strong=i == 0)
        for up, (i, line) in enumerate(rows)
    ]


def _titles(ink: Ink, member: Member, which: int, scale: float, units: LengthUnit, room: float) -> list[str]:
    """What the view is; under the first view also how its sizes are to be read, folded to the room."""
    size = f"scale 1:{scale:g}"
    if which == 1:
        return [f"Seen along arrow A, {size}{': flat, all bends in one plane' if _level(member) else ''}"]
    name = "Square to the plane of bend 1" if member.bends else "Straight tube from the side"
    tape = {"mm": "sizes in mm", "in": "sizes in inches, to 1/32", "decimal in": "sizes in inches"}[units]
    short = "; true: along the tube, seen short" if any(t.text.endswith("true") for t in ink.labels) else ""
    told = f"{tape}, ends to the long point on the centre line{short}"
    return [f"{name}, {size}", *textwrap.wrap(told, int((room - 2.0) / (ADVANCE * LETTER)))]


def _level(member: Member) -> bool:
    return bool(member.bends) and flat(member)


def _drawn(member: Member, view: Frame, units: LengthUnit, starts_at: Which, which: int) -> Ink:
    """One view: the tube, then its sizes from the most important on, each where there is room."""
    drawn = edges(member, view)
    taken = AreasInUse(ribbon(drawn.centre, member.tube.radius * view.scale + 0.5))
    job = _View(member=member, view=view, units=units, drawn=drawn, taken=taken, starts_at=starts_at)
    tube = together(_tube(job), _ends(job), *(_tangents(job, b) for b in member.bends))
    bare = which == 1 and flat(member)
    sizes = [] if bare else _legs(job, which)
    bends = [] if bare else [_bend_label(job, i, which) for i in range(len(member.bends))]
    overall = [] if bare else _overall(job, which)
    names = [_end_label(job, i) for i in range(2)]
    made = together(tube, *sizes, *bends, *names, *overall)
    return together(made, _arrow(made)) if which == 0 else made


def _tube(job: _View) -> Ink:
    """Edges and centre line; the centre line runs a little past the ends."""
    low, high = finished(job.member)
    past = 4.0 / job.view.scale
    line = on_paper(job.view, stations(job.member.path, low - past, high + past).points)
    sides = [run for edge in (job.drawn.left, job.drawn.right) for run in _finite(edge)]
    return Ink(strokes=(polyline(line, "centre"), *(polyline(run, "tube") for run in sides)))


def _finite(points: Points) -> list[Points]:
    good = np.isfinite(points[:, 0])
    parts = np.split(points, np.flatnonzero(np.diff(good)) + 1)
    return [p for p in parts if len(p) > 1 and np.isfinite(p[0, 0])]


def _ends(job: _View) -> Ink:
    """The near half of each cut, as a full line."""
    strokes: list[Stroke] = []
    for end in job.member.ends:
        loop, _ = seen_cut(end, job.member.tube.radius, job.view, _ROUND)
        strokes += [polyline(run, "tube") for run in _finite(loop)]
    return Ink(strokes=tuple(strokes))


def _tangents(job: _View, bend: Bend) -> Ink:
    """A line across the tube where the bend begins and one where it ends."""
    return Ink(strokes=tuple(s for at in (bend.start, bend.stop) for s in _across(job, at)))


def _across(job: _View, s: float) -> list[Stroke]:
    row = int(np.argmin(np.abs(job.drawn.s - s)))
    pair = np.array([job.drawn.left[row], job.drawn.right[row]])
    return [polyline(pair, "mark")] if np.isfinite(pair).all() else []


def corners(member: Member) -> list[Vector]:
    """The finished ends on the centre line, and between them the apex of every bend, (3,) mm each."""
    low, high = finished(member)
    return [point_at(member.path, low), *(b.apex for b in member.bends), point_at(member.path, high)]


def _legs(job: _View, which: int) -> list[Ink]:
    """A dimension for each leg, end to apex to apex to end, on the outer side of the tube.

    The second view repeats none that the first shows at its true length.
    """
    at = corners(job.member)
    middle = job.drawn.centre.mean(axis=0)
    inks = []
    for a, b in pairwise(at):
        true = float(length(b - a))
        p, q = on_paper(job.view, a), on_paper(job.view, b)
        part = float(np.hypot(*(q - p))) / (true * job.view.scale)
        if part < _SEEN or (which == 1 and abs(float(dot(b - a, job.view.up))) < _FIRST * true):
            continue
        text = size_words(true, job.units) + ("" if part > _TRUE else " true")
        inks.append(placed(_leg_places(job, p, q, text, middle), job.taken))
    return inks


def _leg_places(job: _View, p: Points, q: Points, text: str, middle: Points) -> list[Ink]:
    left = np.array([-(q - p)[1], (q - p)[0]])
    outer = 1.0 if float(np.dot((p + q) / 2.0 - middle, left)) >= 0.0 else -1.0
    near = job.member.tube.radius * job.view.scale + _FAR
    span = float(np.hypot(*(q - p)))
    slides = (0.0, span / 4.0, -span / 4.0)
    fit = (span - 0.5) / (ADVANCE * len(text))
    height = LETTER if fit >= LETTER else fit if fit >= _SMALL else LETTER
    steps = [(side, step) for step in range(4) for side in (outer, -outer)]
    return [
        dimension(p, q, side * (near + 6.0 * step), text, height=height, slide=slide)
        for side, step in steps
        for slide in slides
    ]


def _bend_label(job: _View, index: int, which: int) -> Ink:
    """Number, angle and radius of the bend; in the second view how it lies to the one before."""
    bend = job.member.bends[index]
    number = bend_number(job.member, index, job.starts_at)
    radius = f"{bend.clr:g}" if job.units == "mm" else size_words(bend.clr, job.units)
    lines = [f"bend {number}", f"{say_angle(bend.angle)} R{radius}"]
    if which == 1:
        lines = [f"bend {number}", *_lies(job, index, number)]
    s = (bend.start + bend.stop) / 2.0
    at = on_paper(job.view, point_at(job.member.path, s))
    apex = on_paper(job.view, bend.apex)
    way = apex - at
    size = float(np.hypot(*way))
    way = way / size if size > 0.3 else np.array([0.0, 1.0])
    return placed(callouts(at, way, _near(job), lines), job.taken)


def _near(job: _View) -> float:
    return job.member.tube.radius * job.view.scale


def _lies(job: _View, index: int, number: int) -> list[str]:
    if number == 1:
        return []
    rotation = job.member.bends[index if job.starts_at == "start" else index + 1].clocking
    return ["same way" if abs(rotation) < _FLAT else rotation_words(rotation)]


def _overall(job: _View, which: int) -> list[Ink]:
    """Sizes over the outside of the tube, to check on the bench: across (first view only) and up."""
    low, high = extent((job.member,), job.view)
    size = (high - low) / job.view.scale
    inks: list[Ink] = []
    if which == 0 and job.member.bends:
        below = float(job.taken.box()[0][1]) - 7.0
        text = size_words(float(size[0]), job.units) + _OVER_ALL
        across = dimension(low, np.array([high[0], low[1]]), below - float(low[1]), text, height=LETTER)
        inks.append(placed([across], job.taken))
    if job.member.bends:
        text = size_words(float(size[1]), job.units) + _OVER_ALL
        inks.append(placed(_upright_places(low, high, text, job.taken), job.taken))
    return inks


def _upright_places(low: Points, high: Points, text: str, taken: AreasInUse) -> list[Ink]:
    """The height over all, to the right of everything or to the left of it."""
    least, most = taken.box()
    places = ((float(high[0]), float(most[0]) + 6.0), (float(low[0]), float(least[0]) - 6.0))
    return [_upright(x, to, float(low[1]), float(high[1]), text) for x, to in places]


def _upright(x: float, to: float, low: float, high: float, text: str) -> Ink:
    """A vertical dimension; its text lies level beside the line where it is too long to stand along it."""
    p, q = np.array([x, low]), np.array([x, high])
    if high - low >= text_width(text, LETTER):
        return dimension(p, q, x - to, text, height=LETTER)
    bare = dimension(p, q, x - to, "", height=LETTER)
    away = 1.0 if to > x else -1.0
    size, rest = text.removesuffix(_OVER_ALL), text[-len(_OVER_ALL) :].strip()
    rows = (size, (low + high) / 2.0 + 0.3 * LETTER), (rest, (low + high) / 2.0 - 1.3 * LETTER)
    labels = tuple(
        Label(
            text=t, at=(to + 2.5 * away, y), height=LETTER, anchor="left" if away > 0.0 else "right",
            layer="dimension",
        )
        for t, y in rows
    )  # fmt: skip
    return Ink(strokes=bare.strokes, labels=labels)


def _end_label(job: _View, index: int) -> Ink:
    """Which end it is, and what it meets."""
    end = job.member.ends[index]
    low, high = finished(job.member)
    at = on_paper(job.view, point_at(job.member.path, (low, high)[index]))
    row, back = ((0, 1), (-1, -2))[index]
    way = job.drawn.centre[row] - job.drawn.centre[back]
    way = unit2(way) if float(np.hypot(*way)) > 0.2 else np.array([0.0, 1.0])
    out = -way if not job.member.bends else np.array([-way[1], way[0]])
    return placed(callouts(at, out, _near(job), [end.which]), job.taken)


def _arrow(made: Ink) -> Ink:
    """Arrow A, looking down on the first view from above."""
    x0, _, x1, y1 = box_round(made.strokes, made.labels)
    tip = np.array([(x0 + x1) / 2.0, y1 + 2.0])
    label = Label(text="A", at=(float(tip[0]) + 2.0, float(tip[1]) + 3.0), height=1.2 * LETTER, strong=True)
    shaft = polyline([tip + np.array([0.0, 8.0]), tip], "mark")
    return Ink(strokes=(shaft, arrowhead(tip, np.array([0.0, -1.0]), "mark", size=3.4)), labels=(label,))
