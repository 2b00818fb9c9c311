"""Which member ends are cut, and on which members.

An end is cut on the member it is placed on or stands inside, and on every other tube that is in its way near
the end, so that a bar lands in the corner of two tubes. Where two ends share one spot the later in the file
is cut on the earlier, unless ``on:`` or ``cut:`` says otherwise.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from cagewright.shape.raw_ends import Meeting, Meetings, RawEnd, one_spot, together


@dataclass(frozen=True, slots=True, kw_only=True)
class Connection:
    """What one end is cut on, the first giving phi = 0; ``free`` where it ends in the open."""

    raw_end: RawEnd
    mains: tuple[Meeting, ...]
    free: bool


def connections_of(raw_ends: Sequence[RawEnd], meetings: Meetings) -> list[Connection]:
    """What every end is cut on; one that is held, or capped, may end in the open."""
    connections: list[Connection] = []
    for t, raw_end in enumerate(raw_ends):
        near = meetings.get(t, {})
        mains = [m for m in near.values() if _cut_on(t, m, raw_ends, meetings)]
        mains.sort(key=lambda m: _rank(raw_end, m))
        free = raw_end.foot is None and not mains and not raw_end.held and not _held(t, raw_ends, meetings)
        connections.append(Connection(raw_end=raw_end, mains=tuple(mains), free=free))
    return connections


def _rank(raw_end: RawEnd, meeting: Meeting) -> tuple[int, float, int]:
    """The member it is placed on first, then what ``cut:`` names, then the nearest axis, then file order."""
    kind = 0 if meeting.main == raw_end.on else 1 if meeting.main in raw_end.asked else 2
    return kind, round(meeting.away, 3), meeting.main


def _cut_on(t: int, meeting: Meeting, raw_ends: Sequence[RawEnd], meetings: Meetings) -> bool:
    raw_end, main = raw_ends[t], meeting.main
    if main in raw_end.asked:
        return True
    if raw_end.rail != raw_ends[2 * main].rail and main != raw_end.on:
        return not raw_end.rail  # a tube is cut to a rail, never a rail to a tube
    theirs = [f for f in (2 * main, 2 * main + 1) if raw_end.member in meetings.get(f, ())]
    if any(raw_end.member in raw_ends[f].asked and together(raw_end, raw_ends[f]) for f in theirs):
        return False
    if main == raw_end.on:
        return True
    shared = [f for f in theirs if one_spot(raw_end, raw_ends[f])]
    if any(raw_ends[f].on == raw_end.member for f in shared):
        return False
    if not shared and any(_lands(f, raw_end, raw_ends, meetings) for f in theirs):
        return False
    return main < raw_end.member or (meeting.inside and not shared)


def _lands(f: int, raw_end: RawEnd, raw_ends: Sequence[RawEnd], meetings: Meetings) -> bool:
    """Whether end ``f`` of another member lands on the end's member near the end."""
    on = raw_ends[f].on == raw_end.member or meetings[f][raw_end.member].inside
    return on and together(raw_end, raw_ends[f])


def _held(t: int, raw_ends: Sequence[RawEnd], meetings: Meetings) -> bool:
    """Whether an end that is not cut itself has another member landing on it: it ends just past it."""
    raw_end = raw_ends[t]
    return any(
        raw_end.member in meetings.get(f, ()) and _lands(f, raw_end, raw_ends, meetings)
        for main in meetings.get(t, ())
        for f in (2 * main, 2 * main + 1)
    )
