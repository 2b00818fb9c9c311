"""Which member ends are cut, and on which members.

An end is cut on the member it is placed on or stands inside, and on every other tube that is in its way near
the end, so that a bar lands in the corner of two tubes. Where two ends share one spot the later in the file
is cut on the earlier, unless ``on:`` or ``cut:`` says otherwise.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from cagewright.shape.tips import Meeting, Meetings, Tip, one_spot, together


@dataclass(frozen=True, slots=True, kw_only=True)
class Landing:
    """What one end is cut on, the first giving phi = 0; ``free`` where it ends in the open."""

    tip: Tip
    mains: tuple[Meeting, ...]
    free: bool


def landings_of(tips: Sequence[Tip], meetings: Meetings) -> list[Landing]:
    """What every end is cut on."""
    landings: list[Landing] = []
    for t, tip in enumerate(tips):
        near = meetings.get(t, {})
        mains = [m for m in near.values() if _cut_on(t, m, tips, meetings)]
        mains.sort(key=lambda m: _rank(tip, m))
        free = tip.foot is None and not mains and not _held(t, tips, meetings)
        landings.append(Landing(tip=tip, mains=tuple(mains), free=free))
    return landings


def _rank(tip: Tip, meeting: Meeting) -> tuple[int, float, int]:
    """The member it is placed on first, then what ``cut:`` names, then the nearest axis, then file order."""
    kind = 0 if meeting.main == tip.on else 1 if meeting.main in tip.asked else 2
    return kind, round(meeting.away, 3), meeting.main


def _cut_on(t: int, meeting: Meeting, tips: Sequence[Tip], meetings: Meetings) -> bool:
    tip, main = tips[t], meeting.main
    if main in tip.asked:
        return True
    theirs = [f for f in (2 * main, 2 * main + 1) if tip.member in meetings.get(f, ())]
    if any(tip.member in tips[f].asked and together(tip, tips[f]) for f in theirs):
        return False
    if main == tip.on:
        return True
    shared = [f for f in theirs if one_spot(tip, tips[f])]
    if any(tips[f].on == tip.member for f in shared):
        return False
    if not shared and any(_lands(f, tip, tips, meetings) for f in theirs):
        return False
    return main < tip.member or (meeting.inside and not shared)


def _lands(f: int, tip: Tip, tips: Sequence[Tip], meetings: Meetings) -> bool:
    """Whether end ``f`` of another member lands on the tip's member near the tip."""
    on = tips[f].on == tip.member or meetings[f][tip.member].inside
    return on and together(tip, tips[f])


def _held(t: int, tips: Sequence[Tip], meetings: Meetings) -> bool:
    """Whether an end that is not cut itself has another member landing on it there: it ends just past it."""
    tip = tips[t]
    return any(
        tip.member in meetings.get(f, ()) and _lands(f, tip, tips, meetings)
        for main in meetings.get(t, ())
        for f in (2 * main, 2 * main + 1)
    )
