"""Seated drivers and harnesses made by hand, for the checks of belts, mounts, sight and practice."""

import math
from collections.abc import Sequence

import numpy as np

from aboard import aboard
from cagewright.base.curves import Line, chain, nearest
from cagewright.plan.types import BeltBoltEntry, CarEntry, PersonEntry, Role, SheetEntry, TabEntry
from cagewright.shape.types import (
    BeltMount,
    Belts,
    Cage,
    End,
    FlatCut,
    Joint,
    Line3,
    Member,
    Mount,
    Seating,
)
from cagewright.stock.steels import Steel
from cagewright.stock.tubes import Tube, round_tube

STEEL = Steel(name="own", yield_strength=350.0, tensile=490.0, source="made up for tests", certainty="memory")
BAR = round_tube(od=38.0, wall=2.5, steel=STEEL)
HIP = (1200.0, -330.0, 260.0)
SHOULDER = (1400.0, -330.0, 750.0)
BACK = math.radians(20.0)
TAB = TabEntry(
    thickness=6.0, width=50.0, hole=12.5, end=25.0, reach=30.0, root=60.0, throat=4.0,
    yield_strength=355.0, tensile=490.0,
)  # fmt: skip
BOLT = BeltBoltEntry(size="7/16 UNF", grade="8")


def driver(**changes) -> PersonEntry:
    """A driver whose hip, shoulder and groin were measured."""
    given = {"shoulder": SHOULDER, "groin": (1100.0, -330.0, 240.0), "back_angle": BACK, **changes}
    return PersonEntry(hip=HIP).model_copy(update=given)


def straight(name: str, role: Role, start, stop, tube: Tube = BAR) -> Member:
    """A straight member with square ends."""
    points = [np.array(p, dtype=float) for p in (start, stop)]
    path = chain((Line(start=points[0], stop=points[1]),))
    up, ahead = np.array([0.0, 0.0, 1.0]), np.array([1.0, 0.0, 0.0])
    ends = tuple(
        End(
            which=which,
            cut=FlatCut(origin=p, axis=up, normal=up, zero=ahead, tilt=0.0, weld_length=1.0),
            joint=None, foot=None, clocking=0.0, trim=0.0,
        )
        for which, p in zip(("start", "end"), points, strict=True)
    )  # fmt: skip
    return Member(
        name=name, role=role, tube=tube, tube_name="t", path=path, bends=(), ends=ends, end_clocking=0.0,
        length=path.length, mirror_of=None, removable=False, note="",
    )  # fmt: skip


HARNESS_BAR = straight("bar", "harness bar", (1600.0, -650.0, 700.0), (1600.0, 0.0, 700.0))


def mount(name: str, point, *belts, member: Member | None = None, **more) -> BeltMount:
    """A mount with the usual tab and bolt, on a member where one is given."""
    at = np.array(point, dtype=float)
    along = nearest(member.path, at)[0] if member else 0.0
    given = {"wrap": False, "tab": TAB, "bolt": BOLT, "plate": None, **more}
    where = Mount(name=name, point=at, member=member.name if member else None, along=along, note="")
    return BeltMount(mount=where, belts=belts or (name.split("_")[0],), **given)


def lap_at(angle: float, *, down: float = 110.0) -> list[BeltMount]:
    """Two lap mounts whose belts stand at ``angle`` degrees to the level."""
    back = down / math.tan(math.radians(angle))
    return [
        mount(f"lap_{side}", (HIP[0] + back, HIP[1] + across, HIP[2] - down), plate=(80.0, 60.0, 3.0))
        for side, across in (("left", -200.0), ("right", 200.0))
    ]


def shoulder_at(angle: float, *, behind: float = 200.0, apart: float = 200.0, **more) -> list[BeltMount]:
    """Two shoulder mounts whose belts run ``angle`` degrees down."""
    down = behind * math.tan(math.radians(angle))
    return [
        mount(f"shoulder_{side}", (SHOULDER[0] + behind, SHOULDER[1] + across, SHOULDER[2] - down), **more)
        for side, across in (("left", -apart / 2.0), ("right", apart / 2.0))
    ]


def crotch_at(angle: float, *, down: float = 90.0, apart: float = 100.0) -> list[BeltMount]:
    """Two crotch mounts whose belts run ``angle`` degrees back from straight down."""
    back = down * math.tan(math.radians(angle))
    return [
        mount(f"crotch_{side}", (1100.0 + back, HIP[1] + across, 240.0 - down), plate=(80.0, 60.0, 3.0))
        for side, across in (("left", -apart / 2.0), ("right", apart / 2.0))
    ]


def seated(
    mounts: Sequence[BeltMount] = (),
    *,
    standard: str = "",
    sheet: SheetEntry | None = None,
    members: Sequence[Member] = (HARNESS_BAR,),
    joints: Sequence[Joint] = (),
    lines: Sequence[Line3] = (),
    rules: tuple[str, ...] = (),
    seat: Seating | None = None,
    who: PersonEntry | None = None,
) -> Cage:
    """A cage of the members, with a driver and a harness."""
    car = CarEntry.model_construct(mass=1080.0, body="", rules=rules)
    return Cage(
        title="test", revision="0", units="mm", members=tuple(members), joints=tuple(joints), feet=(),
        plates=(), gussets=(), lines=tuple(lines), car=car,
        people=aboard(
            who or driver(), belts=Belts(standard=standard, sheet=sheet, mounts=tuple(mounts)), seat=seat
        ),
    )  # fmt: skip


def six(lap: float = 58.0, shoulder: float = 8.0, crotch: float = 10.0) -> list[BeltMount]:
    """A harness of six belts at those angles, degrees."""
    return [*lap_at(lap), *shoulder_at(shoulder), *crotch_at(crotch)]


def body_line(name: str, *points) -> Line3:
    """A measured body line."""
    return Line3(name=name, points=np.array(points, dtype=float), note="")
