"""A finished end cut again with more points, for papers at full size."""

from __future__ import annotations

from collections.abc import Sequence

from cagewright.base.curves import Line
from cagewright.plan.types import Which
from cagewright.shape.cope import cut
from cagewright.shape.overlaps import strands, touches
from cagewright.shape.rails import prism_of
from cagewright.shape.raw_ends import TOUCH, RawEnd, meeting_with
from cagewright.shape.types import Cage, Cope, End, Member, member_named
from cagewright.shape.walls import REACH, Main, Notch


def recut(cage: Cage, name: str, which: Which, *, points: int) -> Cope:
    """The cope of one end of the named member with that many points round it.

    Raises:
        KeyError: no such member.
        ValueError: that end is not coped.
    """
    member = member_named(cage, name)
    end = member.ends[0 if which == "start" else 1]
    cope = end.cut
    if not isinstance(cope, Cope):
        raise ValueError(f"the {which} of {name} is not cut on another member")
    foot = next((f for f in cage.feet if f.name == end.foot), None)
    notch = Notch(
        origin=cope.origin,
        axis=cope.axis,
        zero=cope.zero,
        radius=member.tube.radius,
        bore=member.tube.bore / 2.0,
        mains=_mains(member, end, cope, [member_named(cage, m) for m in cope.mains]),
        angle=cope.angle,
        offset=cope.offset,
        plate=None if foot is None else (foot.point + foot.plate[2] * foot.normal, foot.normal),
    )
    return cut([notch], points)[0]


def _mains(member: Member, end: End, cope: Cope, mains: Sequence[Member]) -> tuple[Main, ...]:
    tubes = [member, *mains]
    met = touches(strands([m.path for m in tubes], [m.tube.radius for m in tubes]), least=TOUCH)
    raw_end = _raw_end(member, end, cope)
    found: list[Main] = []
    for i, main in enumerate(mains, start=1):
        ours = [k for k, touch in enumerate(met) if (touch.a, touch.b) == (0, i)]
        meeting = meeting_with(i, main.path, main.tube.radius, raw_end, [met[k] for k in ours], ours)
        if meeting is not None:
            found.append(
                Main(
                    name=main.name,
                    radius=main.tube.radius,
                    pieces=main.path.pieces,
                    reach=meeting.reach + REACH,
                    prism=None if main.lie is None else prism_of(main.path, main.tube.section, main.lie),
                )
            )
    return tuple(found)


def _raw_end(member: Member, end: End, cope: Cope) -> RawEnd:
    piece = member.path.pieces[0 if end.which == "start" else -1]
    return RawEnd(
        member=0,
        which=end.which,
        point=cope.origin,
        axis=cope.axis,
        straight=piece.length if isinstance(piece, Line) else 0.0,
        run=member.path.length,
        radius=member.tube.radius,
        on=None,
        foot=end.foot,
        asked=(),
    )
