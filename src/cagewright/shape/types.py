"""The Cage and its parts: exact geometry in mm and rad, nothing filled in later."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

import numpy as np
from numpy.typing import NDArray

from cagewright.base.curves import Chain
from cagewright.base.names import DRIVER
from cagewright.base.units import LengthUnit
from cagewright.base.vectors import Vector
from cagewright.shape.part_types import Coupling, EdgeFold, RoundHole
from cagewright.stock.tubes import Tube

if TYPE_CHECKING:  # a plan's entries take a quarter of a second to load, which a single cope does without
    from cagewright.plan.types import (
        BeltBoltEntry,
        BeltKind,
        BoltsEntry,
        CarEntry,
        GroundEntry,
        GussetKind,
        LineFace,
        MetalMark,
        PersonEntry,
        PushEntry,
        Role,
        Seat,
        SheetEntry,
        TabEntry,
        Which,
    )

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Lie:
    """How a rail's section lies: unit (3,) along its first axis (its width) and its second (its depth)."""

    across: Vector
    up: Vector


@dataclass(frozen=True, slots=True, kw_only=True)
class WeldRun:
    """A weld along a rail onto the shell, from ``start`` to ``stop`` mm of its path."""

    start: float
    stop: float
    seat: Seat
    sheet: GroundEntry | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Bend:
    """One bend of a member, in order from its start.

    Attributes:
        apex: (3,) where the two straights' centre lines would meet.
        angle: rad turned, 0 to pi.
        clr: centreline radius, mm.
        normal: unit (3,) square to the bend's plane, right-handed with the travel from start to end.
        start: developed distance along the member where the bend begins, mm.
        stop: where it ends, mm.
        clocking: rad the tube is rotated about its own axis since the bend before, right-handed looking
            along the travel, -pi to pi; 0 for the first bend.
    """

    apex: Vector
    angle: float
    clr: float
    normal: Vector
    start: float
    stop: float
    clocking: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Cope:
    """The cut of one member end to the outside of one or more main tubes, unrolled.

    ``phi`` runs once round the branch, 0 on the heel (obtuse-angle side of the first main), right-handed
    about ``axis``; distances are along the branch's axis from ``origin`` back into the branch (so a larger
    number is a shorter tube there).

    Attributes:
        mains: names of the members it is cut on, the first giving phi = 0.
        origin: (3,) the branch's axis end point, mm.
        axis: unit (3,) along the branch's axis pointing from the end back into the branch.
        zero: unit (3,) square to ``axis``: the direction of phi = 0.
        angle: angle between the branch and the first main's axis at the joint, rad, 0 to pi/2.
        offset: least distance between the branch's axis and the first main's axis, mm.
        phi: (n,) rad, evenly spaced from 0, the last short of 2 pi.
        outside: (n,) cut on the outside of the tube, mm.
        inside: (n,) cut on the bore, mm.
        bevel: (n,) rad between the branch's outside and the main's outside there, measured through the
            weld (pi/2 where the wall stands square on the main).
        on: (n,) index into ``mains`` of the tube met there, -1 where no main is met: the wall stands on a
            foot's plate, or hangs past, and is then cut where it passes nearest to a main.
        weld_length: length of the weld line on the outside, mm, where a main or plate is met.
        least_bevel: the smallest of ``bevel``, rad.
        asymmetric: largest difference in mm between the cut at +phi and -phi; 0 for a symmetric cope.
        bent_main: True where any of the mains is bent at the joint.
    """

    mains: tuple[str, ...]
    origin: Vector
    axis: Vector
    zero: Vector
    angle: float
    offset: float
    phi: Array
    outside: Array
    inside: Array
    bevel: Array
    on: NDArray[np.int64]
    weld_length: float
    least_bevel: float
    asymmetric: float
    bent_main: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class FlatCut:
    """A cut in one plane: square across the tube, or to a foot's plate.

    Attributes:
        origin: (3,) where the plane meets the tube's axis, mm.
        axis: unit (3,) along the tube's axis, from the end back into the tube.
        normal: unit (3,) of the plane, on the tube's side.
        zero: unit (3,) square to ``axis``: phi = 0, on the side where the tube is left longest.
        tilt: rad between ``axis`` and ``normal``; 0 is a square saw cut.
        weld_length: length of the line round the outside, mm.
    """

    origin: Vector
    axis: Vector
    normal: Vector
    zero: Vector
    tilt: float
    weld_length: float


@dataclass(frozen=True, slots=True, kw_only=True)
class End:
    """One end of a member.

    Attributes:
        which: ``start`` or ``end``.
        cut: how it is cut.
        joint: name of the joint it makes, or None.
        foot: name of the foot it stands on, or None.
        clocking: rad from the inside of the nearest bend (square to the tube, in the bend's plane) to
            the cut's ``zero``, about the travel from start to end; 0 where the member has no bend.
        trim: how far the finished tube stops short of (negative: runs past) the path's end point, measured
            along the axis to the furthest point of the cut, mm.
        open: arcs (from, to) of the cut's phi, rad, that are not welded; ``to`` is more than ``from``.
        throat: of its weld, mm, or None for the usual.
        bridges: the widest gap that its weld is said to bridge, mm, or None for the shop's.
        given: its notch was there before, and was cut for what the tube was bought to meet.
    """

    which: Which
    cut: Cope | FlatCut
    joint: str | None
    foot: str | None
    clocking: float
    trim: float
    open: tuple[tuple[float, float], ...] = ()
    throat: float | None = None
    bridges: float | None = None
    given: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Member:
    """One tube, end to end.

    Attributes:
        name: as in the plan (or the mirror's name).
        role: the regulations' word for it.
        tube: size and steel.
        tube_name: the plan's name for the tube.
        path: centre line from the start's end point to the end's end point.
        bends: in order from the start.
        ends: start and end.
        end_clocking: rad from the start cut's ``zero`` to the end cut's ``zero`` about the tube's own axis,
            carried along the tube without twist; right-handed along the travel.
        length: finished length, longest point to longest point along the developed axis, mm.
        mirror_of: the member it is the mirror of, or None.
        removable: bolted in.
        note: the builder's.
        bought: the set that it came bent in; empty for a tube of the shop's own.
        lie: how a rail's section lies; None for round tube.
        runs: welds that hold a rail on the shell along its length.
        couplings: where it comes apart or is joined end to end, from its start.
        caps: thickness of the disc that closes its start and its end, mm; 0 without.
    """

    name: str
    role: Role
    tube: Tube
    tube_name: str
    path: Chain
    bends: tuple[Bend, ...]
    ends: tuple[End, End]
    end_clocking: float
    length: float
    mirror_of: str | None
    removable: bool
    note: str
    bought: str = ""
    lie: Lie | None = None
    runs: tuple[WeldRun, ...] = ()
    couplings: tuple[Coupling, ...] = ()
    caps: tuple[float, float] = (0.0, 0.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Joint:
    """Where a member's end meets another member.

    Attributes:
        name: ``branch.start`` or ``branch.end``.
        branch: the member that is cut.
        which: which of its ends.
        mains: the members it is cut on.
        along: where on each main, mm along its path.
        point: (3,) the branch's axis end point, mm.
    """

    name: str
    branch: str
    which: Which
    mains: tuple[str, ...]
    along: tuple[float, ...]
    point: Vector


@dataclass(frozen=True, slots=True, kw_only=True)
class Foot:
    """Where a member lands on the shell.

    Attributes:
        name: as in the plan (or the mirror's name).
        point: (3,) under the plate, mm: on the shell, or ``raised`` over it.
        normal: unit (3,) square to the plate, out of the shell.
        seat: what it stands on.
        plate: length, width, thickness, mm.
        contact: plate-to-shell contact area, mm2.
        bolts: where the foot is bolted.
        members: names of the members that land on it.
        sheet: the shell under it where it was gauged, or None.
        raised: how far the plate's underside stands over the shell on its box, mm; 0 for one on the shell.
        folds: of the plate's edges, in order from the plate outwards.
        shaped: the plate is shaped to the shell as it was scanned.
    """

    name: str
    point: Vector
    normal: Vector
    seat: Seat
    plate: tuple[float, float, float]
    contact: float
    bolts: BoltsEntry | None
    members: tuple[str, ...]
    sheet: GroundEntry | None = None
    raised: float = 0.0
    folds: tuple[EdgeFold, ...] = ()
    shaped: bool = False

    @property
    def on_shell(self) -> Vector:
        """Where on the shell it stands (3,), mm."""
        return self.point - self.raised * self.normal


@dataclass(frozen=True, slots=True, kw_only=True)
class Plate:
    """Sheet between members: corners (n, 3) mm in order, thickness mm, and the members its edges lie on.

    ``holes`` are its lightening holes.
    """

    name: str
    corners: Array
    thickness: float
    members: tuple[str, ...]
    holes: tuple[RoundHole, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Gusset:
    """A gusset between two members near ``point`` (3,).

    Attributes:
        name: as in the plan.
        between: the two members.
        point: (3,) where they meet, mm.
        leg: how far it reaches along each from there, mm.
        thickness: of its sheet, mm.
        kind: how it is made.
        corner: unit (3,) directions that say in which of the corners it stands: the corner's, or each leg's;
            the narrowest where empty.
        hole: diameter of the hole in each of its sides, mm; 0 without.
        dimpled: whether the rim of the hole is pressed in.
    """

    name: str
    between: tuple[str, str]
    point: Vector
    leg: float
    thickness: float
    kind: GussetKind
    corner: tuple[Vector, ...] = ()
    hole: float = 0.0
    dimpled: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Line3:
    """A measured body line: points (n, 3) mm in order, and where a pillar's was marked.

    ``spread`` is how far a point of it may be out, as a standard deviation, mm.
    """

    name: str
    points: Array
    note: str
    face: LineFace = "corner"
    spread: float = 2.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Metal:
    """A piece of the shell that the builder marked: what lies within ``reach`` mm of its points (n, 3) mm.

    ``box`` is its width and height as a box section, and ``thickness`` its sheet's, mm, where measured.
    """

    name: str
    mark: MetalMark
    points: Array
    reach: float
    box: tuple[float, float] | None = None
    thickness: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Mount:
    """Where something is fixed to the cage or the shell.

    ``point`` (3,), mm, is on the member's centre line or on the shell; ``along`` is mm of the member's
    path, 0 without one.
    """

    name: str
    point: Vector
    member: str | None
    along: float
    note: str


@dataclass(frozen=True, slots=True, kw_only=True)
class BeltMount:
    """A mount of the harness.

    Attributes:
        mount: where.
        belts: what it holds, one word for each belt; empty where neither said nor plain from its name.
        wrap: the belt goes round the tube, over its top.
        tab: the tab the belt is bolted to, or None where not given.
        bolt: its bolt, or None where not given.
        plate: length, width, thickness of the plate on the shell, mm, or None.
    """

    mount: Mount
    belts: tuple[BeltKind, ...]
    wrap: bool
    tab: TabEntry | None
    bolt: BeltBoltEntry | None
    plate: tuple[float, float, float] | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Belts:
    """The harness: the standard it answers to, the belt maker's sheet or None, and its mounts."""

    standard: str
    sheet: SheetEntry | None
    mounts: tuple[BeltMount, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Seating:
    """A seat.

    Attributes:
        mass: kg, or None.
        mounts: where it is fixed.
        slots: left and right (3,) where the shoulder belts pass the seat back, mm, or None.
        crotch_slot: (3,) where the crotch belt passes the seat, mm, or None.
        bottom: (3,) corner of seat back and seat bottom, mm, or None.
    """

    mass: float | None
    mounts: tuple[Mount, ...]
    slots: tuple[Vector, Vector] | None
    crotch_slot: Vector | None
    bottom: Vector | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Person:
    """Somebody in the car, with the harness and the seat that are theirs.

    Attributes:
        name: as in the plan; ``driver`` is the one who drives.
        body: seated, or None where the plan has a seat or belts and nobody in them.
        belts: the harness, or None where the plan has none.
        seat: None where the plan has none.
    """

    name: str
    body: PersonEntry | None
    belts: Belts | None = None
    seat: Seating | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class AskedPush:
    """A load case that the plan asks for.

    A point push acts at ``point`` (3,), mm, ``along`` mm of its member's path; 0 without one.
    """

    name: str
    entry: PushEntry
    point: Vector | None
    member: str | None
    along: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Cage:
    """A resolved plan: everything that will be built, with the plan's revision mark.

    Attributes:
        title: the plan's.
        revision: first 10 hex digits of the SHA-256 of everything the plan says.
        units: what the builder's tape reads.
        members: in file order, each mirror right behind its member.
        joints: in the order of the members that are cut.
        feet: as planned.
        plates: as planned.
        gussets: as planned.
        lines: measured body lines.
        car: as planned, or None.
        people: everybody in the car, in the plan's order.
        pushes: load cases that the plan asks for.
        metal: pieces of the shell that were marked.
    """

    title: str
    revision: str
    units: LengthUnit
    members: tuple[Member, ...]
    joints: tuple[Joint, ...]
    feet: tuple[Foot, ...]
    plates: tuple[Plate, ...]
    gussets: tuple[Gusset, ...]
    lines: tuple[Line3, ...]
    car: CarEntry | None
    people: tuple[Person, ...] = ()
    pushes: tuple[AskedPush, ...] = ()
    metal: tuple[Metal, ...] = ()


def driver_body(cage: Cage) -> PersonEntry | None:
    """The body of the one who drives, or None where the plan has nobody."""
    return next((person.body for person in cage.people if person.name == DRIVER), None)


def bodies_of(cage: Cage) -> tuple[tuple[str, PersonEntry], ...]:
    """Every person seated in the car: the name, empty where there is but one, and the body."""
    several = len(cage.people) > 1
    return tuple((p.name if several else "", p.body) for p in cage.people if p.body is not None)


def mounts_of(cage: Cage) -> tuple[tuple[Mount, Literal["seat", "belt"]], ...]:
    """Every mount of every seat and harness, and which of the two it is of."""
    seats = [m for p in cage.people for m in (p.seat.mounts if p.seat else ())]
    belts = [b.mount for p in cage.people for b in (p.belts.mounts if p.belts else ())]
    return (*((m, "seat") for m in seats), *((m, "belt") for m in belts))


def member_named(cage: Cage, name: str) -> Member:
    """The member of that name.

    Raises:
        KeyError: there is none.
    """
    for member in cage.members:
        if member.name == name:
            return member
    raise KeyError(name)
