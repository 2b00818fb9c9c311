"""A small cage made by hand, to test the papers without the stages that read and resolve a plan."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np

from aboard import aboard
from cagewright.base.curves import Arc, Chain, Line, chain
from cagewright.base.vectors import UP, angle_between, cross, length, signed_angle, square_to, turn, unit
from cagewright.plan.types import PersonEntry
from cagewright.shape.types import Bend, Cage, Cope, End, FlatCut, Foot, Joint, Line3, Member
from cagewright.stock.steels import Steel
from cagewright.stock.tubes import round_tube

STEEL = Steel(
    name="E355+N", yield_strength=355.0, tensile=490.0, source="made up for tests", certainty="memory"
)
HOOP = round_tube(od=45.0, wall=2.5, steel=STEEL)
BAR = round_tube(od=38.0, wall=2.5, steel=STEEL)


def bent(points, clr):
    """The chain and its bends through the points, mm."""
    corners = [np.array(p, dtype=float) for p in points]
    pieces, bends, at, run = [], [], corners[0], 0.0
    for before, apex, after in zip(corners, corners[1:], corners[2:], strict=False):
        into, out = unit(apex - before), unit(after - apex)
        angle = angle_between(into, out)
        normal, setback = unit(cross(into, out)), clr * math.tan(angle / 2.0)
        line = Line(start=at, stop=apex - into * setback)
        u = -cross(normal, into)
        arc = Arc(centre=line.stop - u * clr, radius=clr, u=u, v=into, angle=angle)
        clocking = signed_angle(bends[-1].normal, normal, into) if bends else 0.0
        start = run + line.length
        run = start + arc.length
        bends.append(
            Bend(apex=apex, angle=angle, clr=clr, normal=normal, start=start, stop=run, clocking=clocking)
        )
        pieces += [line, arc]
        at = arc.stop
    pieces.append(Line(start=at, stop=corners[-1]))
    return chain(tuple(pieces)), tuple(bends)


def saddle(phi, r, R, b, e):
    """The saddle equation: distance along the branch from the main's axis, mm."""
    return (np.sqrt(R**2 - (r * np.sin(phi) + e) ** 2) - r * np.cos(phi) * np.cos(b)) / np.sin(b)


def cope(main, way, *, tube, main_tube, origin, axis, offset=0.0, bent_main=False, asymmetric=0.0):
    """A cope on a straight main along the unit ``way``; ``asymmetric`` skews the cut for tests."""
    axis = unit(np.asarray(axis, dtype=float))
    if np.dot(way, axis) < 0.0:
        way = -way
    angle = angle_between(way, axis)
    zero = square_to(axis, -way)  # the heel lies on the side of the obtuse angle
    phi = np.linspace(0.0, 2.0 * np.pi, 144, endpoint=False)
    r, R = tube.radius, main_tube.radius
    skew = asymmetric / 2.0 * np.sin(phi)
    outside = saddle(phi, r, R, angle, offset) + skew
    inside = saddle(phi, r - tube.wall, R, angle, offset) + skew
    n = len(phi)
    return Cope(
        mains=(main,), origin=np.asarray(origin, dtype=float), axis=axis, zero=zero, angle=angle,
        offset=offset,
        phi=phi, outside=outside, inside=inside, bevel=np.full(n, 1.2), on=np.zeros(n, dtype=np.int64),
        weld_length=130.0, least_bevel=1.0, asymmetric=asymmetric, bent_main=bent_main,
    )  # fmt: skip


def flat(origin, axis, normal, radius):
    """A cut to the plane of ``normal``."""
    axis, normal = unit(np.asarray(axis, dtype=float)), unit(np.asarray(normal, dtype=float))
    tilt = angle_between(axis, normal)
    zero = square_to(axis, normal) if tilt > 1e-9 else square_to(axis, np.array([1.0, 0.0, 0.0]))
    return FlatCut(
        origin=np.asarray(origin, dtype=float), axis=axis, normal=normal, zero=zero, tilt=tilt,
        weld_length=2 * np.pi * radius,
    )  # fmt: skip


def member(name, role, tube, points, clr, start, stop, **more):
    """A member whose ends are given as (cut, joint name or None, foot name or None)."""
    path, bends = (
        bent(points, clr)
        if len(points) > 2
        else (chain((Line(start=np.array(points[0], float), stop=np.array(points[1], float)),)), ())
    )
    ends = tuple(
        End(which=which, cut=cut, joint=joint, foot=foot, clocking=0.0, trim=_trim(cut, tube))
        for which, (cut, joint, foot) in (("start", start), ("end", stop))
    )
    return Member(
        name=name, role=role, tube=tube, tube_name="hoop" if tube is HOOP else "bar", path=path, bends=bends,
        ends=ends, end_clocking=0.0, length=path.length - ends[0].trim - ends[1].trim,
        mirror_of=more.get("mirror_of"), removable=False, note=more.get("note", ""),
    )  # fmt: skip


def _trim(cut, tube):
    return float(cut.outside.min()) if isinstance(cut, Cope) else -tube.radius * math.tan(cut.tilt)


def _way(a, b):
    return unit(np.array(b, float) - np.array(a, float))


def _foot_cut(at, toward, normal, tube):
    return flat(at, _way(at, toward), normal, tube.radius)


HOOP_POINTS = (
    (1480, -640, 214), (1480, -632, 700), (1495, -500, 1240),
    (1495, 500, 1240), (1480, 632, 700), (1480, 640, 214),
)  # fmt: skip
LEG_POINTS = ((640, -640, 230), (640, -630, 640), (1000, -560, 1140), (1480, -470, 1240))


UPRIGHT = _way(HOOP_POINTS[0], HOOP_POINTS[1])
LEAN = _way((0, -632, 700), (15, -500, 1240))
OTHER = _way((0, 632, 700), (15, 500, 1240))
"""Directions of the hoop's left leg, of the straight above it, and of the one on the right."""


def mirrored(points):
    """The points on the other side of the car."""
    return tuple((x, -y, z) for x, y, z in points)


def hoop():
    """The main rollbar: four bends, square feet."""
    p = HOOP_POINTS
    return member(
        "main_hoop", "main rollbar", HOOP, p, 135.0,
        (_foot_cut(p[0], p[1], _way(p[0], p[1]), HOOP), None, "hoop_left"),
        (_foot_cut(p[-1], p[-2], _way(p[-1], p[-2]), HOOP), None, "hoop_right"),
    )  # fmt: skip


def leg(side):
    """A front leg: two bends in different planes, a tilted foot, coped to the hoop's corner."""
    p = LEG_POINTS if side == "left" else mirrored(LEG_POINTS)
    cut = cope(
        "main_hoop", np.array([0.0, 1.0, 0.0]), tube=BAR, main_tube=HOOP, origin=p[-1],
        axis=-_way(p[-2], p[-1]),
        bent_main=True, asymmetric=4.2, offset=1.5,
    )  # fmt: skip
    return member(
        f"front_leg_{side}", "lateral half-rollbar", BAR, p, 114.0,
        (_foot_cut(p[0], p[1], UP + np.array([0.12, 0.1, 0.0]), BAR), None, f"leg_{side}"),
        (cut, f"front_leg_{side}.end", None), mirror_of=None if side == "left" else "front_leg_left",
    )  # fmt: skip


def bar(name, role, a, b, ways, mains, offset=0.0):
    """A straight member coped at both ends."""
    cuts = [
        cope(m, way, tube=BAR, main_tube=HOOP, origin=at, axis=_way(at, to), offset=offset)
        for m, way, at, to in zip(mains, ways, (a, b), (b, a), strict=True)
    ]
    return member(
        name, role, BAR, (a, b), 0.0, (cuts[0], f"{name}.start", None), (cuts[1], f"{name}.end", None)
    )


def backstay(side):
    """A straight backstay from the hoop's top to a sloping turret."""
    s = -1.0 if side == "left" else 1.0
    a, b = (1500, s * 480, 1236), (2350, s * 470, 560)
    cut = cope("main_hoop", np.array([0.0, 1.0, 0.0]), tube=BAR, main_tube=HOOP, origin=a, axis=_way(a, b))
    return member(
        f"backstay_{side}", "backstay", BAR, (a, b), 0.0, (cut, f"backstay_{side}.start", None),
        (_foot_cut(b, a, UP, BAR), None, f"stay_{side}"),
    )  # fmt: skip


def members():
    """All members of the small cage."""
    up, leg_up, lean, other = UPRIGHT, _way(LEG_POINTS[0], LEG_POINTS[1]), LEAN, OTHER
    right = np.array([1.0, -1.0, 1.0])
    both = ("main_hoop", "main_hoop")
    doors = [((640, s * 636, 380), (1480, s * 636, 520)) for s in (-1.0, 1.0)]
    return (
        hoop(), leg("left"), leg("right"), backstay("left"), backstay("right"),
        bar("diagonal", "diagonal", (1480, -637, 330), (1490, 560, 1010), (up, other), both),
        bar("harness_bar", "harness bar", (1484, -600, 830), (1484, 600, 830), (lean, other), both, 3.0),
        bar("doorbar_left", "doorbar", *doors[0], (leg_up, up), ("front_leg_left", "main_hoop")),
        bar(
            "doorbar_right", "doorbar", *doors[1], (leg_up * right, up * right),
            ("front_leg_right", "main_hoop"),
        ),
    )  # fmt: skip


def cage(**more):
    """The small cage."""
    built = members()
    feet = tuple(
        Foot(
            name=end.foot, point=end.cut.origin, normal=end.cut.normal, seat="sill",
            plate=(130.0, 110.0, 3.0),
            contact=14300.0, bolts=None, members=(m.name,),
        )
        for m in built for end in m.ends if end.foot
    )  # fmt: skip
    joints = tuple(
        Joint(
            name=end.joint, branch=m.name, which=end.which, mains=end.cut.mains, along=(0.0,),
            point=end.cut.origin,
        )
        for m in built for end in m.ends if end.joint
    )  # fmt: skip
    roof = np.array([(700, 0, 1330), (1100, 0, 1370), (1500, 0, 1360), (1900, 0, 1290)], dtype=float)
    driver = PersonEntry(hip=(1210.0, -330.0, 265.0), head=(1330.0, -330.0, 940.0))
    given = {
        "title": "Brackwater two-door, gravel hill-climb",
        "revision": "3f9a01c2d4",
        "units": "mm",
    } | more
    return Cage(
        members=built, joints=joints, feet=feet, plates=(), gussets=(),
        lines=(Line3(name="roof_middle", points=roof, note="roof"),), car=None,
        people=aboard(driver), **given,
    )  # fmt: skip


def longest(path: Chain) -> float:
    """Length of the longest piece, mm."""
    return max(b - a for a, b in pairwise(path.starts))


def spin(v, axis, angle):
    """``v`` turned about ``axis`` by ``angle`` rad, for tests that check rotations independently."""
    return turn(v, axis, angle) / length(turn(v, axis, angle))
