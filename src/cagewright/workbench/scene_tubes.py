"""One member as the page draws it: its centre line, its places and the cuts of its ends."""

from __future__ import annotations

from collections.abc import Hashable, Mapping
from typing import Any

import numpy as np

from cagewright.base.cache import Cache
from cagewright.base.curves import sample
from cagewright.base.vectors import Vector
from cagewright.make.weights import member_weight
from cagewright.plan.places import MEASURES, AtCoordinates, AtFoot, AtPoint, OnMember, Place
from cagewright.plan.types import MemberEntry
from cagewright.shape.located import AlreadyRefused, Refused
from cagewright.shape.places import Ground, spot
from cagewright.shape.types import Array, Cope, End, FlatCut, Member
from cagewright.workbench.likeness import likeness

ROUND = 48
"""Places round a cut that the page draws."""
SAGITTA = 0.5
"""How far a drawn chord may lie inside a bend, mm."""
PLACES = 2
"""Decimals of every length, mm: what no tape reads is not sent."""
_TURNS: Array = np.linspace(0.0, 2.0 * np.pi, ROUND, endpoint=False, dtype=np.float64)
_drawn = Cache(3000)


def rounded(values: Array) -> Any:
    """The numbers to 0.01 mm as plain lists (never a minus nought)."""
    if values.ndim == 1 and len(values) == 3:  # by far the most: numpy takes four times as long for them
        return [round(value, PLACES) + 0.0 for value in values.tolist()]
    return (np.round(values, PLACES) + 0.0).tolist()


def one(value: float) -> float:
    """The number to 0.01 mm."""
    return round(float(value), PLACES) + 0.0


def direction(values: Vector) -> list[float]:
    """A unit vector to 1e-6 as a plain list."""
    return [round(value, 6) + 0.0 for value in values.tolist()]


def drawn(member: Member, key: Hashable | None = None) -> dict[str, Any]:
    """The member as the page draws it, without its places; the same one again while nothing of it changes.

    Keys: name, role, tube, od, wall, steel, mass (kg), length (mm), mirror_of, removable, note, axis
    [[x, y, z], ..], ends, bends.

    Args:
        member: which.
        key: its likeness, where that is known.
    """
    return _drawn.get(likeness(member) if key is None else key, lambda: _drawing(member))


def _drawing(member: Member) -> dict[str, Any]:
    return {
        "name": member.name,
        "role": member.role,
        "tube": member.tube_name,
        "od": one(member.tube.od),
        "wall": one(member.tube.wall),
        "steel": member.tube.steel.name,
        "mass": round(member_weight(member).mass, 4),
        "length": one(member.length),
        "mirror_of": member.mirror_of,
        "removable": member.removable,
        "note": member.note,
        "axis": rounded(sample(member.path, sagitta=SAGITTA)),
        "ends": [_end(member, end) for end in member.ends],
        "bends": [
            {"angle_deg": round(float(np.degrees(b.angle)), 2), "clr": one(b.clr)} for b in member.bends
        ],
    }


def _end(member: Member, end: End) -> dict[str, Any]:
    cut = end.cut
    return {
        "which": end.which,
        "kind": "cope" if isinstance(cut, Cope) else "flat",
        "joint": end.joint,
        "foot": end.foot,
        "mains": list(cut.mains) if isinstance(cut, Cope) else [],
        "origin": rounded(cut.origin),
        "axis": direction(cut.axis),
        "zero": direction(cut.zero),
        "cut": rounded(cut_round(cut, member.tube.radius)),
    }


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
) -> list[dict[str, Any]]:
    """The member's places in order, each with where it is and what it is on.

    Args:
        member: as resolved.
        written: its entry, or that of the member whose mirror it is.
        draft: its entry with every place on its own side.
        ground: what places refer to.
        twins: named points by the name of their mirror, both ways.
    """
    own, last = member.mirror_of is None, len(draft.path) - 1
    made: list[dict[str, Any]] = []
    for i, (place, old) in enumerate(zip(draft.path, written.path, strict=True)):
        at = _at(member, place, ground) if 0 < i < last else _tip(member, i)
        point = old.point if isinstance(old, AtPoint) else None
        made.append(
            {"index": i, "at": rounded(at), **said(place), "clr": _clr(place)}
            | ({} if point is None else {"kind": "point", "point": point if own else twins.get(point, point)})
        )
    return made


def _tip(member: Member, index: int) -> Vector:
    pieces = member.path.pieces
    return pieces[0].start if index == 0 else pieces[-1].stop


def _at(member: Member, place: Place, ground: Ground) -> Vector:
    try:
        return spot(place, ground, ("members", member.name))
    except (Refused, AlreadyRefused):  # cannot be: the cage was resolved from this very place
        return member.path.pieces[0].stop


def _clr(place: Place) -> float | None:
    clr = None if isinstance(place, AtFoot) else place.clr
    return None if clr is None else one(clr)


def said(place: Place) -> dict[str, Any]:
    """How the place is given: kind, on, side, foot, point, measure, value (mm, or the share for ``part``)."""
    bare: dict[str, Any] = dict.fromkeys(("on", "side", "foot", "point", "measure", "value"))
    if isinstance(place, AtCoordinates):
        return {"kind": "coordinates"} | bare
    if isinstance(place, AtPoint):
        return {"kind": "point"} | bare | {"point": place.point}
    if isinstance(place, AtFoot):
        return {"kind": "foot"} | bare | {"foot": place.foot}
    return {"kind": "member"} | bare | _measured(place)


def _measured(place: OnMember) -> dict[str, Any]:
    measure = next(key for key in MEASURES if getattr(place, key) is not None)
    value = float(getattr(place, measure))
    shown = round(value, 6) if measure == "part" else one(value)
    return {"on": place.on, "side": place.side, "measure": measure, "value": shown}
