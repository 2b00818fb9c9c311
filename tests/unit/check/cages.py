"""Small cages built by hand, without the plan reader or the resolver, for the checks' tests."""

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from aboard import aboard
from cagewright.base.curves import Arc, Chain, Line, chain, nearest
from cagewright.base.vectors import angle_between, unit
from cagewright.plan.types import BoltsEntry, CarEntry, PersonEntry, Role
from cagewright.shape.types import Bend, Cage, End, FlatCut, Foot, Gusset, Joint, Line3, Member, Plate
from cagewright.stock.catalogue import steels
from cagewright.stock.steels import Steel
from cagewright.stock.tubes import Tube, round_tube

IN = 25.4
LB = 0.45359237
Point = Sequence[float]


def tube(od: float = 45.0, wall: float = 2.5, steel: str | Steel = "E355+N") -> Tube:
    """A tube of a catalogue steel, or of any steel given."""
    return round_tube(od=od, wall=wall, steel=steels()[steel] if isinstance(steel, str) else steel)


def inch(od: float, wall: float, steel: str = "A513-5 1020") -> Tube:
    """A tube by inches."""
    return tube(od * IN, wall * IN, steel)


OWN_STEEL = Steel(name="own", yield_strength=400.0, tensile=500.0, source="mill sheet", certainty="shop")
NO_YIELD = Steel(name="own hard", tensile=500.0, source="mill sheet", certainty="shop")


def filleted(points: Sequence[Point], clr: float) -> tuple[Chain, tuple[Bend, ...]]:
    """The polyline with every inner corner rounded to ``clr``."""
    spots = [np.array(p, dtype=float) for p in points]
    pieces: list[Line | Arc] = []
    bends: list[Bend] = []
    here = spots[0]
    run = 0.0
    for before, apex, after in zip(spots, spots[1:], spots[2:], strict=False):
        u, v = unit(apex - before), unit(after - apex)
        angle = angle_between(u, v)
        if angle < 1e-9:
            continue
        back = clr * math.tan(angle / 2)
        side = unit(v - np.dot(u, v) * u)
        start = apex - back * u
        pieces += [
            Line(start=here, stop=start),
            Arc(centre=start + clr * side, radius=clr, u=-side, v=u, angle=angle),
        ]
        run += float(np.linalg.norm(start - here))
        bends.append(
            Bend(
                apex=apex,
                angle=angle,
                clr=clr,
                normal=unit(np.cross(u, v)),
                start=run,
                stop=run + clr * angle,
                clocking=0.0,
            )
        )
        run += clr * angle
        here = apex + back * v
    pieces.append(Line(start=here, stop=spots[-1]))
    return chain(tuple(pieces)), tuple(bends)


def bar(
    name: str,
    role: Role,
    *points: Point,
    size: Tube | None = None,
    clr: float = 135.0,
    removable: bool = False,
    note: str = "",
) -> Member:
    """A member along the points, its ends cut square."""
    path, bends = filleted(points, clr)
    ends = (_end("start", path.pieces[0].start), _end("end", path.pieces[-1].stop))
    return Member(
        name=name,
        role=role,
        tube=size or tube(),
        tube_name="t",
        path=path,
        bends=bends,
        ends=ends,
        end_clocking=0.0,
        length=path.length,
        mirror_of=None,
        removable=removable,
        note=note,
    )


def _end(which: str, point: np.ndarray) -> End:
    up = np.array([0.0, 0.0, 1.0])
    cut = FlatCut(
        origin=point, axis=up, normal=up, zero=np.array([1.0, 0.0, 0.0]), tilt=0.0, weld_length=100.0
    )
    return End(which=which, cut=cut, joint=None, foot=None, clocking=0.0, trim=0.0)  # type: ignore[arg-type]


def foot(
    name: str,
    point: Point,
    *members: str,
    plate: tuple[float, float, float] = (130.0, 110.0, 3.0),
    contact: float | None = None,
    bolts: BoltsEntry | None = None,
) -> Foot:
    """A foot under the named members."""
    return Foot(
        name=name,
        point=np.array(point, dtype=float),
        normal=np.array([0.0, 0.0, 1.0]),
        seat="sill",
        plate=plate,
        contact=plate[0] * plate[1] if contact is None else contact,
        bolts=bolts,
        members=members,
    )


def gusset(
    name: str, a: str, b: str, point: Point, leg: float = 90.0, thickness: float = 1.5, kind: str = "folded"
) -> Gusset:
    """A gusset."""
    return Gusset(
        name=name,
        between=(a, b),
        point=np.array(point, dtype=float),
        leg=leg,
        thickness=thickness,
        kind=kind,  # type: ignore[arg-type]
    )


def line(name: str, *points: Point, note: str = "") -> Line3:
    """A body line."""
    return Line3(name=name, points=np.array(points, dtype=float), note=note)


def plate(name: str, *members: str, thickness: float = 2.0) -> Plate:
    """A plate on the named members."""
    return Plate(name=name, corners=np.zeros((3, 3)), thickness=thickness, members=members)


def cage(
    *members: Member,
    feet: Sequence[Foot] = (),
    gussets: Sequence[Gusset] = (),
    lines: Sequence[Line3] = (),
    plates: Sequence[Plate] = (),
    mass: float | None = 1080.0,
    body: str = "two-door saloon",
    driver: PersonEntry | None = None,
    units: str = "mm",
) -> Cage:
    """The members as a cage; an end that lies on another member's axis makes a joint with it."""
    car = (
        None if mass is None else CarEntry(mass=mass, body=body)
    )  # inside unit: the reader takes bare numbers as kg
    return Cage(
        title="test",
        revision="0",
        units=units,
        members=tuple(_footed(m, feet) for m in members),
        joints=_joints(members, feet),  # type: ignore[arg-type]
        feet=tuple(feet),
        plates=tuple(plates),
        gussets=tuple(gussets),
        lines=tuple(lines),
        car=car,
        people=aboard(driver),
    )


def _footed(member: Member, feet: Sequence[Foot]) -> Member:
    """The member with the foot each end stands on."""
    ends = tuple(
        replace(
            e,
            foot=next(
                (f.name for f in feet if member.name in f.members and np.linalg.norm(f.point - p) < 1.0), None
            ),
        )
        for e, p in zip(member.ends, (member.path.pieces[0].start, member.path.pieces[-1].stop), strict=True)
    )
    return replace(member, ends=ends)


def _joints(members: Sequence[Member], feet: Sequence[Foot]) -> tuple[Joint, ...]:
    found: list[Joint] = []
    for branch in members:
        for which, point in (("start", branch.path.pieces[0].start), ("end", branch.path.pieces[-1].stop)):
            hits = [(m.name, *nearest(m.path, point)) for m in members if m.name != branch.name]
            mains = [(name, s) for name, s, away in hits if away < 0.01]
            if mains:
                found.append(
                    Joint(
                        name=f"{branch.name}.{which}",
                        branch=branch.name,
                        which=which,
                        mains=tuple(n for n, _ in mains),  # type: ignore[arg-type]
                        along=tuple(s for _, s in mains),
                        point=point,
                    )
                )
    return tuple(found)


def hoop(
    *,
    x: float = 1600.0,
    half: float = 600.0,
    top: float = 1235.0,
    foot_z: float = 200.0,
    lean: float = 0.0,
    size: Tube | None = None,
    clr: float = 135.0,
    name: str = "main_hoop",
    role: Role = "main rollbar",
) -> Member:
    """A plane hoop, leaned back by ``lean`` rad about its feet."""
    back = x + (top - foot_z) * math.tan(lean)
    return bar(
        name,
        role,
        (x, -half, foot_z),
        (back, -half, top),
        (back, half, top),
        (x, half, foot_z),
        size=size,
        clr=clr,
    )


def simple_cage(**changes: object) -> Cage:
    """A hoop with two backstays on four feet."""
    main = hoop()
    stays = [
        bar(f"stay_{side}", "backstay", (1600.0, y, 1235.0), (2300.0, y, 590.0), size=tube(38.0, 2.5))
        for side, y in (("left", -440.0), ("right", 440.0))
    ]
    feet = [
        foot("hoop_left", (1600, -600, 200), "main_hoop"),
        foot("hoop_right", (1600, 600, 200), "main_hoop"),
        foot("stay_left", (2300, -440, 590), "stay_left", plate=(100, 80, 3)),
        foot("stay_right", (2300, 440, 590), "stay_right", plate=(100, 80, 3)),
    ]
    return replace(cage(main, *stays, feet=feet), **changes)  # type: ignore[arg-type]


def post_cage(size: Tube, *feet: Foot) -> Cage:
    """One upright main rollbar post called m on the feet."""
    return cage(bar("m", "main rollbar", (1600, -600, 200), (1600, -600, 1235), size=size), feet=feet)


def full_cage() -> Cage:
    """A saloon cage of 18 members by hand: base structure, doorbars and posts, diagonal, roof, pillars."""
    small = tube(38.0, 2.5)
    main = hoop()
    members = [main]
    for side, y in (("left", -1.0), ("right", 1.0)):
        leg = [(530, y * 600, 200), (530, y * 600, 800), (1000, y * 465, 1195), (1600, y * 440, 1235)]
        members += [
            bar(f"leg_{side}", "lateral half-rollbar", *leg, size=small, clr=114.0),
            bar(f"stay_{side}", "backstay", (1600, y * 400, 1235), (2300, y * 440, 590), size=small),
            bar(f"door_top_{side}", "doorbar", (530, y * 600, 600), (1600, y * 600, 620), size=small),
            bar(f"door_low_{side}", "doorbar", (530, y * 600, 300), (1600, y * 600, 300), size=small),
            bar(
                f"post_{side}",
                "doorbar post",
                (1000, y * 600, 300),
                (1000, y * 600, 600 + 470 / 53.5),
                size=small,
            ),
            bar(
                f"pillar_{side}",
                "windscreen pillar reinforcement",
                (900, y * 494.95, 1111),
                (1000, y * 600, 608.79),
                size=small,
            ),
        ]
    members += [
        bar("header", "transverse member", (1000, -465, 1195), (1000, 465, 1195), size=small),
        bar("dash", "dash bar", (530, -600, 700), (530, 600, 700), size=small),
        bar("diagonal", "diagonal", (1600, 600, 280), (1600, -380, 1235), size=small),
        bar("harness", "harness bar", (1600, -600, 700), (1600, 600, 700), size=small),
        bar("roof", "roof reinforcement", (1600, 390, 1235), (1000, -420, 1195), size=small),
    ]
    feet: list[Foot] = []
    for side, y in (("left", -1), ("right", 1)):
        stands = {"front": f"leg_{side}", "rear": f"stay_{side}"}
        feet += [
            foot(f"hoop_{side}", (1600, y * 600, 200), "main_hoop", plate=(130.0, 110.0, 3.0)),
            foot(f"front_{side}", (530, y * 600, 200), stands["front"], plate=(120.0, 110.0, 3.0)),
            foot(f"rear_{side}", (2300, y * 440, 590), stands["rear"], plate=(100.0, 80.0, 3.0)),
        ]
    edge = [(600, 260), (600, 860), (1010, 1210), (1530, 1210), (1555, 860), (1520, 260), (600, 260)]
    lines = [
        line(f"door_opening_{s}", *((x, y * 700, z) for x, z in edge))
        for s, y in (("left", -1), ("right", 1))
    ]
    gussets = [gusset("corner", "main_hoop", "leg_left", (1600, -440, 1235))]
    driver = PersonEntry(hip=(1210, -330, 265), head=(1395, -330, 915), back_angle="22 deg", mass="80 kg")
    return cage(*members, feet=feet, lines=lines, gussets=gussets, driver=driver)
