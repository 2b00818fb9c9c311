"""When two tubes are the same, so that what was worked out for one serves the other."""

from __future__ import annotations

from collections.abc import Hashable

from cagewright.base.curves import Line, Piece
from cagewright.shape.types import Cage, Cope, End, Member


def likenesses(cage: Cage) -> dict[str, Hashable]:
    """By member: equal for two members that are the same tube, cut the same."""
    return {member.name: likeness(member) for member in cage.members}


def likeness(member: Member) -> Hashable:
    """Equal for two members that are the same tube, cut the same."""
    said = (member.name, member.role, member.tube, member.tube_name, member.mirror_of, member.removable)
    pieces = tuple(_piece(piece) for piece in member.path.pieces)
    return said, member.note, member.length, pieces, tuple(_end(end) for end in member.ends)


def _piece(piece: Piece) -> Hashable:
    if isinstance(piece, Line):
        return piece.start.tobytes(), piece.stop.tobytes()
    return piece.centre.tobytes(), piece.u.tobytes(), piece.v.tobytes(), piece.radius, piece.angle


def _end(end: End) -> Hashable:
    cut = end.cut
    place = (end.joint, end.foot, cut.origin.tobytes(), cut.axis.tobytes(), cut.zero.tobytes())
    if isinstance(cut, Cope):
        return place, cut.mains, cut.outside.tobytes()
    return place, cut.normal.tobytes(), cut.tilt
