"""One member as the page draws it: its centre line, its places and the cuts of its ends."""

from __future__ import annotations

from collections.abc import Hashable, Mapping
from typing import Any

import numpy as np

from cagewright.base.cache import Cache
from cagewright.base.curves import sample
from cagewright.base.names import shown
from cagewright.base.vectors import Vector
from cagewright.job.scene.types import SceneBend, SceneEnd, ScenePlace, Vec3
from cagewright.make.weights import member_weight
from cagewright.plan.places import MEASURES, AtCoordinates, AtFoot, AtPoint, Place
from cagewright.plan.types import MemberEntry
from cagewright.shape.located import AlreadyRefused, Refused
from cagewright.shape.places import Ground, spot
from cagewright.shape.types import Array, Cope, End, FlatCut, Member

ROUND = 48
"""Places round a cut that the page draws."""
SAGITTA = 0.5
"""How far a drawn chord may lie inside a bend, mm."""
PLACES = 2
"""Decimals of every length, mm: what no tape reads is not sent."""
_TURNS: Array = np.linspace(0.0, 2.0 * np.pi, ROUND, endpoint=False, dtype=np.float64)
_drawn = Cache(3000)


def rounded(point: Vector) -> Vec3:
    """The point (3,) to 0.01 mm (never a minus nought)."""
    x, y, z = point.tolist()
    return round(x, PLACES) + 0.0, round(y, PLACES) + 0.0, round(z, PLACES) + 0.0


def all_rounded(points: Array) -> tuple[Vec3, ...]:
    """The points (n, 3) to 0.01 mm."""
    return tuple(map(tuple, (np.round(points, PLACES) + 0.0).tolist()))


def one(value: float) -> float:
    """The number to 0.01 mm."""
    return round(float(value), PLACES) + 0.0


def direction(values: Vector) -> Vec3:
    """A unit vector (3,) to 1e-6."""
    x, y, z = values.tolist()
    return round(x, 6) + 0.0, round(y, 6) + 0.0, round(z, 6) + 0.0


def drawn(member: Member, key: Hashable) -> dict[str, Any]:
    """The fields of a ``SceneMember`` but its places; the same ones again while nothing of it changes.

    Args:
        member: which.
        key: its likeness.
    """
    return _drawn.get(key, lambda: _drawing(member))


def _drawing(member: Member) -> dict[str, Any]:
    return {
        "name": member.name,
        "title": shown(member.name),
        "role": member.role,
        "tube": member.tube_name,
        "od": one(member.tube.across),
        "wall": one(member.tube.wall),
        "steel": member.tube.steel.name,
        "mass": round(member_weight(member).mass, 4),
        "length": one(member.length),
        "mirror_of": member.mirror_of,
        "removable": member.removable,
        "note": member.note,
        "axis": all_rounded(sample(member.path, sagitta=SAGITTA)),
        "ends": tuple(_end(member, end) for end in member.ends),
        "bends": tuple(
            SceneBend(angle_deg=round(float(np.degrees(b.angle)), 2), clr=one(b.clr)) for b in member.bends
        ),
    }


def _end(member: Member, end: End) -> SceneEnd:
    cut = end.cut
    return SceneEnd(
        which=end.which,
        kind="cope" if isinstance(cut, Cope) else "flat",
        joint=end.joint,
        foot=end.foot,
        mains=cut.mains if isinstance(cut, Cope) else (),
        origin=rounded(cut.origin),
        axis=direction(cut.axis),
        zero=direction(cut.zero),
        cut=tuple((np.round(cut_round(cut, member.tube.radius), PLACES) + 0.0).tolist()),
    )


def cut_round(cut: Cope | FlatCut, radius: float) -> Array:
    """The cut (48,) on the outside at even turns from its zero: mm along the axis from its origin.

    Args:
        cut: of the end.
        radius: of the tube's outside, mm.
    """
    if isinstance(cut, Cope):
        return np.interp(_TURNS, cut.phi, cut.outside, period=2.0 * np.pi)
    # the tube is longest at zero, where the plane lies furthest from the end's middle out of the tube
    return -np.tan(cut.tilt) * radius * np.cos(_TURNS)


def places_of(
    member: Member, written: MemberEntry, draft: MemberEntry, ground: Ground, twins: Mapping[str, str]
) -> tuple[ScenePlace, ...]:
    """The member's places in order, each with where it is and what it is on.

    Args:
        member: as resolved.
        written: its entry, or that of the member whose mirror it is.
        draft: its entry with every place on its own side.
        ground: what places refer to.
        twins: named points by the name of their mirror, both ways.
    """
    own, last = member.mirror_of is None, len(draft.path) - 1
    ends = {0: member.path.pieces[0].start, last: member.path.pieces[-1].stop}
    made: list[ScenePlace] = []
    for i, (place, old) in enumerate(zip(draft.path, written.path, strict=True)):
        at = _at(member, place, ground) if 0 < i < last else ends[i]
        told = said(place)
        if isinstance(old, AtPoint):
            told |= {"kind": "point", "point": old.point if own else twins.get(old.point, old.point)}
        clr = None if isinstance(place, AtFoot) or place.clr is None else one(place.clr)
        made.append(ScenePlace(index=i, at=rounded(at), clr=clr, **told))
    return tuple(made)


def _at(member: Member, place: Place, ground: Ground) -> Vector:
    try:
        return spot(place, ground, ("members", member.name))
    except (Refused, AlreadyRefused):  # cannot be: the cage was resolved from this very place
        return member.path.pieces[0].stop


def said(place: Place) -> dict[str, Any]:
    """How the place is given: the fields of a ``ScenePlace`` that say so."""
    if isinstance(place, AtCoordinates):
        return {"kind": "coordinates"}
    if isinstance(place, AtPoint):
        return {"kind": "point", "point": place.point}
    if isinstance(place, AtFoot):
        return {"kind": "foot", "foot": place.foot}
    measure = next(key for key in MEASURES if getattr(place, key) is not None)
    value = float(getattr(place, measure))
    rounded_to = round(value, 6) if measure == "part" else one(value)
    return {"kind": "member", "on": place.on, "side": place.side, "measure": measure, "value": rounded_to}
