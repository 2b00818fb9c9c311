"""How much of each weld a torch can reach at each step of the build order, and what to do about the rest."""

from __future__ import annotations

import math
from collections.abc import Collection
from dataclasses import dataclass
from typing import Literal

import numpy as np

from cagewright.base.cache import Cache
from cagewright.base.vectors import Vector, hashed
from cagewright.check.torch.poses import (
    TORCH,
    Around,
    Torch,
    Tubes,
    WeldPoints,
    blockers,
    joined,
    met_by,
    reachable,
    tubes_of,
    weld_points,
)
from cagewright.check.torch.stages import Stage, body_cloud, plain_cloud, whole_stages
from cagewright.check.torch.weld_points import EACH, WeldLoop, closed_angle, share, weld_lines
from cagewright.shape.clearance import nearest_panel
from cagewright.shape.closest import Mask
from cagewright.shape.cloud import Cloud
from cagewright.shape.mesh import Whole
from cagewright.shape.shell import Shell
from cagewright.shape.types import Cage

When = Literal["now", "earlier", "body", "floor", "tubes", "closed"]
"""When an arc can be welded: at the last stage; only at an earlier one; only with the body cut there; only if
the floor, which nobody measured, lies lower than assumed; only before other tubes go in; or not by this
torch, since the two surfaces close on each other."""


@dataclass(frozen=True, slots=True, kw_only=True)
class WeldArc:
    """A stretch round one weld that shares one answer.

    Attributes:
        start: rad round the branch from the heel (at a foot from the tube's longest side).
        stop: rad, more than start; past 2 pi where the arc runs over the heel.
        share: of the whole weld's length, 0 to 1.
        when: when it can be welded.
        stage: the last stage at which it can, or empty.
        blocked_by: the tubes in the way, the most often met first.
        panel: the body line nearest to the arc, where the body is in the way.
        side: of the tube, in words.
        point: (3,) the arc's middle, mm.
    """

    start: float
    stop: float
    share: float
    when: When
    stage: str
    blocked_by: tuple[str, ...]
    panel: str | None
    side: str
    point: Vector


@dataclass(frozen=True, slots=True, kw_only=True)
class Access:
    """The torch's access to one weld line.

    Attributes:
        line: the weld line.
        shares: for each stage its name and the share of the line that is reachable then; None where the weld
            is not made at that stage.
        ever: share reachable at some stage.
        last: share reachable at the last stage.
        closed: the smallest angle between the two surfaces, rad.
        arcs: everything that cannot be welded at the last stage; empty where all of it can.
    """

    line: WeldLoop
    shares: tuple[tuple[str, float | None], ...]
    ever: float
    last: float
    closed: float
    arcs: tuple[WeldArc, ...]


def torch_access(
    cage: Cage,
    shell: Shell,
    *,
    stages: tuple[Stage, ...] | None = None,
    torch: Torch = TORCH,
    each: int = EACH,
    only: Collection[str] | None = None,
    enough: float | None = None,
) -> tuple[Access, ...]:
    """The torch's access to every weld line of the cage, in the members' order, feet last.

    Args:
        cage: as resolved.
        shell: what is known of the body.
        stages: the last has everything in place; the states of the whole cage where not given.
        torch: that is used.
        each: points tried round each weld.
        only: names of the welds to look at; all where not given.
        enough: a weld of which this share is reachable at the last stage is looked at in no other.
    """
    lines = tuple(line for line in weld_lines(cage, each=each) if only is None or line.name in only)
    if not lines:
        return ()
    body, _ = body_cloud(cage, shell)
    stages = stages or whole_stages(cage, body=body is not None)
    work = _WeldReach(
        cage=cage,
        shell=shell,
        lines=lines,
        body=body,
        torch=torch,
        tubes=tubes_of(cage.members),
        points=joined([weld_points(line, cage.members) for line in lines]),
        line=np.repeat(np.arange(len(lines)), [len(line.phi) for line in lines]),
    )
    last = _reached(work, stages[-1], [True] * len(lines))
    hard = [
        enough is None or not last[0][i] or share(line, last[1][work.line == i]) < enough
        for i, line in enumerate(lines)
    ]
    steps = [*(_reached(work, stage, hard) for stage in stages[:-1]), last]
    answers = _answers(work, stages[-1].members, [mask for _, mask in steps])
    return tuple(_access(work, i, stages, steps, answers) for i in range(len(work.lines)))


@dataclass(frozen=True, slots=True, kw_only=True)
class _WeldReach:
    """Everything the steps share; ``line`` (n,) says which weld line each of the points belongs to."""

    cage: Cage
    shell: Shell
    lines: tuple[WeldLoop, ...]
    body: Cloud | None
    torch: Torch
    tubes: Tubes
    points: WeldPoints
    line: Whole


def _reached(work: _WeldReach, stage: Stage, wanted: list[bool]) -> tuple[list[bool], Mask]:
    """Which of the wanted lines are welded at the stage, and which points (n,) can be reached then."""
    there = set(stage.members)
    made = [
        asked and {x.branch, *x.mains} <= there and (stage.feet or x.kind == "joint")
        for x, asked in zip(work.lines, wanted, strict=True)
    ]
    around = _around(work, stage.members, body=work.body if stage.body else None, shift=stage.shift)
    return made, _look(work, np.array(made)[work.line], around)


_REACHED = Cache(most=20_000)
"""Which points of a weld were reached, by all that a torch could meet there: other changes ask nothing."""


def _look(work: _WeldReach, wanted: Mask, around: Around) -> Mask:
    """Which of the wanted points (n,) can be reached."""
    each = [rows for i in range(len(work.lines)) if len(rows := np.flatnonzero(wanted & (work.line == i)))]
    body = b"" if around.body is None else hashed(around.body.points, around.body.normals)
    keys = [met_by(_some(work.points, rows), around, work.torch, body=body) for rows in each]

    def reached(places: list[int]) -> list[Mask]:
        rows = [each[place] for place in places]
        found = reachable(_some(work.points, np.concatenate(rows)), around, work.torch)
        return np.split(found, np.cumsum([len(r) for r in rows])[:-1])

    found = np.zeros(len(wanted), dtype=np.bool_)
    for rows, mask in zip(each, _REACHED.many(keys, reached), strict=True):
        found[rows] = mask
    return found


def _around(
    work: _WeldReach,
    members: tuple[str, ...],
    *,
    body: Cloud | None = None,
    shift: tuple[float, float, float] = (0.0, 0.0, 0.0),
) -> Around:
    there = set(members)
    return Around(
        tubes=work.tubes,
        present=np.array([member.name in there for member in work.cage.members]),
        body=body,
        lift=-np.array(shift),
    )


def _access(
    work: _WeldReach,
    i: int,
    stages: tuple[Stage, ...],
    steps: list[tuple[list[bool], Mask]],
    answers: list[tuple[When, int]],
) -> Access:
    line, rows = work.lines[i], np.flatnonzero(work.line == i)
    shares = [share(line, mask[rows]) if made[i] else None for made, mask in steps]
    return Access(
        line=line,
        shares=tuple(zip((stage.name for stage in stages), shares, strict=True)),
        ever=share(line, np.any([mask[rows] for _, mask in steps], axis=0)),
        last=shares[-1] or 0.0,
        closed=float(closed_angle(line).min()),
        arcs=_arcs(work, line, [answers[k] for k in rows], stages),
    )


def _answers(work: _WeldReach, members: tuple[str, ...], reached: list[Mask]) -> list[tuple[When, int]]:
    """For each point when it can be welded, with the last stage at which it can (-1: none)."""
    stage = np.full(len(work.line), -1)
    for i, mask in enumerate(reached):
        stage[mask] = i
    lost = stage < 0
    bare = _look(work, lost, _around(work, members))
    floor = _only_floor(work, lost & bare, members)
    alone = _alone(work, lost & ~bare)
    when: list[When] = []
    for k in range(len(stage)):
        if not lost[k]:
            when.append("now" if stage[k] == len(reached) - 1 else "earlier")
        elif bare[k]:
            when.append("floor" if floor[k] else "body")
        else:
            when.append("tubes" if alone[k] else "closed")
    return list(zip(when, stage.tolist(), strict=True))


def _only_floor(work: _WeldReach, wanted: Mask, members: tuple[str, ...]) -> Mask:
    """Which of the wanted points could be reached but for the assumed floor; none where there is a scan."""
    if work.shell.scan is not None or not wanted.any():
        return np.zeros(len(wanted), dtype=np.bool_)
    measured = plain_cloud(work.cage, work.shell, floor=False)
    return _look(work, wanted, _around(work, members, body=measured))


def _alone(work: _WeldReach, wanted: Mask) -> Mask:
    """Which of the wanted points could be reached with only their own two tubes there."""
    found = np.zeros(len(wanted), dtype=np.bool_)
    for i in np.unique(work.line[wanted]):
        own = wanted & (work.line == i)
        found |= _look(work, own, _around(work, (work.lines[i].branch, *work.lines[i].mains)))
    return found


def _some(points: WeldPoints, rows: Whole) -> WeldPoints:
    return WeldPoints(
        at=points.at[rows], along=points.along[rows], middle=points.middle[rows], own=points.own[rows]
    )


def _arcs(
    work: _WeldReach, line: WeldLoop, when: list[tuple[When, int]], stages: tuple[Stage, ...]
) -> tuple[WeldArc, ...]:
    """Runs of neighbouring points with one answer, those that can be welded at the last stage left out."""
    found = [_arc(work, line, rows, when[rows[0]], stages) for rows in _runs(when)]
    return tuple(arc for arc in found if arc.when != "now")


def _runs(when: list[tuple[When, int]]) -> list[Whole]:
    """Indices of each run of equal answers round the circle, in order."""
    n = len(when)
    breaks = [k for k in range(n) if when[k] != when[k - 1]]
    if not breaks:
        return [np.arange(n)]
    stops = [*breaks[1:], breaks[0] + n]
    return [np.arange(start, stop) % n for start, stop in zip(breaks, stops, strict=True)]


def _arc(
    work: _WeldReach, line: WeldLoop, rows: Whole, answer: tuple[When, int], stages: tuple[Stage, ...]
) -> WeldArc:
    when, stage = answer
    point = line.points[rows[len(rows) // 2]]
    # each point stands for the ground half way to its neighbours
    start = float(line.phi[rows[0]]) - line.step / 2.0
    stop = start + line.step * len(rows)
    if when == "tubes":
        around = _around(work, stages[-1].members)
        count = blockers(_some(weld_points(line, work.cage.members), rows), around, work.torch)
        order = [int(i) for i in np.argsort(-count, kind="stable") if count[i]][:2]
        names = tuple(work.cage.members[i].name for i in order)
    else:
        names = ()
    return WeldArc(
        start=start,
        stop=stop,
        share=float(line.run[rows].sum() / line.run.sum()),
        when=when,
        stage=stages[stage].name if when == "earlier" else "",
        blocked_by=names,
        panel=nearest_panel(work.shell, point) if when in ("body", "floor") else None,
        side="the crotch" if when == "closed" else side_of(line, rows),
        point=point,
    )


def side_of(line: WeldLoop, rows: Whole) -> str:
    """Which side of the tube those points of the line are on, in words."""
    out = np.sum(line.branch_normal[rows] * line.run[rows][:, None], axis=0)
    outboard = math.copysign(1.0, float(line.points[rows, 1].mean()))
    sides = {
        "the roof side": out[2], "the floor side": -out[2],
        "the outboard side": out[1] * outboard, "the inboard side": -out[1] * outboard,
        "the back": out[0], "the front": -out[0],
    }  # fmt: skip
    return max(sides, key=lambda side: float(sides[side]))
