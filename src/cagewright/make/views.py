"""The whole cage from one side: near tubes over far ones, numbered to a key, with its size over all."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from cagewright.base.curves import point_at
from cagewright.base.drawing import (
    Drawing,
    Label,
    Layer,
    Look,
    Points,
    Stroke,
    box_round,
    label_corners,
    text_width,
)
from cagewright.base.names import shown
from cagewright.base.sheet import Column, Table
from cagewright.base.units import LengthUnit
from cagewright.base.vectors import ACROSS, BACK, UP
from cagewright.make.cutlist import tube_words
from cagewright.make.hidden import Lengths, lengths_of, seen_tubes, visible
from cagewright.make.placing import AreasInUse, placed
from cagewright.make.projection import Edges, Frame, extent, frame, on_paper, seen_cut
from cagewright.make.scales import SCALES, size_words
from cagewright.make.strokes import Ink, arrowhead, circle, dimension, polyline, together
from cagewright.shape.coupling_parts import coupling_faces
from cagewright.shape.feet import foot_faces, foot_plate
from cagewright.shape.gussets import gusset_shape
from cagewright.shape.seated import head_centre
from cagewright.shape.types import Cage, Member, bodies_of
from cagewright.stock.folding import fold_of

Direction = Literal["side", "plan", "front", "three-quarter"]
FRAMES: dict[Direction, Frame] = {
    "side": frame(BACK, UP),
    "plan": frame(BACK, ACROSS),
    "front": frame(-ACROSS, UP),
    "three-quarter": frame(np.array([0.56, -0.83, 0.0]), np.array([0.36, 0.24, 0.9])),
}
"""Where the eye is: at the car's left, above, before it, and before it to the left and above."""
NAMES: dict[Direction, str] = {
    "side": "from the left",
    "plan": "from above",
    "front": "from the front",
    "three-quarter": "from the front left",
}
_STEP = 1.6
"""Edges are tested for what hides them every so many mm on the paper."""
_FAR = 0.75
"""How much of its ink the furthest tube loses."""
_PAD = Look(width=1.6, ink="#0f55b8")
_ROUND = np.linspace(0.0, 2.0 * np.pi, 61)
_DISC = 2.3
_DIGIT = 1.9


@dataclass(frozen=True, slots=True, kw_only=True)
class _Scene:
    """What is looked at, and from where.

    Attributes:
        members: the tubes.
        view: the frame at the drawing's scale.
        seen: each tube's edges.
        tubes: all tubes in short lengths.
        near: greatest depth, mm toward the eye.
        deep: from the nearest to the furthest, mm.
        faces: colour of a tube's face by its name, ``#rrggbb``, where it is not steel grey.
    """

    members: tuple[Member, ...]
    view: Frame
    seen: tuple[Edges, ...]
    tubes: Lengths
    near: float
    deep: float
    faces: Mapping[str, str]


def cage_view(
    cage: Cage,
    direction: Direction,
    *,
    box: tuple[float, float] = (178.0, 120.0),
    numbers: bool = True,
    sizes: bool = True,
    key: bool = False,
    caption: bool = True,
    selected: tuple[str, ...] = (),
    wrong: tuple[str, ...] = (),
    faces: Mapping[str, str] | None = None,
    padded: Mapping[str, Sequence[tuple[float, float]]] | None = None,
) -> Drawing:
    """The cage seen from one side, as large as the box allows at a plain scale.

    Args:
        cage: what is built.
        direction: where the eye is.
        box: width and height for the picture (the key comes below it), mm.
        numbers: number each tube that is seen; those that are not are listed.
        sizes: dimension the cage over all (never in the three-quarter view, which has no true sizes).
        key: list numbers, names and tubes under the picture.
        caption: say the direction and the scale under the picture.
        selected: names of tubes drawn heavy.
        wrong: names of tubes drawn heavy and dashed, with a mark.
        faces: colour of a tube's face by its name, ``#rrggbb``; steel grey without.
        padded: stretches (start, stop) of tubes by name, mm from the tube's start, drawn as a heavy line.
    """
    bare = FRAMES[direction]
    sizes = sizes and direction != "three-quarter"
    scale = _scale(cage, bare, (box[0] - (24.0 if sizes else 4.0), box[1] - (30.0 if sizes else 14.0)))
    scene = _scene(cage.members, replace(bare, scale=scale), faces or {})
    marks: dict[str, Layer] = dict.fromkeys(selected, "selected")
    marks.update((name, "wrong") for name in wrong)
    picture = together(_ground(cage, scene), _tubes(scene), _lines(scene, marks), _feet(cage, scene))
    picture = together(picture, _padding(scene, padded or {}))
    overall = _sizes(picture, scene, cage.units) if sizes else Ink()
    discs = _numbers(scene, wrong) if numbers else Ink()
    whole = together(picture, overall, discs)
    if caption:
        whole = together(whole, _caption(whole, cage, direction, scale))
    if key:
        whole = together(whole, _key(whole, cage))
    return Drawing(
        name=f"cage_{direction.replace('-', '_')}",
        title=f"The cage {NAMES[direction]}",
        box=box_round(whole.strokes, whole.labels, margin=1.0),
        scale=scale,
        strokes=whole.strokes,
        labels=whole.labels,
    )


def _padding(scene: _Scene, padded: Mapping[str, Sequence[tuple[float, float]]]) -> Ink:
    """A heavy line along each padded stretch."""
    strokes: list[Stroke] = []
    for member in scene.members:
        for start, stop in padded.get(member.name, ()):
            along = np.linspace(start, stop, max(int((stop - start) / 20.0), 2))
            points = np.array([point_at(member.path, s) for s in along])
            strokes.append(Stroke(points=on_paper(scene.view, points), layer="selected", look=_PAD))
    return Ink(strokes=tuple(strokes))


def key_table(cage: Cage) -> Table:
    """Number, name, role and tube of every member, as the views are numbered."""
    columns = (
        Column(head="No", align="right"),
        Column(head="Member"),
        Column(head="Role"),
        Column(head="Tube"),
    )
    rows = tuple(
        (str(i + 1), shown(m.name), m.role, tube_words(m.tube, cage.units))
        for i, m in enumerate(cage.members)
    )
    return Table(title="", columns=columns, rows=rows)


def _scale(cage: Cage, view: Frame, room: tuple[float, float]) -> float:
    """The largest plain scale at which the tubes, plates and body lines fit the room."""
    ends = [p for m in cage.members for piece in m.path.pieces for p in (piece.start, piece.stop)]
    cloud = np.vstack([*ends, *(line.points for line in cage.lines), *(foot_plate(f) for f in cage.feet)])
    size = np.ptp(on_paper(view, cloud), axis=0) + 50.0
    need = max(size[0] / room[0], size[1] / room[1])
    return 1.0 / next((s for s in SCALES if s >= need), float(np.ceil(need)))


def _scene(members: tuple[Member, ...], view: Frame, faces: Mapping[str, str]) -> _Scene:
    seen = seen_tubes(members, view, straight=5.0 / view.scale)
    tubes = lengths_of(members, seen)
    depth = np.concatenate([tubes.depth_a, tubes.depth_b])
    return _Scene(
        members=members, view=view, seen=seen, tubes=tubes, near=float(depth.max()),
        deep=max(float(np.ptp(depth)), 1.0), faces=faces,
    )  # fmt: skip


def _fade(scene: _Scene, depth: float) -> float:
    """How much ink is lost at that depth, in steps too small to see."""
    return round(_FAR * 12.0 * min(max((scene.near - depth) / scene.deep, 0.0), 1.0)) / 12.0


def _ground(cage: Cage, scene: _Scene) -> Ink:
    """Body lines and the helmets' circles, behind everything."""
    lines = [polyline(on_paper(scene.view, line.points), "body") for line in cage.lines]
    rings: list[Stroke] = []
    words: list[Label] = []
    for whose, body in bodies_of(cage):
        at, radius = on_paper(scene.view, head_centre(body)[0]), body.helmet / 2.0 * scene.view.scale
        rings.append(circle(at, radius, "body"))
        words.extend(_helmet(scene, at, radius, shown(whose) or "helmet", [word.at for word in words]))
    return Ink(strokes=(*lines, *rings), labels=tuple(words))


def _helmet(
    scene: _Scene, at: Points, radius: float, text: str, taken: Sequence[tuple[float, float]]
) -> tuple[Label, ...]:
    """The word in the helmet's circle, where no tube stands before it and no other such word stands."""
    spots = (at + np.array([0.0, up * radius - 0.7]) for up in (0.0, 0.5, -0.5, 0.75, -0.75))
    for x, y in spots:
        word = Label(text=text, at=(float(x), float(y)), height=1.8, anchor="middle")
        corners = label_corners(word)
        cloud = np.vstack([corners, corners.mean(axis=0), (corners[:2] + corners[2:]) / 2.0])
        clear = all(abs(y - v) > 2.4 or abs(x - u) > 2.0 * float(np.ptp(corners[:, 0])) for u, v in taken)
        depth = np.full(len(cloud), scene.near - scene.deep)
        if clear and visible(cloud, depth, scene.tubes, scene.view.scale).all():
            return (word,)
    return ()


def _tubes(scene: _Scene) -> Ink:
    """The tubes' faces in steel grey, the furthest first."""
    tubes = scene.tubes
    depth = (tubes.depth_a + tubes.depth_b) / 2.0
    return Ink(
        strokes=tuple(
            _face(scene, i, _fade(scene, float(depth[i]))) for i in np.argsort(depth, kind="stable")
        )
    )


def _face(scene: _Scene, i: int, fade: float) -> Stroke:
    tubes = scene.tubes
    ink = scene.faces.get(scene.members[int(tubes.member[i])].name)
    if tubes.end_on[i]:
        face = circle(tubes.a[i], tubes.radius[i] * scene.view.scale, "area", fill="tone")
    else:
        face = Stroke(points=_lapped(tubes.polygon[i]), layer="area", closed=True, fill="tone")
    if ink is None:
        return replace(face, fade=fade)
    # a colour that stands for a number keeps it at any depth
    return replace(face, fill="ink", look=Look(width=0.0, ink=ink))


def _lapped(polygon: Points) -> Points:
    """The quad made a little longer both ways along the tube, so that no seam shows."""
    (a, b, c, d), lap = polygon, 0.08
    return np.array([
        a + _unit(a - b) * lap,
        b + _unit(b - a) * lap,
        c + _unit(c - d) * lap,
        d + _unit(d - c) * lap,
    ])


def _unit(v: Points) -> Points:
    return v / max(float(np.hypot(v[0], v[1])), 1e-9)


def _lines(scene: _Scene, marks: dict[str, Layer]) -> Ink:
    """Edges and cuts where nothing hides them."""
    strokes: list[Stroke] = []
    for member, e in zip(scene.members, scene.seen, strict=True):
        layer = marks.get(member.name, "tube")
        for edge in (e.left, e.right):
            strokes += _shown(scene, edge, e.depth, layer)
        for end in member.ends:
            strokes += _shown(scene, *seen_cut(end, member.tube.radius, scene.view, _ROUND), layer)
    return Ink(strokes=tuple(strokes))


def _shown(scene: _Scene, line: Points, depth: NDArray[np.float64], layer: Layer) -> list[Stroke]:
    """The visible runs of a line (n, 2) with depth (n,); far ones faded."""
    good = np.isfinite(line[:, 0])
    strokes: list[Stroke] = []
    for part in np.split(np.arange(len(line)), np.flatnonzero(np.diff(good)) + 1):
        if len(part) > 1 and good[part[0]]:
            strokes += _runs(scene, *_finer(line[part], depth[part]), layer)
    return strokes


def _finer(line: Points, depth: NDArray[np.float64]) -> tuple[Points, NDArray[np.float64]]:
    """The line with no step longer than the test needs."""
    run = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(line, axis=0).T))])
    at = np.union1d(run, np.linspace(0.0, run[-1], max(2, int(run[-1] / _STEP) + 1)))
    x, y, z = (np.interp(at, run, values) for values in (line[:, 0], line[:, 1], depth))
    return np.column_stack([x, y]), z


def _runs(scene: _Scene, line: Points, depth: NDArray[np.float64], layer: Layer) -> list[Stroke]:
    middle, at = (line[:-1] + line[1:]) / 2.0, (depth[:-1] + depth[1:]) / 2.0
    shown = visible(middle, at, scene.tubes, scene.view.scale)
    fades = np.array([_fade(scene, float(d)) for d in at])
    state = np.where(shown, fades, -1.0)
    bounds = [0, *(np.flatnonzero(np.diff(state)) + 1).tolist(), len(state)]
    return [
        Stroke(points=line[a : b + 1], layer=layer, fade=0.0 if layer != "tube" else float(state[a]))
        for a, b in pairwise(bounds)
        if state[a] >= 0.0
    ]


def _feet(cage: Cage, scene: _Scene) -> Ink:
    """Foot plates, plates between tubes, gussets and couplings, where nothing hides their edges."""
    outlines = [face for f in cage.feet for face in (foot_plate(f), *foot_faces(f))]
    outlines += [p.corners for p in cage.plates]
    outlines += [face for g in cage.gussets for face in gusset_shape(cage, g, fold_of(g.thickness, ())).faces]
    outlines += [face for m in cage.members for c in m.couplings for face, _ in coupling_faces(c)]
    strokes: list[Stroke] = []
    for corners in outlines:
        ring = np.vstack([corners, corners[:1]])
        strokes += _shown(scene, on_paper(scene.view, ring), ring @ scene.view.toward, "plate")
    return Ink(strokes=tuple(strokes))


def _sizes(picture: Ink, scene: _Scene, units: LengthUnit) -> Ink:
    """Width and height over the outside of the finished tubes, their ends and those seen end on included."""
    low, high = extent(scene.members, scene.view)
    size = (high - low) / scene.view.scale
    x0, y0, _, _ = box_round(picture.strokes, picture.labels)
    across = dimension(
        low, np.array([high[0], low[1]]), y0 - 7.0 - float(low[1]), size_words(float(size[0]), units)
    )
    up = dimension(
        low, np.array([low[0], high[1]]), float(low[0]) - x0 + 7.0, size_words(float(size[1]), units)
    )
    return together(across, up)


def _numbers(scene: _Scene, wrong: tuple[str, ...]) -> Ink:
    """A numbered disc on every tube that is seen, and the numbers of those that are not."""
    taken, inks, unseen = AreasInUse(), list[Ink](), list[str]()
    for index, (member, e) in enumerate(zip(scene.members, scene.seen, strict=True)):
        text = f"{index + 1}{'!' if member.name in wrong else ''}"
        spots = _spots(scene, member, e)
        if spots:
            inks.append(placed([_disc(at, text) for at in spots], taken))
        else:
            unseen.append(text)
    made = together(*inks)
    if not unseen:
        return made
    x0, y0, _, _ = box_round(tuple(_outline(scene)), ())
    words = Label(text=f"behind others here: {', '.join(unseen)}", at=(x0, y0 - 17.0), height=1.9)
    return together(made, Ink(labels=(words,)))


def _outline(scene: _Scene) -> list[Stroke]:
    return [polyline(e.centre, "tube") for e in scene.seen]


def _spots(scene: _Scene, member: Member, e: Edges) -> list[Points]:
    """Places on the tube's centre line that are seen, from its middle outward."""
    run = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(e.centre, axis=0).T))])
    part = 0.5 + np.array([0.0, *(sign * step / 24.0 for step in range(1, 11) for sign in (-1.0, 1.0))])
    x, y, z = (np.interp(part * run[-1], run, v) for v in (e.centre[:, 0], e.centre[:, 1], e.depth))
    at = np.column_stack([x, y])
    shown = visible(at, z, scene.tubes, scene.view.scale, lift=1.02 * member.tube.radius)
    return list(at[shown])


def _disc(at: Points, text: str) -> Ink:
    wide = max(_DISC, text_width(text, _DIGIT) / 2.0 + 0.7)
    label = Label(text=text, at=(float(at[0]), float(at[1]) - _DIGIT / 2.0), height=_DIGIT, anchor="middle")
    return Ink(strokes=(circle(at, wide, "dimension", fill="paper", sides=32),), labels=(label,))


def _caption(made: Ink, cage: Cage, direction: Direction, scale: float) -> Ink:
    """Where the eye is, the scale, and which way the car faces."""
    x0, y0, _, _ = box_round(made.strokes, made.labels)
    tape = (
        ""
        if direction == "three-quarter"
        else (", sizes in mm" if cage.units == "mm" else ", sizes in inches")
    )
    text = f"The cage {NAMES[direction]}, scale 1:{1.0 / scale:g}{tape}"
    y = y0 - 6.0
    ink = Ink(labels=(Label(text=text, at=(x0, y), height=2.5),))
    if direction == "front":
        return ink
    end = x0 + text_width(text, 2.5) + 24.0
    arrow = (polyline([(end, y + 1.2), (end - 10.0, y + 1.2)], "mark"),)
    head = arrowhead(np.array([end - 12.0, y + 1.2]), np.array([-1.0, 0.0]), "mark")
    word = Label(text="front", at=(end + 1.5, y), height=2.2)
    return together(ink, Ink(strokes=(*arrow, head), labels=(word,)))


def _key(made: Ink, cage: Cage) -> Ink:
    """Numbers, names and tubes in columns under the picture."""
    x0, y0, x1, _ = box_round(made.strokes, made.labels)
    rows = [f"{i + 1:>2} {shown(m.name)}" for i, m in enumerate(cage.members)]
    wide = max(text_width(row, 2.0) for row in rows) + 4.0
    columns = max(1, int((x1 - x0) / wide))
    deep = -(-len(rows) // columns)
    return Ink(
        labels=tuple(
            Label(text=row, at=(x0 + (i // deep) * wide, y0 - 6.0 - 3.6 * (i % deep)), height=2.0)
            for i, row in enumerate(rows)
        )
    )
