"""What can be measured of a harness, each word with what it looks at and how it reads."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType

from cagewright.base.vectors import Vector, length
from cagewright.check.belts.bolts import bolt_named
from cagewright.check.belts.harness import BeltRun, SeatedBody
from cagewright.check.findings import Location
from cagewright.check.readings import at
from cagewright.check.said import Sort
from cagewright.plan.types import BeltKind
from cagewright.shape.types import BeltMount, Cage


@dataclass(frozen=True, slots=True, kw_only=True)
class Setting:
    """What the measures look at: the cage, its harness's belts and the driver's body."""

    cage: Cage
    mounts: tuple[BeltMount, ...]
    runs: tuple[BeltRun, ...]
    body: SeatedBody


@dataclass(frozen=True, slots=True, kw_only=True)
class BeltAmount:
    """One measured amount.

    Attributes:
        label: what it is of, in words.
        spot: where.
        low: least it can be, in the inside unit; None where nothing is known.
        high: most it can be.
        belts: which kinds of belt it is about.
        why: what is not known, or was assumed.
        ask: what to measure or state where it is not known.
        run: the belt, where it is of one.
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


def _of_runs(
    setting: Setting, kind: BeltKind, value: Callable[[Vector, Vector], float], ask: str = ""
) -> tuple[BeltAmount, ...]:
    return tuple(_of_run(run, value, ask) for run in setting.runs if run.kind == kind)


def _of_run(run: BeltRun, value: Callable[[Vector, Vector], float], ask: str) -> BeltAmount:
    values = [value(run.start, run.body + sign * run.doubt) for sign in (-1.0, 0.0, 1.0)]
    doubted = max(values) - min(values) > 1e-9
    return BeltAmount(
        label=run.mount.mount.name,
        spot=spot_of(run.mount),
        low=min(values),
        high=max(values),
        belts=(run.kind,),
        why=f"the {run.kind} belt's place on the driver is reckoned, not measured" if doubted else "",
        ask=ask if doubted else "",
        run=run,
    )


ASK_SHOULDER = "measure the seated driver's shoulder and give it as driver: shoulder"
ASK_CROTCH = "measure where the crotch belt leaves the driver's body and give it as driver: groin"


def _lap_angle(s: Setting) -> tuple[BeltAmount, ...]:
    return _of_runs(s, "lap", lap_angle)


def _shoulder_down(s: Setting) -> tuple[BeltAmount, ...]:
    return _of_runs(s, "shoulder", down_angle, ASK_SHOULDER)


def _shoulder_inward(s: Setting) -> tuple[BeltAmount, ...]:
    middle = float(s.body.hip[1])
    return _of_runs(s, "shoulder", lambda mount, body: inward_angle(mount, body, middle), ASK_SHOULDER)


def _crotch_to_plumb(s: Setting) -> tuple[BeltAmount, ...]:
    return _of_runs(s, "crotch", back_from_plumb, ASK_CROTCH)


def _crotch_to_chest(s: Setting) -> tuple[BeltAmount, ...]:
    lean = s.body.back_angle
    return _of_runs(s, "crotch", lambda mount, body: back_from_plumb(mount, body) + lean, ASK_CROTCH)


def _free(kind: BeltKind) -> Callable[[Setting], tuple[BeltAmount, ...]]:
    def take(s: Setting) -> tuple[BeltAmount, ...]:
        return tuple(_known(run, run.free, float(length(run.doubt))) for run in s.runs if run.kind == kind)

    return take


def _known(run: BeltRun, value: float, doubt: float) -> BeltAmount:
    return BeltAmount(
        label=run.mount.mount.name,
        spot=spot_of(run.mount),
        low=max(value - doubt, 0.0),
        high=value + doubt,
        belts=(run.kind,),
        ask=ASK_CROTCH if run.kind == "crotch" else ASK_SHOULDER,
        run=run,
    )


def _below_shoulder(s: Setting) -> tuple[BeltAmount, ...]:
    doubt = s.body.shoulder_doubt
    runs = [run for run in s.runs if run.kind == "shoulder"]
    return tuple(_signed(run, float(s.body.shoulder[2] - run.start[2]), doubt) for run in runs)


def _signed(run: BeltRun, value: float, doubt: float) -> BeltAmount:
    return BeltAmount(
        label=run.mount.mount.name,
        spot=spot_of(run.mount),
        low=value - doubt,
        high=value + doubt,
        belts=(run.kind,),
        why="the shoulder's height is reckoned, not measured" if doubt else "",
        ask=ASK_SHOULDER,
        run=run,
    )


def _spread(kind: BeltKind) -> Callable[[Setting], tuple[BeltAmount, ...]]:
    def take(s: Setting) -> tuple[BeltAmount, ...]:
        mounts = holding(s.mounts, kind)
        if len(mounts) < 2:
            return ()
        mounts = sorted(mounts, key=lambda m: float(m.mount.point[1]))
        apart = float(length(mounts[-1].mount.point - mounts[0].mount.point))
        names = [m.mount.name for m in (mounts[0], mounts[-1])]
        return (_of_mounts(" to ".join(names), (mounts[0], mounts[-1]), apart, (kind,)),)

    return take


def holding(mounts: Sequence[BeltMount], kind: BeltKind) -> list[BeltMount]:
    """The mounts that hold a belt of that kind, in order."""
    return [mount for mount in mounts if kind in mount.belts]


def _of_mounts(
    label: str, mounts: Sequence[BeltMount], value: float, belts: tuple[BeltKind, ...] = ()
) -> BeltAmount:
    members = dict.fromkeys(m.mount.member for m in mounts if m.mount.member)
    return BeltAmount(label=label, spot=Location(members=tuple(members)), low=value, high=value, belts=belts)


def _at_seat_bottom(s: Setting) -> tuple[BeltAmount, ...]:
    bottom = s.cage.seat.bottom if s.cage.seat else None
    laps = [run for run in s.runs if run.kind == "lap"]
    if bottom is None:
        ask = "measure the corner of seat back and seat bottom and give it as seat: bottom"
        return tuple(
            BeltAmount(
                label=r.mount.mount.name, spot=spot_of(r.mount), low=None, high=None, belts=("lap",), ask=ask
            )
            for r in laps
        )
    return tuple(_known(run, _ahead_of(run, bottom), 0.0) for run in laps if run.start[2] < bottom[2])


def _ahead_of(run: BeltRun, bottom: Vector) -> float:
    share = (bottom[2] - run.start[2]) / (run.body[2] - run.start[2])
    return float(bottom[0] - (run.start[0] + share * (run.body[0] - run.start[0])))


def _behind_seat(s: Setting) -> tuple[BeltAmount, ...]:
    runs = [run for run in s.runs if run.kind == "shoulder"]
    if s.cage.seat is not None and s.cage.seat.slots is not None:
        return tuple(_known(run, float(length(run.body - run.start)), 0.0) for run in runs)
    return tuple(
        BeltAmount(
            label=run.mount.mount.name,
            spot=spot_of(run.mount),
            low=0.0,
            high=run.free,
            belts=("shoulder",),
            why="the seat back is not measured: it stands somewhere between the shoulder and the mount",
            ask="measure the seat's belt slots and give them as seat: slots",
            run=run,
        )
        for run in runs
    )


def _belts(s: Setting) -> tuple[BeltAmount, ...]:
    return (_of_mounts("harness", s.mounts, float(points_of(s.runs))),)


def points_of(runs: Sequence[BeltRun]) -> int:
    """How many belts there are."""
    return len(runs)


def _laps(s: Setting) -> tuple[BeltAmount, ...]:
    mounts = holding(s.mounts, "lap")
    return (_of_mounts("lap belts", mounts, float(len(mounts)), ("lap",)),)


def _shoulder_mounts(s: Setting) -> tuple[BeltAmount, ...]:
    mounts = holding(s.mounts, "shoulder")
    return (_of_mounts("shoulder mounts", mounts, float(len(mounts)), ("shoulder",)),)


def _y_join(s: Setting) -> tuple[BeltAmount, ...]:
    mounts = holding(s.mounts, "shoulder")
    if len(mounts) != 1:
        return ()
    ask = "measure on the belt how far behind the neck its two shoulder belts join"
    return (
        BeltAmount(
            label="Y belt", spot=spot_of(mounts[0]), low=None, high=None, belts=("shoulder",), ask=ask
        ),
    )


def _on_the_seat(s: Setting) -> tuple[BeltAmount, ...]:
    roles = {member.name: member.role for member in s.cage.members}
    wrong = [m for m in s.mounts if m.mount.member and roles.get(m.mount.member) == "seat mount"]
    names = ", ".join(m.mount.name for m in wrong) or "harness"
    return (_of_mounts(names, wrong, float(len(wrong))),)


def _plate(
    value: Callable[[tuple[float, float, float]], float],
) -> Callable[[Setting], tuple[BeltAmount, ...]]:
    def take(s: Setting) -> tuple[BeltAmount, ...]:
        return tuple(_of_plate(mount, value) for mount in s.mounts if mount.mount.member is None)

    return take


def _of_plate(mount: BeltMount, value: Callable[[tuple[float, float, float]], float]) -> BeltAmount:
    found = None if mount.plate is None else value(mount.plate)
    return BeltAmount(
        label=mount.mount.name,
        spot=spot_of(mount),
        low=found,
        high=found,
        belts=mount.belts,
        ask=f"give the plate of {mount.mount.name}: plate: [length, width, thickness]",
    )


def _tab_thickness(s: Setting) -> tuple[BeltAmount, ...]:
    return tuple(_of_part(m, m.tab.thickness if m.tab else None, "tab") for m in s.mounts if not m.wrap)


def _bolt_size(s: Setting) -> tuple[BeltAmount, ...]:
    sizes = [(m, bolt_named(m.bolt.size) if m.bolt else None) for m in s.mounts if not m.wrap]
    return tuple(_of_part(m, size.diameter if size else None, "bolt") for m, size in sizes)


def _of_part(mount: BeltMount, value: float | None, word: str) -> BeltAmount:
    ask = f"give the {word} of {mount.mount.name}"
    return BeltAmount(
        label=mount.mount.name, spot=spot_of(mount), low=value, high=value, belts=mount.belts, ask=ask
    )  # fmt: skip


MEASURES: Mapping[str, BeltMeasure] = MappingProxyType({
    "lap angle": BeltMeasure(
        sort="angle", take=_lap_angle,
        meaning="the line from the lap mount to the hip point against the level, in side view",
    ),
    "lap at seat bottom": BeltMeasure(
        sort="length", take=_at_seat_bottom,
        meaning="how far ahead of the corner of seat back and bottom the lap belt passes the seat bottom",
    ),
    "lap spread": BeltMeasure(sort="length", meaning="between the lap mounts", take=_spread("lap")),
    "lap free": BeltMeasure(sort="length", meaning="free lap belt, mount to hip", take=_free("lap")),
    "lap belts": BeltMeasure(sort="count", meaning="how many lap mounts there are", take=_laps),
    "shoulder down": BeltMeasure(
        sort="angle", take=_shoulder_down,
        meaning="how far the shoulder belt runs down from the level behind the shoulder, in side view",
    ),
    "shoulder inward": BeltMeasure(
        sort="angle", take=_shoulder_inward,
        meaning="how far the shoulder belt closes in on the seat's centre line, in the plan",
    ),
    "shoulder spread": BeltMeasure(
        sort="length", take=_spread("shoulder"),
        meaning="between the shoulder mounts",
    ),
    "below shoulder": BeltMeasure(
        sort="length", take=_below_shoulder,
        meaning="how far the mount is below the shoulder",
    ),
    "shoulder free": BeltMeasure(
        sort="length", take=_free("shoulder"),
        meaning="free shoulder belt, mount to shoulder",
    ),
    "shoulder behind seat": BeltMeasure(
        sort="length", take=_behind_seat,
        meaning="shoulder mount to where the belt leaves the seat back",
    ),
    "shoulder mounts": BeltMeasure(
        sort="count", take=_shoulder_mounts,
        meaning="how many mounts hold shoulder belts",
    ),
    "y join": BeltMeasure(sort="length", meaning="neck to the join of a Y belt", take=_y_join),
    "crotch to chest line": BeltMeasure(
        sort="angle", take=_crotch_to_chest,
        meaning="the crotch belt against the line of the belts on the chest, back more than 0, in side view",
    ),
    "crotch to plumb": BeltMeasure(
        sort="angle", take=_crotch_to_plumb,
        meaning="the crotch belt against straight down, back more than 0, in side view",
    ),
    "crotch spread": BeltMeasure(
        sort="length", take=_spread("crotch"),
        meaning="between the crotch mounts",
    ),
    "crotch free": BeltMeasure(
        sort="length", take=_free("crotch"),
        meaning="free crotch belt, mount to groin",
    ),
    "belts": BeltMeasure(sort="count", meaning="how many belts the harness has", take=_belts),
    "mounts on the seat": BeltMeasure(
        sort="count", take=_on_the_seat,
        meaning="belt mounts on a bar that carries the seat",
    ),
    "plate area": BeltMeasure(
        sort="area", take=_plate(lambda p: p[0] * p[1]),
        meaning="plate at a mount on the shell",
    ),
    "plate thickness": BeltMeasure(
        sort="fine", take=_plate(lambda p: p[2]),
        meaning="thickness of the plate at a mount on the shell",
    ),
    "tab thickness": BeltMeasure(sort="fine", meaning="thickness of the belt's tab", take=_tab_thickness),
    "bolt size": BeltMeasure(sort="fine", meaning="diameter of the belt's bolt", take=_bolt_size),
})  # fmt: skip
"""The closed vocabulary of the belts' rows."""
