"""How belts, helmet and sight stand over everybody who drives, in every hole and place of the seat."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from cagewright.base.answers import Answer, Level, Value, figure, worst
from cagewright.base.drawing import Drawing, Label, Stroke, box_round
from cagewright.base.names import DRIVER, shown
from cagewright.base.say import Quantity, say_length
from cagewright.base.sheet import Column, Sheet, Table
from cagewright.base.units import LengthUnit
from cagewright.check.belts.tab_place import WORTH, TabPlace, best_place
from cagewright.check.judge import say_bounds
from cagewright.check.postures import (
    HELMET,
    SIGHT,
    Posture,
    PostureFigure,
    all_readings,
    best_holes,
    postures,
    weighed,
)
from cagewright.job.opening import Job
from cagewright.plan.people import occupants, turns_of
from cagewright.plan.types import SeatEntry
from cagewright.shape.types import Person

CAUTION = (
    "Angles and gaps are of people as they were measured or reckoned, sitting still. Sit each of them in, "
    "belts on, before a hole is drilled or a tab is welded; the belt maker's sheet and the rule book of your "
    "series rule."
)
QUANTITY: dict[str, Quantity] = {"angle": "angle", "length": "length"}


@dataclass(frozen=True, slots=True, kw_only=True)
class DriverRow:
    """One figure over everybody who sits there, in every hole and place of the seat.

    Attributes:
        what: is measured, and of which belt or tube.
        low: the least, and in ``low_who`` of whom, where.
        high: the most, and in ``high_who`` of whom, where.
        limit: as its text writes it; empty without one.
        margin: the least room to the limit in the holes chosen; None without one.
        level: how that stands.
    """

    what: str
    low: Value
    low_who: str
    high: Value
    high_who: str
    limit: str
    margin: Value | None
    level: Level


@dataclass(frozen=True, slots=True, kw_only=True)
class HoleRow:
    """Which hole for whom, and how much room there is to the tightest limit all along the travel."""

    who: str
    hole: int
    said: str
    level: Level


@dataclass(frozen=True, slots=True, kw_only=True)
class TabRow:
    """The best place of a tab, and how it is turned.

    Attributes:
        mount: its name.
        said: what to do.
        turned: the tab's lean above the level, forward along the pull, seen from the side; none for a
            belt that is wrapped round its tube.
        spread: how far anybody's pull lies off it at most.
        level: how it stands there.
    """

    mount: str
    said: str
    turned: Value
    spread: Value
    level: Level


@dataclass(frozen=True, slots=True, kw_only=True)
class SitRow:
    """A reading to take with the driver in: whom, where, what is expected, and what stops the work."""

    who: str
    what: str
    expected: Value
    stop: str


@dataclass(frozen=True, slots=True, kw_only=True)
class DriversAnswer(Answer):
    """How one seat stands over everybody who sits in it.

    Attributes:
        person: whose seat it is, as the plan names the place.
        people: who sit there.
        postures: ways of sitting that were looked at.
        rows: every figure, the tightest first.
        holes: which hole for whom; none where the bracket has none.
        tabs: the best place of each tab.
        sit: three readings to take with the driver in.
        tables: all of these, laid out.
    """

    person: str
    people: tuple[str, ...]
    postures: int
    rows: tuple[DriverRow, ...]
    holes: tuple[HoleRow, ...]
    tabs: tuple[TabRow, ...]
    sit: tuple[SitRow, ...]
    tables: tuple[Table, ...]
    units: LengthUnit


def drivers_of(job: Job) -> tuple[DriversAnswer, ...]:
    """How each seat stands over everybody who sits in it; none without anybody in a seat."""
    return job.cache.get(("drivers", job.key), lambda: tuple(_answer(job, p) for p in _seated(job)))


def _seated(job: Job) -> list[Person]:
    return [p for p in job.cage.people if p.body is not None]


def seat_of(job: Job, person: str) -> SeatEntry | None:
    """What the plan says of that person's seat."""
    return next((o.seat for o in occupants(job.plan) if o.name == person), None)


def _postures(job: Job, person: Person) -> tuple[Posture, ...]:
    return postures(person, seat_of(job, person.name))


def _answer(job: Job, person: Person) -> DriversAnswer:
    cage, units = job.cage, job.cage.units
    every = _postures(job, person)
    readings = all_readings(cage, every, driver=person.name == DRIVER)
    holes = best_holes(readings)
    chosen = tuple(p for p in every if p.hole == holes.get(p.turn, p.hole))
    rows = _rows(readings, holes, units)
    names = [body.called or person.name for body in turns_of(person.body)]
    told = _holes(readings, holes, names, units), _tabs(job, person, chosen), _sit(readings, holes, units)
    level = worst(tuple(r.level for r in rows))
    tight = next((r for r in rows if r.margin is not None), None)
    said = f": tightest {tight.what}, {tight.margin.said} to spare" if tight and tight.margin else ""
    who, ways = "people" if len(names) > 1 else "person", "ways" if len(every) > 1 else "way"
    over = f"{len(names)} {who}, {len(every)} {ways} of sitting"
    return DriversAnswer(
        headline=f"{shown(person.name)}: {over}{said}.", level=level, cautions=(CAUTION,),
        person=person.name, people=tuple(names), postures=len(every), rows=rows,
        holes=told[0], tabs=told[1], sit=told[2],
        tables=_tables(shown(person.name), rows, *told), units=units,
    )  # fmt: skip


def _tables(
    whose: str, rows: Sequence[DriverRow], holes: Sequence[HoleRow], tabs: Sequence[TabRow],
    sit: Sequence[SitRow],
) -> tuple[Table, ...]:  # fmt: skip
    """The ranges, holes, tabs and readings to take."""
    none = "–"
    laid = (
        ("Ranges", ("what", "least", "of whom", "most", "of whom", "limit", "to spare"), [
            (r.what, r.low.said, r.low_who, r.high.said, r.high_who, r.limit or none,
             r.margin.said if r.margin else none)
            for r in rows
        ]),
        ("Holes", ("who", "hole", "tightest"), [(h.who, str(h.hole), h.said) for h in holes]),
        ("Tabs", ("tab", "place", "points above the level", "pulls off it at most"), [
            (shown(t.mount), t.said,
             *((t.turned.said, t.spread.said) if t.turned.value is not None else none * 2))
            for t in tabs
        ]),
        ("With the driver in", ("who", "what to read, belts on", "expected", "when to stop"), [
            (s.who, s.what, s.expected.said, s.stop) for s in sit
        ]),
    )  # fmt: skip
    return tuple(
        Table(title=f"{title}, {whose}", columns=tuple(Column(head=h) for h in heads), rows=tuple(rows))
        for title, heads, rows in laid
        if rows
    )


# --- the figures


def _who(posture: Posture, units: LengthUnit) -> str:
    slid = say_length(abs(posture.slid), units, places=0)
    parts = [
        shown(posture.who) or shown(posture.person.name),
        f"hole {posture.hole}" if posture.hole else "",
        f"slid {slid} {'back' if posture.slid > 0.0 else 'forward'}" if posture.slid else "",
    ]
    return ", ".join(p for p in parts if p)


def _value(reading: PostureFigure, value: float, units: LengthUnit) -> Value:
    return figure(value, QUANTITY[reading.sort], units, places=0 if reading.sort == "length" else None)


def _rows(
    readings: tuple[PostureFigure, ...], holes: Mapping[int, int], units: LengthUnit
) -> tuple[DriverRow, ...]:
    groups: dict[tuple[str, str, str], list[PostureFigure]] = {}
    for r in readings:
        # helmet and sight are looked at as a whole, whichever tube is nearest
        label = "" if r.what in (HELMET, SIGHT) else r.label
        groups.setdefault((r.what, label, _limit(r, units)), []).append(r)
    found = [(_tight(g, holes), _row(key, g, holes, units)) for key, g in groups.items()]
    found.sort(key=lambda pair: math.inf if pair[0] is None else pair[0])
    return tuple(row for _, row in found)


def _limit(reading: PostureFigure, units: LengthUnit) -> str:
    return say_bounds(reading.limit.bounds, reading.sort, units) if reading.limit else ""


def _mine(group: Iterable[PostureFigure], holes: Mapping[int, int]) -> list[PostureFigure]:
    return [r for r in group if r.posture.hole == holes.get(r.posture.turn, r.posture.hole)]


def _tight(group: list[PostureFigure], holes: Mapping[int, int]) -> float | None:
    told = [m for r in _mine(group, holes) if (m := weighed(r)) is not None]
    return min(told) if told else None


def _row(
    key: tuple[str, str, str], group: list[PostureFigure], holes: Mapping[int, int], units: LengthUnit
) -> DriverRow:
    what, label, limit = key
    low, high = min(group, key=lambda r: r.low), max(group, key=lambda r: r.high)
    margins = [(m, r) for r in _mine(group, holes) if (m := r.margin) is not None]
    margin = min(margins, key=lambda pair: pair[0]) if margins else None
    bad = margin is not None and margin[0] < 0.0
    # a range that is only not known closer breaks nothing for sure
    sure = bad and all(_sure(r) for m, r in margins if m < 0.0)
    level: Level = "fine" if not bad else "fail" if sure else "cannot tell"
    if what == HELMET:
        level = "fine" if low.low > 0.0 else "fail"
        label = f"at the least {shown(low.label)}"
    return DriverRow(
        what=f"{what}, {shown(label)}" if label else what,
        low=_value(low, low.low, units), low_who=_who(low.posture, units),
        high=_value(high, high.high, units), high_who=_who(high.posture, units),
        limit=limit, margin=None if margin is None else _value(margin[1], margin[0], units), level=level,
    )  # fmt: skip


def _sure(reading: PostureFigure) -> bool:
    """Whether the limit is broken wherever in its range the figure lies."""
    assert reading.limit is not None
    return any(
        reading.high < b.value if b.kind == "at_least" else reading.low > b.value
        for b in reading.limit.bounds
    )


# --- holes and tabs


def _holes(
    readings: tuple[PostureFigure, ...], holes: Mapping[int, int], names: list[str], units: LengthUnit
) -> tuple[HoleRow, ...]:
    out: list[HoleRow] = []
    for turn, hole in holes.items():
        mine = [r for r in readings if r.posture.turn == turn and r.posture.hole == hole]
        told = [(m, r) for r in mine if (m := weighed(r)) is not None]
        if not hole:
            continue
        if not told:
            out.append(
                HoleRow(who=names[turn], hole=hole, said="no limit tells the holes apart", level="fine")
            )
            continue
        margin, r = min(told, key=lambda pair: pair[0])
        room = _value(r, r.margin or 0.0, units).said
        said = f"{r.what}, {shown(r.label)}, {_who(r.posture, units)}: {room} to spare"
        out.append(
            HoleRow(who=names[turn], hole=hole, said=said, level="fine" if margin >= 0.0 else "look at")
        )
    return tuple(out)


def _tabs(job: Job, person: Person, chosen: tuple[Posture, ...]) -> tuple[TabRow, ...]:
    mounts = person.belts.mounts if person.belts else ()
    found = [best_place(job.cage, chosen, m) for m in mounts]
    return tuple(_tab(f, job.cage.units) for f in found if f is not None)


def _tab(found: TabPlace, units: LengthUnit) -> TabRow:
    off = found.moved
    lean = math.atan2(float(found.pull[2]), -float(found.pull[0]))
    moves = [
        f"{say_length(abs(float(off[axis])), units, places=0)} {ways[int(off[axis] > 0.0)]}"
        for axis, ways in enumerate((("forward", "back"), ("left", "right"), ("down", "up")))
        if abs(off[axis]) >= 1.0
    ]
    gained = found.after > found.before + WORTH
    room = "somebody is outside a limit even there" if found.after < 0.0 else "everybody is within the limits"
    where = f"best {' and '.join(moves)} of where it is" if moves and gained else "best where it is"
    edge = ", as far as was looked" if moves and gained and found.at_edge else ""
    turned = figure(
        None if found.wrapped else lean, "angle", units, places=0, why="the belt is wrapped round"
    )
    return TabRow(
        mount=found.mount, said=f"{where}{edge}: {room}", turned=turned,
        spread=figure(found.spread, "angle", units, places=0),
        level="look at" if found.after < 0.0 or (moves and gained) else "fine",
    )  # fmt: skip


# --- with the driver in


def _sit(
    readings: tuple[PostureFigure, ...], holes: Mapping[int, int], units: LengthUnit
) -> tuple[SitRow, ...]:
    """The tightest lap angle, shoulder angle and helmet gap: what to expect, and when to stop."""
    out: list[SitRow] = []
    for what in ("lap angle", "shoulder down", HELMET):
        mine = [r for r in _mine(readings, holes) if r.what == what]
        if mine:
            r = min(mine, key=lambda r: (w if (w := weighed(r)) is not None else r.low, r.low))
            out.append(_sit_row(r, units))
    return tuple(out)


def _sit_row(r: PostureFigure, units: LengthUnit) -> SitRow:
    middle, half = (r.low + r.high) / 2.0, (r.high - r.low) / 2.0
    quantity, limit = QUANTITY[r.sort], _limit(r, units)
    with_what = "an angle gauge on the belt" if r.sort == "angle" else "a tape"
    return SitRow(
        who=_who(r.posture, units),
        what=f"{r.what}, {shown(r.label)}, with {with_what}",
        expected=figure(middle, quantity, units, places=0, plus_minus=half or None),
        stop=f"stop where it is not {limit}" if limit else "stop where a hand does not go between",
    )


# --- paper


def drivers_sheet(job: Job) -> Sheet | None:
    """The ranges, holes and tabs as a paper with a drilling template; None where but one posture is told."""
    if not any(len(_postures(job, person)) > 1 for person in _seated(job)):
        return None  # before the best tabs are looked for, which takes a second
    answers = [a for a in drivers_of(job) if a.postures > 1]
    drawings = [d for a in answers if (d := hole_template(job, a)) is not None]
    return Sheet(
        name="drivers", title="Everybody who drives", kind="fit-up",
        tables=tuple(t for a in answers for t in a.tables), drawings=tuple(drawings), notes=(CAUTION,),
    )  # fmt: skip


CROSS, SCALE_LINE = 6.0, 50.0


def hole_template(job: Job, answer: DriversAnswer) -> Drawing | None:
    """The bracket's holes at full size, seen from the left of the car, each with who sits in it.

    The bracket stands on the floor: the seat goes where its hole is.
    """
    seat = seat_of(job, answer.person)
    if seat is None or not seat.holes:
        return None
    who: dict[int, list[str]] = {}
    for row in answer.holes:
        who.setdefault(row.hole, []).append(row.who)
    strokes: list[Stroke] = []
    labels: list[Label] = []
    for number, (back, up) in enumerate(seat.holes, start=1):
        at = np.array([back, up])  # forward is to the left on paper
        for arm in (np.array([CROSS, 0.0]), np.array([0.0, CROSS])):
            strokes.append(Stroke(points=np.array([at - arm, at + arm]), layer="cut"))
        names = f", {' and '.join(who[number])}" if number in who else ""
        labels.append(Label(text=f"{number}{names}", at=(float(at[0]) + 2.0, float(at[1]) + 2.0), height=2.5))
    low = min(up for _, up in seat.holes) - 16.0
    left = min(back for back, _ in seat.holes)
    strokes.append(Stroke(points=np.array([[left, low], [left + SCALE_LINE, low]]), layer="dimension"))
    line = say_length(SCALE_LINE, job.cage.units)
    labels.append(
        Label(text=f"the line is {line} long; forward is to the left", at=(left, low - 5.0), height=2.5)
    )
    return Drawing(
        name=f"seat-holes-{answer.person}",
        title=f"Holes in the seat's bracket, {shown(answer.person)}, from the left, full size",
        box=box_round(tuple(strokes), tuple(labels), margin=8.0),
        scale=1.0,
        strokes=tuple(strokes),
        labels=tuple(labels),
    )
