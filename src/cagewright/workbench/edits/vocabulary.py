"""Every edit that a page can ask for, and what it says; the list is closed.

A length is a number in the plan's units, or text such as ``20 3/8 in``, ``20-3/8"`` or ``45 mm``. A name of a
mirrored thing may be either side's: the edit is then meant in that side's terms, and both sides change unless
``one_side`` says otherwise.
"""

from __future__ import annotations

from typing import Literal

from cagewright.plan.places import Entry, Name, Place, Text
from cagewright.plan.quantities import Count, Length, Part, Place3, Positive, YesNo
from cagewright.plan.types import Names, Role


class Nothing(Entry):
    """What is left of an edit that cannot be read."""


class Spot(Entry):
    """Where something is put: a whole place, a step, or coordinates of which those not given stay.

    Attributes:
        at: back, across, up; to the nearest 0.1 mm, or 1/64 inch.
        by: back, across, up from where it was.
        up: the new height, and so on.
        back: see ``up``.
        across: see ``up``.
        one_side: only this side, not the mirror.
    """

    at: Place3 | None = None
    by: Place3 | None = None
    up: Length | None = None
    back: Length | None = None
    across: Length | None = None
    one_side: YesNo = False


class OwnSpot(Spot):
    """Where something is put that may stand at a named point.

    Attributes:
        leave_point: the named point stays where it is, and what moves gets coordinates of its own.
    """

    leave_point: YesNo = False


class Move(OwnSpot):
    """A place of a member's path.

    A place on another member slides along it, and is measured as before where it can be; a named point or a
    foot takes along what else stands on it.

    Attributes:
        member: whose.
        place: which, counted from 0; or ``start`` or ``end``.
        along: mm from the first end of the member it is on.
        part: share of the length of the member it is on.
        to: what it sits on from now on, a place as in a plan; instead of a step or coordinates.
    """

    member: Name
    place: Count | Literal["start", "end"]
    along: Length | None = None
    part: Part | None = None
    to: Place | None = None


class MovePoint(Spot):
    """A named point, and with it all that refers to it."""

    point: Name


class MoveFoot(OwnSpot):
    """A foot, and with it the tubes that stand on it."""

    foot: Name


class Add(Entry):
    """A new tube.

    Attributes:
        name: made from role and side where not given.
        role: what it is.
        tube: one of the plan's; the usual one for the role where not given.
        path: its places as in a plan; a bare place at either end that lies in a tube or on a foot becomes a
            place on it, and ``{on: member, at: [x, y, z]}`` is the nearest place on that member.
        onto: made of the last of these by the reader: which places go onto which member.
        mirror: the same on the other side.
        in_two: where it runs through another tube it is made in two, cut on that tube.
        note: the builder's.
    """

    name: Name | None = None
    role: Role
    tube: Name | None = None
    path: tuple[Place, ...]
    onto: tuple[tuple[Count, Name], ...] = ()
    mirror: YesNo = False
    in_two: YesNo = False
    note: Text = ""


class Remove(Entry):
    """Tubes, plates or gussets, with the feet that nothing stands on any more.

    Attributes:
        members: names.
        dependents: what rests on them goes too.
        one_side: only these, not their mirrors.
    """

    members: Names
    dependents: YesNo = False
    one_side: YesNo = False


class Mirror(Entry):
    """The same tube on the other side, ``name`` made from the first's where not given."""

    member: Name
    name: Name | None = None


class Split(Entry):
    """A tube made in two, both cut on the tube that runs through it there.

    Attributes:
        member: which.
        along: mm from its first end.
        on: the tube that runs through it.
        name: of the second half.
    """

    member: Name
    along: Length | None = None
    on: Name | None = None
    name: Name | None = None


class Size(Entry):
    """Another tube for members, by the plan's name for it or by its size; see a change of size in a study."""

    members: Names
    tube: Name | None = None
    od: Positive | None = None
    wall: Positive | None = None
    steel: Text | None = None
    clr: Positive | None = None
    one_side: YesNo = False


class Rename(Entry):
    """Another name for one thing; all that refers to it follows."""

    member: Name | None = None
    point: Name | None = None
    foot: Name | None = None
    tube: Name | None = None
    plate: Name | None = None
    name: Name


class GiveRole(Entry):
    """Another role for members."""

    members: Names
    role: Role


class Note(Entry):
    """The builder's note on a member; empty to take it away."""

    member: Name
    note: Text


EDITS: dict[str, type[Entry]] = {
    "move": Move,
    "move-point": MovePoint,
    "move-foot": MoveFoot,
    "add": Add,
    "remove": Remove,
    "mirror": Mirror,
    "split": Split,
    "size": Size,
    "rename": Rename,
    "role": GiveRole,
    "note": Note,
}
"""By the word under ``do``; besides these ``text`` puts a whole new text in the file."""
