"""Formula SAE Rules 2024 (v1.0), F.5.2.3: the support of a bent tube (read in the public text)."""

from __future__ import annotations

import math

import numpy as np

from cagewright.base.curves import nearest
from cagewright.base.vectors import dot, length
from cagewright.check.attitude import chord, densely, hoop_normal, outward, tip
from cagewright.check.bench import Gauged
from cagewright.check.clauses.clause import Clause
from cagewright.check.findings import Location
from cagewright.check.readings import YesNo, at
from cagewright.check.rules import Rule
from cagewright.check.select import chosen
from cagewright.check.sizes import ROUNDING
from cagewright.shape.types import Cage, Joint, Member, member_named

MOST_OUT = math.radians(30.0)
"""F.5.2.3: the support stands no further out of the bent tube's plane than this."""
LIMIT = "a support of the same size at the greatest offset, at most 30° out of the bend's plane"


def support_of_bent_tubes(cage: Cage, rule: Rule, bench: Gauged) -> tuple[YesNo, ...]:
    """For each bent member: whether a tube of its size supports it where it is furthest off its chord."""
    del bench
    return tuple(_supported(cage, m) for m in chosen(cage, rule) if m.bends)


def _supported(cage: Cage, member: Member) -> YesNo:
    along, point = furthest_off(member)
    joints = [j for j in cage.joints if _near(j, member, along)]
    wrong = [_fault(cage, member, j) for j in joints]
    good = not all(wrong) if wrong else False
    return YesNo(
        spot=Location(members=(member.name,), point=at(point)),
        holds=good,
        text="supported" if good else "; ".join(w for w in wrong if w) or "no support there",
        limit=LIMIT,
        advice=f"support {member.name} at this point with {LIMIT}",
    )


def furthest_off(member: Member) -> tuple[float, np.ndarray]:
    """Where (mm along, and the point) the member's axis is furthest off the straight from end to end."""
    points = densely(member.path, 5.0)
    unit = chord(member) / float(length(chord(member)))
    off = points - tip(member, "start")
    gaps = length(off - np.outer(off @ unit, unit))
    point = points[int(np.argmax(gaps))]
    return nearest(member.path, point)[0], point


def _near(joint: Joint, member: Member, along: float) -> bool:
    """Whether the joint is on the member within one diameter of a place along it."""
    if member.name not in joint.mains:
        return False
    return abs(joint.along[joint.mains.index(member.name)] - along) <= member.tube.across


def _fault(cage: Cage, member: Member, joint: Joint) -> str:
    support = member_named(cage, joint.branch)
    if not support.tube.is_round:
        return f"{support.name} is no round tube"
    if support.tube.od < member.tube.od - ROUNDING or support.tube.wall < member.tube.wall - ROUNDING:
        return f"{support.name} is smaller"
    normal = hoop_normal(member)
    tilt = (
        math.asin(min(1.0, abs(float(dot(outward(support, joint.which), normal)))))
        if normal is not None
        else 0.0
    )
    return f"{support.name} is {math.degrees(tilt):.0f}° out of plane" if tilt > MOST_OUT + 1e-9 else ""


CLAUSE = Clause(
    name="fsae f.5.2.3 support",
    meaning=(
        "Each bent member is supported where it is furthest off its chord (within one diameter) by a tube "
        "of at least its size, at most 30 deg out of the bend's plane."
    ),
    passes="a bent side tube with a tube of its own size cut on it at the middle of the bow, in its plane",
    fails="the same without the support, or with a support square to the plane",
    take=support_of_bent_tubes,
)
