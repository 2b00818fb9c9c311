"""Small cages, shells and drivers made by hand for the body and torch checks."""

from __future__ import annotations

import math

import numpy as np

from aboard import aboard
from cagewright.base.curves import Arc, Line, Piece, chain
from cagewright.plan.types import PersonEntry, Role
from cagewright.shape.types import Cage, Cope, End, FlatCut, Foot, Joint, Line3, Member
from cagewright.stock.catalogue import steels
from cagewright.stock.tubes import round_tube

STEEL = steels()["E355+N"]


def at(*place: float) -> np.ndarray:
    return np.array(place, dtype=float)


def saw(origin: np.ndarray, axis: np.ndarray, foot: str | None = None) -> FlatCut:
    """A square cut at ``origin``; ``axis`` points back into the tube."""
    axis = axis / np.linalg.norm(axis)
    zero = np.cross(axis, [0.0, 1.0, 0.0] if abs(axis[1]) < 0.9 else [1.0, 0.0, 0.0])
    return FlatCut(
        origin=origin, axis=axis, normal=axis, zero=zero / np.linalg.norm(zero), tilt=0.0, weld_length=0.0
    )


def end(which, cut, *, joint: str | None = None, foot: str | None = None) -> End:
    return End(which=which, cut=cut, joint=joint, foot=foot, clocking=0.0, trim=0.0)


def member(
    name: str,
    pieces: tuple[Piece, ...],
    *,
    od: float = 38.0,
    role: Role = "cage reinforcement",
    start: End | None = None,
    stop: End | None = None,
) -> Member:
    path = chain(pieces)
    first, last = pieces[0], pieces[-1]
    into = first.direction if isinstance(first, Line) else first.v
    back = -last.direction if isinstance(last, Line) else into
    return Member(
        name=name,
        role=role,
        tube=round_tube(od=od, wall=2.5, steel=STEEL),
        tube_name="bar",
        path=path,
        bends=(),
        ends=(
            start or end("start", saw(first.start, into)),
            stop or end("end", saw(last.stop, back)),
        ),
        end_clocking=0.0,
        length=path.length,
        mirror_of=None,
        removable=False,
        note="",
    )


def straight(name: str, a, b, **more) -> Member:
    return member(name, (Line(start=at(*a), stop=at(*b)),), **more)


def bent(name: str, *, radius: float = 135.0, od: float = 45.0, **more) -> Member:
    """Up from the datum, a 90-degree bend to the right, and across."""
    up = Line(start=at(0, 0, 0), stop=at(0, 0, 500))
    arc = Arc(centre=at(0, radius, 500), radius=radius, u=at(0, -1, 0), v=at(0, 0, 1), angle=math.pi / 2)
    over = Line(start=at(0, radius, 500 + radius), stop=at(0, radius + 400, 500 + radius))
    return member(name, (up, arc, over), od=od, **more)


def foot(name: str, place, *, seat="sill", plate=(120.0, 100.0, 3.0), normal=(0, 0, 1), members=()) -> Foot:
    return Foot(
        name=name, point=at(*place), normal=at(*normal), seat=seat, plate=plate,
        contact=plate[0] * plate[1], bolts=None, members=tuple(members),
    )  # fmt: skip


def line(name: str, *points, note: str = "") -> Line3:
    return Line3(name=name, points=np.array(points, dtype=float), note=note)


def cage(*members: Member, joints=(), feet=(), lines=(), driver: PersonEntry | None = None) -> Cage:
    return Cage(
        title="by hand", revision="0000000000", units="mm", members=tuple(members), joints=tuple(joints),
        feet=tuple(feet), plates=(), gussets=(), lines=tuple(lines), car=None, people=aboard(driver),
    )  # fmt: skip


def saddle(phi: np.ndarray, r: float, big: float, angle: float, offset: float) -> np.ndarray:
    """The cope equation, distance along the branch's axis from the main's axis.

    Source: the saddle curve of two cylinders, w = (sqrt(R2 - (r sin phi + e)2) - r cos phi cos b) / sin b
    (computed: its points lie on the main tube).
    """
    side = np.sqrt(big**2 - (r * np.sin(phi) + offset) ** 2)
    return (side - r * np.cos(phi) * np.cos(angle)) / np.sin(angle)


def branch(
    name: str, main: str, *, main_od: float = 45.0, od: float = 38.0, angle: float = math.pi / 2,
    length: float = 600.0, points: int = 72, at_origin=(0.0, 0.0, 0.0), up=(0.0, 0.0, 1.0),
) -> tuple[Member, Joint]:  # fmt: skip
    """A branch that rises from a main tube lying along x through ``at_origin``, leaning back."""
    origin, up = at(*at_origin), at(*up)
    axis = math.cos(angle) * at(1, 0, 0) + math.sin(angle) * up
    heel = -(math.sin(angle) * at(1, 0, 0) - math.cos(angle) * up)  # square to the axis, obtuse side
    phi = np.linspace(0.0, 2.0 * math.pi, points, endpoint=False)
    outside = saddle(phi, od / 2.0, main_od / 2.0, angle, 0.0)
    cut = Cope(
        mains=(main,), origin=origin, axis=axis, zero=heel, angle=angle, offset=0.0, phi=phi,
        outside=outside, inside=outside, bevel=np.full(points, math.pi / 2),
        on=np.zeros(points, dtype=np.int64),
        weld_length=0.0, least_bevel=0.0, asymmetric=0.0, bent_main=False,
    )  # fmt: skip
    joint = f"{name}.start"
    made = straight(
        name, tuple(origin), tuple(origin + length * axis), od=od, start=end("start", cut, joint=joint)
    )
    return made, Joint(name=joint, branch=name, which="start", mains=(main,), along=(1000.0,), point=origin)


def tee(
    *, angle: float = math.pi / 2, main_od: float = 45.0, od: float = 38.0, points: int = 72, more=()
) -> Cage:
    """A main tube along x and one branch in its middle, in free air."""
    main = straight("main", (-1000, 0, 0), (1000, 0, 0), od=main_od, role="main rollbar")
    twig, joint = branch("branch", "main", main_od=main_od, od=od, angle=angle, points=points)
    return cage(main, twig, *more, joints=(joint,))
