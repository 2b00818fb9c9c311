"""A place on a member in the words a builder would use on the shop floor."""

from __future__ import annotations

from cagewright.base.say import say_length
from cagewright.frame.results import TubePlace
from cagewright.shape.types import Cage, End, Member

AT = 40.0
"""Within this of a joint or foot, mm, is at it."""


def spot_on(cage: Cage, member: Member, along: float) -> TubePlace:
    """The place ``along`` mm on the member, told from the nearest thing that can be pointed at."""
    return TubePlace(member=member.name, along=along, words=f"{member.name} {_where(cage, member, along)}")


def _where(cage: Cage, member: Member, along: float) -> str:
    away, words = min(
        ((abs(along - at), words) for at, words in landmarks(cage, member)), key=lambda found: found[0]
    )
    if away <= AT:
        return f"at {words}"
    for number, bend in enumerate(member.bends, start=1):
        if bend.start <= along <= bend.stop:
            return f"in bend {number} of {len(member.bends)}"
    return f"{say_length(away, cage.units, places=0)} from {words}"


def landmarks(cage: Cage, member: Member) -> list[tuple[float, str]]:
    """What can be pointed at on a member: mm along it, and words."""
    found = [(0.0, _end_words(cage, member.ends[0])), (member.path.length, _end_words(cage, member.ends[1]))]
    found += [
        (at, f"its joint with {joint.branch}")
        for joint in cage.joints
        for main, at in zip(joint.mains, joint.along, strict=True)
        if main == member.name
    ]
    return found


def _end_words(cage: Cage, end: End) -> str:
    if end.foot is not None:
        return f"its foot {end.foot}"
    joint = next((j for j in cage.joints if j.name == end.joint), None)
    return f"its joint on {joint.mains[0]}" if joint else f"its {end.which}"
