"""What has been worked out for tubes, kept by their likeness: only what changes is worked out again."""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable, Hashable
from threading import Lock
from typing import Generic, TypeVar

from cagewright.base.curves import Line, Piece
from cagewright.shape.types import Cage, Cope, End, Member

T = TypeVar("T")
MOST = 3000
"""Results kept of one kind, where not told otherwise."""


class Latest(Generic[T]):
    """Results by the likeness of what they are of, asked for from any thread; the ``most`` newest stay."""

    def __init__(self, most: int = MOST) -> None:
        self._most = most
        self._results: OrderedDict[Hashable, tuple[T]] = OrderedDict()
        self._lock = Lock()

    def get(self, key: Hashable, make: Callable[[], T]) -> T:
        """The result for that key, made now if it is not there."""
        with self._lock:
            found = self._results.get(key)
            if found is not None:
                self._results.move_to_end(key)
                return found[0]
        made = make()
        with self._lock:
            self._results[key] = (made,)
            while len(self._results) > self._most:
                self._results.popitem(last=False)
        return made


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
