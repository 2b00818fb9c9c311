"""Each belt as a straight pull from its mount to the body of whoever wears it."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

import numpy as np

from cagewright.base.answers import Certainty
from cagewright.base.curves import tangent_at
from cagewright.base.vectors import ACROSS, UP, Vector, dot, length, unit
from cagewright.check.rules import RuleEntry, Text
from cagewright.check.toml import rows_in
from cagewright.plan.types import BeltKind, PersonEntry, Side
from cagewright.shape.seated import seated_parts
from cagewright.shape.types import BeltMount, Cage, Member, Person, Seating, member_named


@dataclass(frozen=True, slots=True, kw_only=True)
class SeatedBody:
    """Where the belts meet the person, mm.

    Attributes:
        hip: (3,) hip point on the seat's centre line.
        hip_half: half the breadth over the hips.
        shoulder: (3,) top of the shoulder under the belt, on the seat's centre line.
        shoulder_half: each shoulder belt's distance from the centre line there.
        shoulder_doubt: how far the shoulder may be out, up or down.
        groin: (3,) where the crotch belt leaves the body.
        groin_half: how far two crotch belts leave the body from the centre line.
        groin_doubt: how far it may be out, back or forward.
        chest_line: (3,) unit, down along the belts on the chest in side view.
        back_angle: of the person's back from the plumb line, rad.
    """

    hip: Vector
    hip_half: float
    shoulder: Vector
    shoulder_half: float
    shoulder_doubt: float
    groin: Vector
    groin_half: float
    groin_doubt: float
    chest_line: Vector
    back_angle: float


@dataclass(frozen=True, slots=True, kw_only=True)
class BeltRun:
    """One belt, from its mount to the body.

    Attributes:
        kind: lap, shoulder or crotch.
        side: of the person's centre line its mount is on; None within 20 mm of it, where it serves both.
        mount: what it is fixed to.
        start: (3,) where it leaves the mount: the tube's surface for a belt wrapped round it, mm.
        body: (3,) where it meets the body, or leaves the seat's slot, mm.
        doubt: (3,) how far ``body`` may be out either way, mm.
        pull: unit (3,) of the pull on the mount.
        free: length from mount to body, mm; over the slot where the seat has one.
    """

    kind: BeltKind
    side: Side | None
    mount: BeltMount
    start: Vector
    body: Vector
    doubt: Vector
    pull: Vector
    free: float


class _Body(RuleEntry):
    """Where belts lie on whoever wears them, mm, assumed where the plan does not say."""

    shoulder_apart: float
    chest_ahead: float
    groin_ahead: float
    groin_below: float
    shoulder_doubt: float
    groin_half: float
    groin_doubt: float
    source: Text
    certainty: Certainty


class _Assumed(RuleEntry):
    body: _Body


@cache
def _assumed() -> _Body:
    text = files("cagewright.check").joinpath("data", "belt_body.toml").read_text(encoding="utf-8")
    return rows_in(text, "belt_body.toml", _Assumed).body


def body_of(person: PersonEntry) -> SeatedBody:
    """Where the belts meet the person; what is not measured is from the body figures, with doubt."""
    assumed = _assumed()
    parts = {part.name: part for part in seated_parts(person)}
    lean = person.back_angle
    up_back = np.array([math.sin(lean), 0.0, math.cos(lean)])
    ahead = np.array([-math.cos(lean), 0.0, math.sin(lean)])
    hip = np.array(person.hip)
    groin = hip + assumed.groin_ahead * ahead - assumed.groin_below * up_back
    measured, hips, bar = person.shoulder is not None, parts["hip"], parts["shoulder"]
    return SeatedBody(
        hip=hip,
        hip_half=float(length(hips.two - hips.one)) / 2.0 + hips.radius,
        shoulder=np.array(person.shoulder) if measured else (bar.one + bar.two) / 2.0 + bar.radius * up_back,
        shoulder_half=assumed.shoulder_apart / 2.0,
        shoulder_doubt=0.0 if measured else assumed.shoulder_doubt,
        groin=groin if person.groin is None else np.array(person.groin),
        groin_half=assumed.groin_half,
        groin_doubt=assumed.groin_doubt if person.groin is None else 0.0,
        chest_line=-up_back,
        back_angle=lean,
    )


def runs_of(cage: Cage, person: Person) -> tuple[BeltRun, ...]:
    """Every belt of the person's harness, in the order of its mounts; none without a body or a harness."""
    if person.belts is None or person.body is None:
        return ()
    worn = _Worn(cage=cage, body=body_of(person.body), seat=person.seat)
    return tuple(
        run for mount in person.belts.mounts for kind in mount.belts for run in _runs(worn, mount, kind)
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Worn:
    """What a belt runs between: the cage, the body that wears it, and the seat."""

    cage: Cage
    body: SeatedBody
    seat: Seating | None


def _runs(worn: _Worn, mount: BeltMount, kind: BeltKind) -> tuple[BeltRun, ...]:
    off = float(mount.mount.point[1] - worn.body.hip[1])
    side: Side | None = None if abs(off) <= 20.0 else ("left" if off < 0.0 else "right")
    if kind == "shoulder":
        # the one mount of a Y belt takes both shoulders
        return tuple(_shoulder(worn, mount, s, side) for s in ((side,) if side else ("left", "right")))
    return ((_lap if kind == "lap" else _crotch)(worn, mount, side),)


def _shoulder(worn: _Worn, mount: BeltMount, on: Side, side: Side | None) -> BeltRun:
    sign, body = -1.0 if on == "left" else 1.0, worn.body
    shoulder = body.shoulder + sign * body.shoulder_half * ACROSS
    slots = worn.seat.slots if worn.seat else None
    slot = slots[0 if on == "left" else 1] if slots else None
    meets = shoulder if slot is None else slot
    doubt = np.zeros(3) if slot is not None else body.shoulder_doubt * UP
    over = 0.0 if slot is None else float(length(shoulder - slot))
    return _run(worn.cage, "shoulder", side, mount, meets, doubt, over)


def _lap(worn: _Worn, mount: BeltMount, side: Side | None) -> BeltRun:
    meets = worn.body.hip + _sign(side) * worn.body.hip_half * ACROSS
    return _run(worn.cage, "lap", side, mount, meets, np.zeros(3), 0.0)


def _crotch(worn: _Worn, mount: BeltMount, side: Side | None) -> BeltRun:
    body, slot = worn.body, worn.seat.crotch_slot if worn.seat else None
    doubt = np.array([body.groin_doubt, 0.0, 0.0])
    if slot is None:
        meets = body.groin + _sign(side) * body.groin_half * ACROSS
        return _run(worn.cage, "crotch", side, mount, meets, doubt, 0.0)
    return _run(worn.cage, "crotch", side, mount, slot, np.zeros(3), float(length(body.groin - slot)))


def _sign(side: Side | None) -> float:
    return 0.0 if side is None else (-1.0 if side == "left" else 1.0)


def _run(
    cage: Cage, kind: BeltKind, side: Side | None, mount: BeltMount, body: Vector, doubt: Vector, over: float
) -> BeltRun:
    start = leaving(cage, mount, body)
    return BeltRun(
        kind=kind,
        side=side,
        mount=mount,
        start=start,
        body=body,
        doubt=doubt,
        pull=unit(body - start),
        free=float(length(body - start)) + over,
    )


def leaving(cage: Cage, mount: BeltMount, body: Vector) -> Vector:
    """Where the belt to ``body`` (3,) leaves its mount (3,), mm.

    On a tab the straight from body to tube meets the tube's axis; round a tube it touches the tube's top:
    with D the body's distance from the axis, the touching radius makes acos(r / D) with the way there.
    """
    point = mount.mount.point
    if not mount.wrap or mount.mount.member is None:
        return point
    member = member_named(cage, mount.mount.member)
    return point + wrapped(member, mount.mount.along, body - point)


def wrapped(member: Member, along: float, way: Vector) -> Vector:
    """From the tube's axis to where a belt over its top to ``way`` (3,) leaves its surface (3,), mm."""
    axis = tangent_at(member.path, along)
    square = way - float(dot(way, axis)) * axis
    away, radius = float(length(square)), member.tube.radius
    if away <= radius:
        return np.zeros(3)
    toward = square / away
    over = np.cross(axis, toward)
    over = over if over[2] >= 0.0 else -over
    lean = radius / away
    return radius * (lean * toward + math.sqrt(1.0 - lean**2) * over)
