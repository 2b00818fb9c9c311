"""The list of trims: what of the scanned shell is in a tube's way, and a template where it may be cut."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from cagewright.base.answers import Answer, Value, figure
from cagewright.base.drawing import Drawing, Label, Stroke
from cagewright.base.names import shown
from cagewright.base.sheet import Column, Sheet, Table
from cagewright.base.units import LengthUnit
from cagewright.base.vectors import length
from cagewright.check.body.in_the_way import area_words, in_the_way, move_in
from cagewright.job.opening import Job, scan_of
from cagewright.shape.laid_flat import Flat, laid_flat
from cagewright.shape.trims import ADDED, Standing, Trim
from cagewright.shape.types import Cage

STRETCHED = 0.03
"""A piece that would have to stretch more than this lies on no paper."""
MARGIN = 8.0
ARROW = 12.0
"""Length of the arrows on a template, mm."""
TOWARD = (("front", -1.0), ("left", -1.0), ("up", 1.0))
"""Where an arrow points along back, across and up, and which way along it that is."""
SCALE_LINE = 50.0
"""Length of the line by which a print is measured, mm."""
CAUTION = (
    "Nothing here says that cutting is safe: it says what is in the way. Only metal that was marked as "
    "trimmable has a cut; what is marked as seam, anchorage, rail or pillar is never cut; of the rest, ask."
)


@dataclass(frozen=True, slots=True, kw_only=True)
class TrimRow:
    """One piece of metal in a tube's way.

    Attributes:
        number: in the list.
        member: whose way it is in.
        standing: whether it may be cut.
        mark: the marked metal or measured line that says so, as it is read; empty where nothing does.
        place: where the tube is deepest in it, back, across and up.
        depth: how far the tube reaches into it.
        area: of the metal that goes.
        move: how far the tube would have to come in to be clear without a cut.
        template: ``flat``, ``wrapped`` over the metal, or empty where there is none.
        said: what to do.
    """

    number: int
    member: str
    standing: Standing
    mark: str
    place: tuple[Value, Value, Value]
    depth: Value
    area: Value
    move: Value
    template: str
    said: str


@dataclass(frozen=True, slots=True, kw_only=True)
class TrimsAnswer(Answer):
    """Everything that stands in the way of the planned tubes."""

    trims: tuple[TrimRow, ...]


def trims_of_job(job: Job) -> tuple[Trim, ...]:
    """What stands in the way of the plan's tubes, found once.

    Raises:
        ProblemsFound: the scan cannot be used.
    """
    return job.cache.get(("trims", job.key), lambda: in_the_way(job.cage, scan_of(job)))


def trims_answer(job: Job) -> TrimsAnswer:
    """The list of trims.

    Raises:
        ProblemsFound: the scan cannot be used.
    """
    return trims_told(job.cage, trims_of_job(job))


def trims_told(cage: Cage, found: tuple[Trim, ...]) -> TrimsAnswer:
    """The list of those trims of that cage."""
    may = sum(trim.standing == "trimmable" for trim in found)
    return TrimsAnswer(
        headline=f"{len(found)} pieces of the shell stand in tubes' ways, {may} of them marked as trimmable"
        if found
        else "nothing of the scan is in the way of a tube",
        level="look at" if found else "fine",
        cautions=(CAUTION,) if found else (),
        trims=tuple(
            _row(n, trim, flat, cage.units)
            for n, (trim, flat) in enumerate(zip(found, _flats(cage, found), strict=True), start=1)
        ),
    )


def _flats(cage: Cage, found: tuple[Trim, ...]) -> list[Flat | None]:
    """Each piece that may be cut laid flat as it is seen from the middle of the cage; of the others None."""
    every = np.concatenate([[piece.start for piece in m.path.pieces] for m in cage.members])
    middle = (every.max(axis=0) + every.min(axis=0)) / 2.0
    return [
        laid_flat(t.corners, t.faces, seen_from=middle) if t.standing == "trimmable" else None for t in found
    ]


def _row(number: int, trim: Trim, flat: Flat | None, units: LengthUnit) -> TrimRow:
    move = figure(move_in(trim.depth), "length", units)
    x, y, z = (figure(float(v), "length", units) for v in trim.at)
    return TrimRow(
        number=number,
        member=shown(trim.member),
        standing=trim.standing,
        mark=shown(trim.mark),
        place=(x, y, z),
        depth=figure(trim.depth, "length", units),
        area=Value(value=trim.area, unit="mm2", said=area_words(trim, units)),
        move=move,
        template=_template(flat),
        said=_to_do(trim, flat, move.said),
    )


def _template(flat: Flat | None) -> str:
    if flat is None or flat.stretch > STRETCHED:
        return ""
    return "wrapped" if flat.bent else "flat"


def _to_do(trim: Trim, flat: Flat | None, move: str) -> str:
    tube = shown(trim.member)
    if trim.standing == "never":
        return f"move {tube} in by {move}: {shown(trim.mark)} is never cut"
    if trim.standing == "ask first":
        return f"ask first whether it may be cut, or move {tube} in by {move}"
    if not _template(flat):
        return f"mark it at the car round a rod of the tube's size, or move {tube} in by {move}"
    return f"cut it by its template, or move {tube} in by {move}"


def trims_sheet(job: Job) -> Sheet | None:
    """The list of trims as a paper with its templates; None where nothing is in the way.

    Raises:
        ProblemsFound: the scan cannot be used.
    """
    answer, found = trims_answer(job), trims_of_job(job)
    if not found:
        return None
    pairs = zip(answer.trims, _flats(job.cage, found), strict=True)
    return Sheet(
        name="trims",
        title="What is in the way",
        kind="trims",
        tables=(trims_table(answer),),
        drawings=tuple(
            trim_drawing(row, flat, job.cage.units)
            for row, flat in pairs
            if row.template and flat is not None
        ),
        notes=answer.cautions,
    )


def trims_table(answer: TrimsAnswer) -> Table:
    """The list of trims as a table."""
    heads = ("no.", "tube", "where: back, across, up", "deep", "area", "marked as", "what to do")
    rows = tuple(
        (str(r.number), r.member, ", ".join(v.said for v in r.place), r.depth.said, r.area.said,
         f"{r.mark}: {r.standing}" if r.mark else r.standing, r.said)
        for r in answer.trims
    )  # fmt: skip
    return Table(title="", columns=tuple(Column(head=h) for h in heads), rows=rows)


def trim_drawing(row: TrimRow, flat: Flat, units: LengthUnit) -> Drawing:
    """The template of one trim at full size: its outline is a cut, the gap to the tube already in it.

    Two arrows say which way it lies in the car; printed side to the cabin.
    """
    every = np.concatenate(flat.loops)
    low, high = every.min(axis=0) - MARGIN, every.max(axis=0) + MARGIN
    right = max(float(high[0]), float(low[0]) + SCALE_LINE + 2.0 * MARGIN)
    y = float(low[1]) - 6.0
    start = float(low[0]) + MARGIN
    scale = Stroke(points=np.array([[start, y], [start + SCALE_LINE, y]]), layer="dimension")
    added, line = (figure(v, "length", units).said for v in (ADDED, SCALE_LINE))
    words = (
        f"trim {row.number}, {row.member}: {row.template}, {row.area.said}, {added} round the tube; "
        "printed side to the cabin",
        f"the line is {line} long",
    )
    texts = [(words[1], y + 2.0), (words[0], y - 6.0)]
    arrows = [_arrow(flat, axis) for axis in np.argsort(-length(flat.ways))[:2]]
    return Drawing(
        name=f"trim-{row.number}",
        title=f"Trim {row.number}: {row.mark}, for {row.member}, full size",
        box=(float(low[0]), y - 10.0, max(right, start + 2.2 * len(words[0])), float(high[1])),
        scale=1.0,
        strokes=(
            *(Stroke(points=loop, layer="cut", closed=True) for loop in flat.loops), scale,
            *(stroke for stroke, _ in arrows),
        ),
        labels=(
            *(Label(text=text, at=(start, at), height=2.5) for text, at in texts),
            *(label for _, label in arrows),
        ),
    )  # fmt: skip


def _arrow(flat: Flat, axis: int) -> tuple[Stroke, Label]:
    """An arrow in the piece's middle to the car's front, left or top, with its word."""
    word, sign = TOWARD[axis]
    way = sign * flat.ways[axis] / max(float(np.hypot(*flat.ways[axis])), 1e-9)
    side, start = np.array([-way[1], way[0]]), (flat.loops[0].max(axis=0) + flat.loops[0].min(axis=0)) / 2.0
    tip = start + ARROW * way
    head = [tip, tip - 3.0 * way + 1.2 * side, tip - 3.0 * way - 1.2 * side, tip]
    at = tip + 2.0 * way
    anchor = "left" if way[0] > 0.3 else "right" if way[0] < -0.3 else "middle"
    label = Label(text=word, at=(float(at[0]), float(at[1]) - 1.0), height=2.5, anchor=anchor)
    return Stroke(points=np.array([start, *head]), layer="dimension"), label
