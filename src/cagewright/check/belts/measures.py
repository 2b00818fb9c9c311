"""What can be measured of a harness, each word with what it looks at and how it reads."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType
from typing import get_args

from cagewright.base.vectors import Vector, length
from cagewright.check.belts.harness import BeltRun, SeatedBody
from cagewright.check.findings import Location
from cagewright.check.readings import at
from cagewright.check.said import Sort
from cagewright.plan.types import BeltKind
from cagewright.shape.seated import whose_words
from cagewright.shape.standing import names_of, seat_tubes
from cagewright.shape.types import BeltMount, Cage, Seating
from cagewright.stock.bolts import bolt_named


@dataclass(frozen=True, slots=True, kw_only=True)
class Setting:
    """What the measures look at: the cage, a harness's belts, and the body and seat that they hold.

    ``whose`` is empty where nobody else sits in the car.
    """

    cage: Cage
    mounts: tuple[BeltMount, ...]
    runs: tuple[BeltRun, ...]
    body: SeatedBody
    seat: Seating | None = None
    whose: str = ""

    @property
    def harness(self) -> str:
        """The harness and, where there are several, whose."""
        return whose_words(self.whose, "harness")


@dataclass(frozen=True, slots=True, kw_only=True)
class BeltAmount:
    """One measured amount.

    ``low`` and ``high`` are in the inside unit, None where nothing is known; ``why`` says what is not
    known or was assumed, ``ask`` what to measure or state.
    """

    label: str
    spot: Location
    low: float | None
    high: float | None
    belts: tuple[BeltKind, ...] = ()
    why: str = ""
    ask: str = ""
    run: BeltRun | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class BeltMeasure:
    """One word: the sort of amount, what it means, and the pure function that takes it."""

    sort: Sort
    meaning: str
    take: Callable[[Setting], tuple[BeltAmount, ...]]


def lap_angle(mount: Vector, hip: Vector) -> float:
    """The lap belt's angle to the level in side view, rad: 90 deg straight down, more where it runs ahead."""
    return math.atan2(float(hip[2] - mount[2]), float(mount[0] - hip[0]))


def down_angle(mount: Vector, shoulder: Vector) -> float:
    """How far the shoulder belt runs down from the level in side view, rearward, rad; upward less than 0."""
    return math.atan2(float(shoulder[2] - mount[2]), float(mount[0] - shoulder[0]))


def inward_angle(mount: Vector, shoulder: Vector, middle: float) -> float:
    """How far the shoulder belt closes in on the line across = ``middle`` in the plan, going back, rad."""
    inward = math.copysign(1.0, middle - float(shoulder[1])) * float(mount[1] - shoulder[1])
    return math.atan2(inward, float(mount[0] - shoulder[0]))


def back_from_plumb(mount: Vector, groin: Vector) -> float:
    """How far the crotch belt runs back from straight down in side view, rad; ahead less than 0."""
    return math.atan2(float(mount[0] - groin[0]), float(groin[2] - mount[2]))


def spot_of(mount: BeltMount) -> Location:
    """Where the mount is."""
    member = mount.mount.member
    return Location(members=(member,) if member else (), point=at(mount.mount.point))


ASK_SHOULDER = "measure the shoulder under the belt, seated, and give it in the plan as shoulder"
ASK_CROTCH = "measure where the crotch belt leaves the body and give it in the plan as groin"
Take = Callable[[Setting], tuple[BeltAmount, ...]]


def _of_belt(run: BeltRun, low: float | None, high: float | None, why: str = "", ask: str = "") -> BeltAmount:
    return BeltAmount(
        label=run.mount.mount.name, spot=spot_of(run.mount), low=low, high=high, belts=(run.kind,),
        why=why, ask=ask, run=run,
    )  # fmt: skip


def _belts_of(s: Setting, kind: BeltKind) -> list[BeltRun]:
    return [run for run in s.runs if run.kind == kind]


def _angles(kind: BeltKind, value: Callable[[Vector, Vector, SeatedBody], float], ask: str = "") -> Take:
    """The angles of the belts of a kind by mount, place on the body and body; asked for where in doubt."""

    def angle(run: BeltRun, body: SeatedBody) -> BeltAmount:
        values = [value(run.start, run.body + sign * run.doubt, body) for sign in (-1.0, 0.0, 1.0)]
        low, high = min(values), max(values)
        if high - low <= 1e-9:
            return _of_belt(run, low, high)
        return _of_belt(run, low, high, f"the {kind} belt's place on the body is reckoned, not measured", ask)

    return lambda s: tuple(angle(run, s.body) for run in _belts_of(s, kind))


def _known(run: BeltRun, value: float, doubt: float) -> BeltAmount:
    ask = ASK_CROTCH if run.kind == "crotch" else ASK_SHOULDER
    return _of_belt(run, max(value - doubt, 0.0), value + doubt, ask=ask)


def _free(kind: BeltKind) -> Take:
    return lambda s: tuple(_known(run, run.free, float(length(run.doubt))) for run in _belts_of(s, kind))


def _below_shoulder(s: Setting) -> tuple[BeltAmount, ...]:
    doubt, top = s.body.shoulder_doubt, s.body.shoulder[2]
    why = "the shoulder's height is reckoned, not measured" if doubt else ""
    below = [(run, float(top - run.start[2])) for run in _belts_of(s, "shoulder")]
    return tuple(_of_belt(run, value - doubt, value + doubt, why, ASK_SHOULDER) for run, value in below)


def holding(mounts: Sequence[BeltMount], kind: BeltKind) -> list[BeltMount]:
    """The mounts that hold a belt of that kind, in order."""
    return [mount for mount in mounts if kind in mount.belts]


def _of_mounts(
    label: str, mounts: Sequence[BeltMount], value: float, belts: tuple[BeltKind, ...] = ()
) -> tuple[BeltAmount, ...]:
    members = dict.fromkeys(m.mount.member for m in mounts if m.mount.member)
    where = Location(members=tuple(members))
    return (BeltAmount(label=label, spot=where, low=value, high=value, belts=belts),)


def _spread(kind: BeltKind) -> Take:
    def take(s: Setting) -> tuple[BeltAmount, ...]:
        mounts = sorted(holding(s.mounts, kind), key=lambda m: float(m.mount.point[1]))
        if len(mounts) < 2:
            return ()
        ends = (mounts[0], mounts[-1])
        apart = float(length(ends[1].mount.point - ends[0].mount.point))
        return _of_mounts(" to ".join(m.mount.name for m in ends), ends, apart, (kind,))

    return take


def _mounts(kind: BeltKind, label: str) -> Take:
    """How many mounts hold a belt of that kind."""
    return lambda s: _of_mounts(
        whose_words(s.whose, label), found := holding(s.mounts, kind), float(len(found)), (kind,)
    )


def _at_seat_bottom(s: Setting) -> tuple[BeltAmount, ...]:
    bottom = s.seat.bottom if s.seat else None
    laps = _belts_of(s, "lap")
    if bottom is None:
        ask = "measure the corner of seat back and seat bottom and give it as seat: bottom"
        return tuple(_of_mount(run.mount, None, ask, ("lap",)) for run in laps)
    return tuple(_known(run, _ahead_of(run, bottom), 0.0) for run in laps if run.start[2] < bottom[2])


def _ahead_of(run: BeltRun, bottom: Vector) -> float:
    share = (bottom[2] - run.start[2]) / (run.body[2] - run.start[2])
    return float(bottom[0] - (run.start[0] + share * (run.body[0] - run.start[0])))


def _behind_seat(s: Setting) -> tuple[BeltAmount, ...]:
    runs = _belts_of(s, "shoulder")
    if s.seat is not None and s.seat.slots is not None:
        return tuple(_known(run, float(length(run.body - run.start)), 0.0) for run in runs)
    why = "the seat back is not measured: it stands somewhere between the shoulder and the mount"
    ask = "measure the seat's belt slots and give them as seat: slots"
    return tuple(_of_belt(run, 0.0, run.free, why, ask) for run in runs)


def points_of(runs: Sequence[BeltRun]) -> int:
    """How many belts there are."""
    return len(runs)


def _y_join(s: Setting) -> tuple[BeltAmount, ...]:
    mounts = holding(s.mounts, "shoulder")
    ask = "measure on the belt how far behind the neck its two shoulder belts join"
    return (
        (_of_mount(mounts[0], None, ask, ("shoulder",), whose_words(s.whose, "Y belt")),)
        if len(mounts) == 1
        else ()
    )


def _on_tubes(*, seat: bool, kinds: Sequence[BeltKind] = get_args(BeltKind)) -> Take:
    """How many mounts of belts of those kinds are on a bar that carries the seat, or on another tube."""

    def take(s: Setting) -> tuple[BeltAmount, ...]:
        seats = names_of(seat_tubes(s.cage))
        mine = {member.name for member in s.cage.members if (member.name in seats) is seat}
        wrong = [m for m in s.mounts if m.mount.member in mine and {*m.belts} & {*kinds}]
        return _of_mounts(", ".join(m.mount.name for m in wrong) or s.harness, wrong, float(len(wrong)))

    return take


def _of_mount(
    mount: BeltMount,
    value: float | None,
    ask: str,
    belts: tuple[BeltKind, ...] | None = None,
    label: str = "",
) -> BeltAmount:
    return BeltAmount(
        label=label or mount.mount.name, spot=spot_of(mount), low=value, high=value,
        belts=mount.belts if belts is None else belts, ask=ask,
    )  # fmt: skip


def _plate(value: Callable[[tuple[float, float, float]], float]) -> Take:
    def of_plate(m: BeltMount) -> BeltAmount:
        ask = f"give the plate of {m.mount.name}: plate: [length, width, thickness]"
        return _of_mount(m, None if m.plate is None else value(m.plate), ask)

    return lambda s: tuple(of_plate(mount) for mount in s.mounts if mount.mount.member is None)


def _of_part(word: str, value: Callable[[BeltMount], float | None]) -> Take:
    """A figure of a part of every mount that no belt is wrapped round."""
    return lambda s: tuple(
        _of_mount(m, value(m), f"give the {word} of {m.mount.name}") for m in s.mounts if not m.wrap
    )


def _bolt_size(mount: BeltMount) -> float | None:
    size = bolt_named(mount.bolt.size) if mount.bolt else None
    return size.diameter if size else None


_ROWS: tuple[tuple[str, Sort, Take, str], ...] = (
    ("lap angle", "angle", _angles("lap", lambda mount, hip, _: lap_angle(mount, hip)),
     "the line from the lap mount to the hip point against the level, in side view"),
    ("lap at seat bottom", "length", _at_seat_bottom,
     "how far ahead of the corner of seat back and bottom the lap belt passes the seat bottom"),
    ("lap spread", "length", _spread("lap"), "between the lap mounts"),
    ("lap free", "length", _free("lap"), "free lap belt, mount to hip"),
    ("lap belts", "count", _mounts("lap", "lap belts"), "how many lap mounts there are"),
    ("shoulder down", "angle",
     _angles("shoulder", lambda mount, top, _: down_angle(mount, top), ASK_SHOULDER),
     "how far the shoulder belt runs down from the level behind the shoulder, in side view"),
    ("shoulder inward", "angle",
     _angles("shoulder", lambda mount, top, s: inward_angle(mount, top, float(s.hip[1])), ASK_SHOULDER),
     "how far the shoulder belt closes in on the seat's centre line, in the plan"),
    ("shoulder spread", "length", _spread("shoulder"), "between the shoulder mounts"),
    ("below shoulder", "length", _below_shoulder, "how far the mount is below the shoulder"),
    ("shoulder free", "length", _free("shoulder"), "free shoulder belt, mount to shoulder"),
    ("shoulder behind seat", "length", _behind_seat, "shoulder mount to where the belt leaves the seat back"),
    ("shoulder mounts", "count", _mounts("shoulder", "shoulder mounts"),
     "how many mounts hold shoulder belts"),
    ("y join", "length", _y_join, "neck to the join of a Y belt"),
    ("crotch to chest line", "angle",
     _angles("crotch", lambda mount, groin, s: back_from_plumb(mount, groin) + s.back_angle, ASK_CROTCH),
     "the crotch belt against the line of the belts on the chest, back more than 0, in side view"),
    ("crotch to plumb", "angle",
     _angles("crotch", lambda mount, groin, _: back_from_plumb(mount, groin), ASK_CROTCH),
     "the crotch belt against straight down, back more than 0, in side view"),
    ("crotch spread", "length", _spread("crotch"), "between the crotch mounts"),
    ("crotch free", "length", _free("crotch"), "free crotch belt, mount to groin"),
    ("belts", "count", lambda s: _of_mounts(s.harness, s.mounts, float(points_of(s.runs))),
     "how many belts the harness has"),
    ("mounts on the seat", "count", _on_tubes(seat=True), "belt mounts on a bar that carries the seat"),
    ("lap mounts on the cage", "count", _on_tubes(seat=False, kinds=("lap",)),
     "lap belt mounts on a tube of the cage"),
    ("plate area", "area", _plate(lambda p: p[0] * p[1]), "plate at a mount on the shell"),
    ("plate thickness", "fine", _plate(lambda p: p[2]), "thickness of the plate at a mount on the shell"),
    ("tab thickness", "fine", _of_part("tab", lambda m: m.tab.thickness if m.tab else None),
     "thickness of the belt's tab"),
    ("bolt size", "fine", _of_part("bolt", _bolt_size), "diameter of the belt's bolt"),
)  # fmt: skip
MEASURES: Mapping[str, BeltMeasure] = MappingProxyType({
    name: BeltMeasure(sort=sort, take=take, meaning=meaning) for name, sort, take, meaning in _ROWS
})  # fmt: skip
"""The closed vocabulary of the belts' rows."""
