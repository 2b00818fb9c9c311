"""The survey sheet: every reading with a sketch of where the tape goes, and room to write, page by page."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence

import numpy as np

from cagewright.base.drawing import Box, Drawing, Label, Points, Stroke, text_width
from cagewright.base.sheet import PAPERS, Paper
from cagewright.make.pages import MARGIN
from cagewright.make.strokes import Ink, arrowhead, cross_mark, polyline, rectangle, together
from cagewright.plan.readings import ReadingRow, View, nominal_points, parts_of, points_of, reading_rows

SKETCH = (60.0, 38.0)
"""Width and height of a sketch, mm."""
CELL = 50.0
"""Height of one reading on the page, mm."""
LETTER = 2.1
"""Height of a capital, mm."""
LEAD = 3.6
HEAD, FOOT = 18.0, 26.0
Place = tuple[float, float, float]
Put = Callable[[Iterable[float]], Points]
"""Where on the page a place of the car stands, (2,) mm."""

AXES: dict[View, tuple[int, int]] = {"side": (0, 2), "section": (1, 2), "plan": (0, 1), "seat": (0, 2)}
"""Which coordinates run to the right and up in each view."""
FRAMES: dict[View, Box] = {
    "side": (200.0, 60.0, 2500.0, 1500.0),
    "section": (-900.0, 60.0, 900.0, 1400.0),
    "plan": (200.0, -900.0, 2500.0, 900.0),
    "seat": (850.0, 60.0, 2100.0, 1400.0),
}
"""What each view shows, mm."""
SPOTS: dict[str, tuple[Place, ...]] = {
    "hoop_station": ((1600.0, 0.0, 210.0),),
    "sill_height": ((520.0, -690.0, 210.0), (1060.0, -690.0, 210.0), (1600.0, -690.0, 210.0)),
    "floor_height": ((1600.0, -580.0, 130.0), (1600.0, 580.0, 130.0)),
    "door": (
        (600.0, -720.0, 760.0),
        (1555.0, -720.0, 760.0),
        (1080.0, -720.0, 255.0),
        (1080.0, -720.0, 1150.0),
    ),
    "sill_over_floor": ((1600.0, -690.0, 210.0), (1600.0, -580.0, 130.0), (1600.0, 690.0, 210.0)),
    "door_checks": (
        (600.0, -720.0, 760.0),
        (1555.0, -720.0, 760.0),
        (1080.0, -720.0, 255.0),
        (1600.0, -720.0, 760.0),
        (1080.0, -720.0, 210.0),
    ),
    "tunnel": ((1600.0, 110.0, 330.0),),
    "tunnel_checks": ((1600.0, -110.0, 330.0), (1600.0, 110.0, 330.0), (1600.0, 580.0, 130.0)),
    "back_offset": ((1180.0, -330.0, 300.0), (1367.0, -330.0, 764.0)),
    "pillar_lean": ((715.0, -620.0, 1000.0),),
    "back_angle": ((1330.0, -330.0, 560.0),),
}
"""Where the readings without a point of their own are taken on the made-up car."""
TITLE = "Survey of a stripped shell"
RULES = (
    "String down the centre line, car level on stands. Back: from the datum. Up: from the level line.",
    "Half: from the string to the side. Read every number twice; write what the tape says.",
)


def survey_pages(paper: Paper, only: Sequence[ReadingRow] | None = None) -> tuple[Drawing, ...]:
    """The sheet's pages, each a drawing whose box is the page, at true mm; of these readings, or of all."""
    wide, high = PAPERS[paper]
    each = int((high - HEAD - FOOT) // CELL)
    rows = reading_rows() if only is None else tuple(only)
    count = -(-len(rows) // each)
    return tuple(
        _page(rows[i * each : (i + 1) * each], (wide, high), number=i + 1, count=count, first=i * each + 1)
        for i in range(count)
    )


def _page(
    rows: Sequence[ReadingRow], size: tuple[float, float], *, number: int, count: int, first: int
) -> Drawing:
    wide, high = size
    inks = [_head(size, number, count)]
    for i, row in enumerate(rows):
        inks.append(_cell(row, first + i, (MARGIN, high - HEAD - (i + 1) * CELL), wide - 2.0 * MARGIN))
    ink = together(*inks)
    return Drawing(
        name=f"survey-{number}", title=f"{TITLE}, page {number}", box=(0.0, 0.0, wide, high), scale=1.0,
        strokes=ink.strokes, labels=ink.labels,
    )  # fmt: skip


def _head(size: tuple[float, float], number: int, count: int) -> Ink:
    wide, high = size
    labels = [
        Label(text=TITLE, at=(MARGIN, high - 10.0), height=3.2, strong=True),
        Label(text=f"{number} of {count}", at=(wide - MARGIN, high - 10.0), height=2.4, anchor="right"),
        *(Label(text=t, at=(MARGIN, high - 14.0 - 3.0 * i), height=1.8) for i, t in enumerate(RULES)),
        Label(text="car:", at=(wide / 2.0, high - 10.0), height=2.4),
    ]
    return Ink(labels=tuple(labels))


def _cell(row: ReadingRow, number: int, at: tuple[float, float], wide: float) -> Ink:
    x, y = at
    sketch = sketch_of(row, (x, y + CELL - SKETCH[1] - 7.0))
    left = x + SKETCH[0] + 4.0
    room = int((x + wide - left) / text_width("m", LETTER))
    lines = folded(row.hold, room)
    title = Label(text=f"{number}  {row.title}", at=(left, y + CELL - 8.0), height=2.6, strong=True)
    words = [
        Label(text=line, at=(left, y + CELL - 12.5 - LEAD * i), height=LETTER) for i, line in enumerate(lines)
    ]
    blanks = _blanks(row, (left, y + CELL - 14.5 - LEAD * len(lines)), x + wide)
    rule = polyline([(x, y), (x + wide, y)], "dimension")
    low = min((label.at[1] for label in blanks.labels), default=y + 20.0)
    why = [
        Label(text=line, at=(left, low - 4.6 - 2.9 * i), height=1.6)
        for i, line in enumerate(folded(_why(row), int((x + wide - left) / text_width("m", 1.6))))
    ]
    return together(sketch, Ink(strokes=(rule,), labels=(title, *words, *why)), blanks)


def _why(row: ReadingRow) -> str:
    """What the reading is for, what is plausible and what checks it, in one line."""
    low, high = (", ".join(f"{v:g}" for v in limit) for limit in (row.low, row.high))
    unit = "deg" if row.values == ("lean",) else "mm"
    checked = f" Checked by: {', '.join(row.guard).replace('_', ' ')}." if row.guard else ""
    return f"For {row.used}. Plausible: {low} to {high} {unit}.{checked}"


def folded(text: str, room: int) -> list[str]:
    """The text in lines of at most ``room`` letters."""
    lines, line = list[str](), ""
    for word in text.split():
        if line and len(line) + 1 + len(word) > room:
            lines.append(line)
            line = word
        else:
            line = f"{line} {word}".strip()
    return [*lines, line]


def _blanks(row: ReadingRow, at: tuple[float, float], right: float) -> Ink:
    """A line to write on for every number, several to a row of the page."""
    x, y = at
    strokes: list[Stroke] = []
    labels: list[Label] = []
    for part in parts_of(row):
        for value in row.values:
            name = f"{part} {value if len(row.values) > 1 or not part else ''}".strip().replace("_", " ")
            need = text_width(name, LETTER) + 21.0
            if x + need > right:
                x, y = at[0], y - 5.2
            labels.append(Label(text=name, at=(x, y), height=LETTER))
            start = x + text_width(name, LETTER) + 1.0
            strokes.append(polyline([(start, y - 0.4), (start + 17.0, y - 0.4)], "mark"))
            x += need
    return Ink(strokes=tuple(strokes), labels=tuple(labels))


# --- the sketch


def sketch_of(row: ReadingRow, at: tuple[float, float]) -> Ink:
    """A small sketch of the made-up car with the reading's places marked, its lower left corner at ``at``."""
    frame = FRAMES[row.view]
    part = min(SKETCH[0] / (frame[2] - frame[0]), SKETCH[1] / (frame[3] - frame[1]))

    def put(p: Iterable[float]) -> Points:
        x, y, z = p
        place = (x, y, z)
        right, up = AXES[row.view]
        flip = -1.0 if row.view == "plan" else 1.0
        low = -frame[3] if row.view == "plan" else frame[1]
        return np.array([
            at[0] + (place[right] - frame[0]) * part,
            at[1] + (flip * place[up] - low) * part,
        ])

    box = rectangle((at[0], at[1], at[0] + SKETCH[0], at[1] + SKETCH[1]), "hidden")
    body = [polyline([put(p) for p in line], "body") for line in _outlines(row.view)]
    return Ink(strokes=(box, *body, *_marks(row, put)))


def _outlines(view: View) -> list[list[Place]]:
    """The lines of the made-up car in that view."""
    n = nominal_points()
    left = [n[f"{name}_left"] for name in ("sill_side", "waist", "side_mid", "upper_side", "cant_rail")]
    if view == "section":
        right = [n[f"{name}_right"] for name in ("sill_side", "waist", "side_mid", "upper_side", "cant_rail")]
        roof = [n["roof_left"], n["roof_centre"], n["roof_right"]]
        floor: list[Place] = [(1600.0, -690.0, 210.0), (1600.0, -600.0, 130.0), (1600.0, -110.0, 130.0),
                              (1600.0, -110.0, 330.0), (1600.0, 110.0, 330.0), (1600.0, 110.0, 130.0),
                              (1600.0, 600.0, 130.0), (1600.0, 690.0, 210.0)]  # fmt: skip
        return [[*left, *roof, *right[::-1]], floor]
    corner = ("pillar_base", "pillar_mid", "pillar_top", "rail_mid", "cant_rail")
    rear: list[Place] = [(1950.0, -520.0, 1215.0), (2420.0, -540.0, 860.0)]
    if view == "plan":
        sides = [[(x, sign * 700.0, 0.0) for x in (250.0, 2450.0)] for sign in (-1.0, 1.0)]
        pillars = [[n[f"{name}_{side}"] for name in corner] for side in ("left", "right")]
        return [
            *sides,
            *pillars,
            [(250.0, 0.0, 0.0), (2450.0, 0.0, 0.0)],
            [(1600.0, -700.0, 0.0), (1600.0, 700.0, 0.0)],
        ]
    sill: list[Place] = [(300.0, -690.0, 210.0), (2420.0, -690.0, 210.0)]
    door: list[Place] = [(600.0, 0.0, 255.0), (600.0, 0.0, 860.0), (1010.0, 0.0, 1150.0),
                         (1540.0, 0.0, 1150.0), (1555.0, 0.0, 255.0), (600.0, 0.0, 255.0)]  # fmt: skip
    seat: list[Place] = [(1000.0, 0.0, 300.0), n["hip"], (1400.0, 0.0, 750.0), n["helmet"]]
    hoop: list[Place] = [(1600.0, 0.0, 130.0), (1600.0, 0.0, 1260.0)]
    roof = [n[f"{name}_left"] for name in corner]
    if view == "seat":
        floor: list[Place] = [(900.0, -690.0, 210.0), (2050.0, -690.0, 210.0)]
        return [[*roof[2:], rear[0]], floor, hoop, seat]
    return [[*roof, *rear], sill, hoop, door]


def _marks(row: ReadingRow, place: Put) -> list[Stroke]:
    n = nominal_points()
    strokes: list[Stroke] = []
    for a, b in row.between:
        p, q = place(n[a]), place(n[b])
        strokes += _arrow(p, q)
    names = [name for part in parts_of(row) for name in dict.fromkeys(points_of(row, part))]
    spots = list(SPOTS.get(row.id, ())) or [n[name] for name in names]
    for spot in spots:
        strokes += cross_mark(place(spot), 1.6, "selected")
        strokes += [s for value in row.values for s in _reach(row.view, value, spot, place)]
    return strokes


def _arrow(p: Points, q: Points) -> list[Stroke]:
    size = float(np.hypot(*(q - p)))
    if size < 3.0:
        return list(cross_mark(p, 1.6, "selected"))
    way = (q - p) / size
    heads = [arrowhead(p, -way, "selected", size=2.0), arrowhead(q, way, "selected", size=2.0)]
    return [polyline([p, q], "selected"), *heads]


def _reach(view: View, value: str, spot: Place, place: Put) -> list[Stroke]:
    """The tape's line for one coordinate of a place, where the view shows it."""
    x, y, z = spot
    frame = FRAMES[view]
    starts: dict[str, Place] = {
        "back": (frame[0] + 20.0, y, z), "half": (x, 0.0, z), "up": (x, y, 90.0),
    }  # fmt: skip
    axis = {"back": 0, "half": 1, "up": 2}.get(value)
    if axis not in AXES[view]:
        return []
    p, q = place(starts[value]), place(spot)
    return _arrow(p, q) if float(np.hypot(*(q - p))) > 3.0 else []
