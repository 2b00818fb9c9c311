"""A push placed on a cage: where the platen first touches, where the pole stands, which way a belt pulls."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping
from dataclasses import replace

import numpy as np

from cagewright.base.curves import nearest, point_at, sample
from cagewright.base.say import say_length
from cagewright.base.vectors import ACROSS, BACK, UP, Vector, unit
from cagewright.frame.contact import Platen, Pole
from cagewright.frame.errors import FrameError
from cagewright.frame.push_off import AS_SAID, Off
from cagewright.frame.push_rows import PushRow
from cagewright.frame.pushes import PointLoad, Push
from cagewright.plan.types import PersonEntry
from cagewright.shape.seated import seated_parts
from cagewright.shape.standing import door_bars, front_frame, main_frame
from cagewright.shape.types import Array, BeltMount, Cage, Member, Mount, Person, bodies_of

G = 9.80665
"""Standard gravity, m/s2."""
DRIVER = 75.0
"""Mass of a driver where the plan does not say, kg (UN R125, mass in running order, read)."""
CLEAR = 20.0
"""A platen or pole starts this far off, mm."""
TIED = 0.5
"""Places within this of the first touch, mm, are touched together."""
PRESSED: Mapping[str, Callable[[Cage], tuple[Member, ...]]] = {"main": main_frame, "front": front_frame}
"""What a push may be centred on, by where it stands in the cage: a tube's role says nothing here."""
STANDS = {"main": "rollbar behind the seats", "front": "rollbar or legs ahead of the main one"}


def weight_of(cage: Cage) -> float | None:
    """The weight of the car and who sits in it, N; None where the car's mass is not known."""
    if cage.car is None:
        return None
    return G * (cage.car.mass + people_mass(cage))


def people_mass(cage: Cage) -> float:
    """Everybody's mass, kg, assumed where it is not known; a car in which nobody is planned has a driver."""
    return sum(body.mass or DRIVER for _, body in bodies_of(cage)) or DRIVER


def placed(cage: Cage, row: PushRow, off: Off = AS_SAID) -> Push:
    """The row's push on this cage, as far off from what it says as ``off`` has it.

    Raises:
        FrameError: the cage has nothing it could press on, in the builder's words.
    """
    press: Platen | Pole | None = None
    point_loads: tuple[PointLoad, ...] = ()
    notes: tuple[str, ...] = ()
    if row.kind == "platen":
        # a push of no side that is rolled has to be rolled to one
        turned = replace(row, pitch=row.pitch + off.pitch, roll=row.roll + off.roll, side=row.side or "left")
        press = replace(_platen(cage, turned if off != AS_SAID else row), friction=off.friction)
    elif row.kind == "pole":
        press, notes = _pole(cage, row)
        press = replace(press, centre=press.centre + off.aside * BACK, friction=off.friction)
    else:
        point_loads = tuple(replace(p, force=off.turned(p.force)) for p in _point_loads(cage, row))
    return Push(
        name=row.name, title=row.title, kind=row.kind, press=press, point_loads=point_loads,
        travel=row.travel, demands=row.demands, source=row.source, certainty=row.certainty, notes=notes,
    )  # fmt: skip


def facing(*, pitch: float, roll: float, side: str | None) -> tuple[Vector, Vector]:
    """Unit directions a platen looks in and its length lies in (backwards), for angles in rad.

    Pitch is nose down, roll is the outer side down: (cos r sin p, sin r inboard, -cos r cos p).
    """
    inboard = {"left": 1.0, "right": -1.0, None: 0.0}[side]
    look = np.array([
        math.cos(roll) * math.sin(pitch),
        inboard * math.sin(roll),
        -math.cos(roll) * math.cos(pitch),
    ])
    return unit(look), np.array([math.cos(pitch), 0.0, math.sin(pitch)])


def first_met(members: tuple[Member, ...], look: Vector) -> Vector:
    """The place (3,) on the outside of the tubes that a wide flat face looking along ``look`` meets first.

    Where several meet it together, their middle.
    """
    points = [(sample(m.path), m.tube.radius) for m in members]
    every = np.concatenate([p - r * look for p, r in points])
    depth = every @ look
    return every[depth < depth.min() + TIED].mean(axis=0)


def _platen(cage: Cage, row: PushRow) -> Platen:
    look, along = facing(pitch=math.radians(row.pitch), roll=math.radians(row.roll), side=row.side)
    where = first_met(_pressed(cage, row), look)
    if row.along == "across":
        along = ACROSS
    length = row.size[0] + (_width(PRESSED[row.wider](cage)) if row.wider else 0.0)
    if row.ahead is not None:
        where = where + along * (length / 2.0 - row.ahead)
    return Platen(
        centre=where - CLEAR * look, normal=look, along=along, length=length, width=row.size[1], way=look
    )


def _pressed(cage: Cage, row: PushRow) -> tuple[Member, ...]:
    if not row.on:
        return cage.members
    found = PRESSED[row.on](cage)
    if not found:
        raise FrameError([f"the cage has no {STANDS[row.on]} for '{row.name}' to press on"])
    return found


def _width(members: tuple[Member, ...]) -> float:
    across = np.concatenate([sample(m.path)[:, 1] for m in members])
    return float(np.ptp(across)) + max(m.tube.across for m in members)


def _pole(cage: Cage, row: PushRow) -> tuple[Pole, tuple[str, ...]]:
    sign = -1.0 if row.side == "left" else 1.0
    doors = door_bars(cage, sign)
    every = np.concatenate([sample(m.path) for m in cage.members])
    if row.back is None and not doors:
        raise FrameError([f"the cage has no doorbars on the {row.side} for '{row.name}': say where back: is"])
    bars = np.concatenate([sample(m.path) for m in doors]) if doors else every
    back = row.back if row.back is not None else 0.5 * float(bars[:, 0].min() + bars[:, 0].max())
    low, high, notes = _reach(cage, row, bars, every, sign)
    out = float((sign * every[:, 1]).max()) + row.diameter / 2.0 + 30.0 + CLEAR
    pole = Pole(
        centre=np.array([back, sign * out, 0.5 * (low + high)]),
        axis=UP,
        length=high - low,
        radius=row.diameter / 2.0,
        way=np.array([0.0, -sign, 0.0]),
    )
    return pole, (f"the pole stands at back {say_length(back, cage.units, places=0)}", *notes)


def _reach(
    cage: Cage, row: PushRow, bars: Array, every: Array, sign: float
) -> tuple[float, float, tuple[str, ...]]:
    """From where to where up a pole reaches, mm, and what was assumed."""
    if row.above_door is None:
        return float(every[:, 2].min()) - 100.0, float(every[:, 2].max()) + 100.0, ()
    doors = [
        line.points
        for line in cage.lines
        if line.name.startswith("door_opening") and sign * line.points[:, 1].mean() > 0.0
    ]
    high = float(bars[:, 2].max()) + 50.0
    if not doors:
        low, under = float(bars[:, 2].min()) - 50.0, say_length(50.0, cage.units, places=0)
        return low, high, (f"no line door_opening was measured: the pole starts {under} under the doorbars",)
    low = float(np.concatenate(doors)[:, 2].min()) + row.above_door
    above = say_length(row.above_door, cage.units, places=0)
    return low, high, (f"the pole starts {above} above the door's bottom",)


def _point_loads(cage: Cage, row: PushRow) -> tuple[PointLoad, ...]:
    if row.on == "belts":
        return _belt_loads(cage, row)
    if row.on == "seat":
        return _seat_loads(cage, row)
    weight = weight_of(cage)
    if not row.forces and weight is None:
        raise FrameError([
            f"the car's mass is not known, and '{row.name}' is a multiple of it: say car: mass"
        ])
    force = np.array(row.forces) if row.forces else (weight or 0.0) * np.array(row.weights)
    member, along = _top_of(cage, row)
    return (PointLoad(member=member, along=along, force=force),)


def _top_of(cage: Cage, row: PushRow) -> tuple[str, float]:
    """The highest place of the row's member nearest the car's middle: name and mm along."""
    member = _pressed(cage, row)[0]
    along = np.linspace(0.0, member.path.length, 401)
    points = np.array([point_at(member.path, float(s)) for s in along])
    near = np.flatnonzero(points[:, 2] > points[:, 2].max() - 1.0)
    return member.name, float(along[near[np.argmin(np.abs(points[near, 1]))]])


def _belt_loads(cage: Cage, row: PushRow) -> tuple[PointLoad, ...]:
    point_loads = tuple(load for person in cage.people for load in _harness_loads(person, row))
    if not point_loads:
        raise FrameError([f"no belt mount on a tube of the cage for '{row.name}' to pull"])
    return point_loads


def _harness_loads(person: Person, row: PushRow) -> Iterator[PointLoad]:
    mounts = [m for m in (person.belts.mounts if person.belts else ()) if m.mount.member is not None]
    kinds = dict(zip(("shoulder", "lap", "crotch"), row.belts, strict=True))
    for mount in mounts:
        shared = {k: sum(m.belts.count(k) for m in mounts) if row.pair else 1 for k in mount.belts}
        size = sum(kinds[k] / shared[k] for k in mount.belts)
        if size > 0.0:
            yield _mount_load(mount.mount, size * _towards_body(person.body, mount))


def _mount_load(mount: Mount, force: Vector) -> PointLoad:
    return PointLoad(member=mount.member or "", along=mount.along, force=force)


def _towards_body(body: PersonEntry | None, mount: BeltMount) -> Vector:
    """Unit direction from the mount to the shoulder, hip or groin, in side view; forward without a body."""
    if body is None:
        return np.array([-1.0, 0.0, 0.0])
    parts = {p.name: 0.5 * (p.one + p.two) for p in seated_parts(body)}
    holds = mount.belts[0] if mount.belts else "shoulder"
    measured = {"shoulder": body.shoulder, "crotch": body.groin, "lap": None}[holds]
    meets = np.array(measured) if measured else parts["shoulder" if holds == "shoulder" else "hip"]
    way = (meets - mount.mount.point) * np.array([1.0, 0.0, 1.0])
    return unit(way)


def _seat_loads(cage: Cage, row: PushRow) -> tuple[PointLoad, ...]:
    seats = [(p.seat, [m for m in p.seat.mounts if m.member is not None]) for p in cage.people if p.seat]
    loads: list[PointLoad] = []
    for seat, mounts in ((seat, mounts) for seat, mounts in seats if mounts):
        if seat.mass is None:
            raise FrameError([
                f"the seat's mass is not known, and '{row.name}' is a multiple of it: say seat: mass"
            ])
        force = np.array([-row.seat_weights * G * seat.mass / len(mounts), 0.0, 0.0])
        loads.extend(_mount_load(m, force) for m in mounts)
    if not loads:
        raise FrameError([f"no seat mount on a tube of the cage for '{row.name}' to pull"])
    return tuple(loads)


def load_at(cage: Cage, point: Vector, force: Vector, name: str) -> PointLoad:
    """The load at the place of the cage that ``point`` (3,) is on or within 30 mm of.

    Raises:
        FrameError: no tube is there.
    """
    away = [(*nearest(m.path, point), m) for m in cage.members]
    along, gap, member = min(away, key=lambda found: found[1] - found[2].tube.radius)
    if gap > member.tube.radius + 30.0:
        raise FrameError([
            f"'{name}' pushes at a place {say_length(gap - member.tube.radius, cage.units, places=0)} "
            "from the nearest tube"
        ])
    return PointLoad(member=member.name, along=along, force=force)
