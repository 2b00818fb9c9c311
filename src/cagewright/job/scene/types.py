"""The picture's parts as the browser gets them: lengths in mm to 0.01, masses in kg, angles in degrees."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Any, Literal

from cagewright.base.units import LengthUnit

Vec3 = tuple[float, float, float]
"""(back, across, up), mm; or a direction."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ScenePlace:
    """A place of a member's path: where it is, and how the plan says so.

    Attributes:
        index: of the place in the path.
        kind: how the plan gives it.
        on: the member it is on.
        side: of that member, where the plan says it.
        foot: the foot that it is.
        point: the named point that it is.
        measure: by what it is told on its member: ``up``, ``back``, ``across``, ``along`` or ``part``.
        value: of that measure, mm, or the share for ``part``.
        clr: centreline radius of its bend where the plan gives one, mm.
    """

    index: int
    at: Vec3
    kind: Literal["coordinates", "point", "foot", "member"]
    on: str | None = None
    side: str | None = None
    foot: str | None = None
    point: str | None = None
    measure: str | None = None
    value: float | None = None
    clr: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class SceneEnd:
    """The cut of an end: ``cut`` mm along ``axis`` from ``origin``, evenly round from ``zero``."""

    which: Literal["start", "end"]
    kind: Literal["cope", "flat"]
    joint: str | None
    foot: str | None
    mains: tuple[str, ...]
    origin: Vec3
    axis: Vec3
    zero: Vec3
    cut: tuple[float, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class SceneBend:
    """A bend of a member."""

    angle_deg: float
    clr: float


@dataclass(frozen=True, slots=True, kw_only=True)
class SceneMember:
    """A member; ``title`` is its name as it is read, ``axis`` its centre line."""

    name: str
    title: str
    role: str
    tube: str
    od: float
    wall: float
    steel: str
    mass: float
    length: float
    mirror_of: str | None
    removable: bool
    note: str
    axis: tuple[Vec3, ...]
    ends: tuple[SceneEnd, ...]
    bends: tuple[SceneBend, ...]
    places: tuple[ScenePlace, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class SceneJoint:
    """Where a member's end meets others."""

    name: str
    branch: str
    which: Literal["start", "end"]
    mains: tuple[str, ...]
    point: Vec3


@dataclass(frozen=True, slots=True, kw_only=True)
class SceneFoot:
    """A foot and its plate; ``faces`` are those behind its folds."""

    name: str
    point: Vec3
    normal: Vec3
    corners: tuple[Vec3, ...]
    plate: Vec3
    thickness: float
    seat: str
    members: tuple[str, ...]
    bolted: bool
    faces: tuple[tuple[Vec3, ...], ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class ScenePlate:
    """A plate between members."""

    name: str
    corners: tuple[Vec3, ...]
    thickness: float


@dataclass(frozen=True, slots=True, kw_only=True)
class SceneGusset:
    """A gusset: the corners of its first face, and its other faces."""

    name: str
    between: tuple[str, ...]
    point: Vec3
    leg: float
    thickness: float
    kind: str
    corners: tuple[Vec3, ...]
    faces: tuple[tuple[Vec3, ...], ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class SceneCoupling:
    """A coupling in a tube: what it is, where, its faces with each thickness."""

    name: str
    member: str
    kind: str
    point: Vec3
    faces: tuple[tuple[tuple[Vec3, ...], float], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class SceneLine:
    """A measured line of the body."""

    name: str
    note: str
    points: tuple[Vec3, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class SceneBall:
    """The helmet."""

    centre: Vec3
    radius: float


@dataclass(frozen=True, slots=True, kw_only=True)
class SceneLimb:
    """A part of a seated body: what lies within ``radius`` of the line from ``start`` to ``stop``."""

    name: str
    start: Vec3
    stop: Vec3
    radius: float


@dataclass(frozen=True, slots=True, kw_only=True)
class ScenePerson:
    """Somebody in a seat: ``driver`` is the one who drives."""

    name: str
    helmet: SceneBall
    body: tuple[SceneLimb, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class SceneMount:
    """A mount of the seat or of a belt."""

    name: str
    point: Vec3
    member: str | None
    kind: Literal["seat", "belt"]


@dataclass(frozen=True, slots=True, kw_only=True)
class SceneScan:
    """Which scan stands behind the cage; its mesh is asked for at an address that changes as it moves."""

    file: str
    triangles: int | None
    url: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Scene:
    """The whole picture.

    Attributes:
        number: of the revision in the log.
        revision: the plan's mark; None where the plan never could be built.
        units: in which its figures are said.
        box: least and greatest (back, across, up); about a car's where there is nothing to draw.
        stale: the text has problems, and this is what it made before them.
    """

    number: int
    revision: str | None
    title: str
    units: LengthUnit
    box: tuple[Vec3, Vec3] = ((0.0, -700.0, 0.0), (2000.0, 700.0, 1300.0))
    members: tuple[SceneMember, ...] = ()
    joints: tuple[SceneJoint, ...] = ()
    feet: tuple[SceneFoot, ...] = ()
    plates: tuple[ScenePlate, ...] = ()
    gussets: tuple[SceneGusset, ...] = ()
    couplings: tuple[SceneCoupling, ...] = ()
    lines: tuple[SceneLine, ...] = ()
    people: tuple[ScenePerson, ...] = ()
    mounts: tuple[SceneMount, ...] = ()
    scan: SceneScan | None = None
    stale: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Delta:
    """What turns one scene into another.

    Attributes:
        number: of the new revision.
        members: those new or changed, whole.
        gone: names of those no longer there.
        order: names in their new order, only where it is not the old one with the gone left out and the new
            ones last.
        rest: every other part of the scene that is not as before, by name.
    """

    number: int
    revision: str | None
    members: tuple[SceneMember, ...]
    gone: tuple[str, ...]
    order: tuple[str, ...] | None
    rest: Annotated[dict[str, Any], "Partial<Scene>"]
