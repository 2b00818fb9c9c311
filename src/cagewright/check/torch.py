"""How much of each weld a torch can reach at each step of the build order, and what to do about the rest."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np

from cagewright.base.vectors import Vector
from cagewright.check.torch_poses import (
    TORCH,
    Around,
    Torch,
    Tubes,
    WeldPoints,
    blockers,
    joined,
    reachable,
    tubes_of,
    weld_points,
)
from cagewright.check.weld_points import WeldLine, closed_angle, share, weld_lines
from cagewright.plan.types import Role
from cagewright.shape.clearance import nearest_panel
from cagewright.shape.closest import Mask
from cagewright.shape.cloud import Cloud, cloud_of
from cagewright.shape.mesh import Whole
from cagewright.shape.shell import Shell, plain_body
from cagewright.shape.types import Cage, Member

When = Literal["now", "earlier", "body", "tubes", "closed"]
"""When an arc can be welded: at the last stage; only at an earlier one; only with the body cut there; only
before other tubes go in; or not by this torch, since the two tubes close on each other."""
HOOP: frozenset[Role] = frozenset({"main rollbar", "diagonal", "harness bar"})
"""Roles that are tacked to the main rollbar on the bench."""
DROP = 60.0
"""How far the cage hangs below its place before it is pushed up, mm: common practice, no source."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Stage:
    """One step of the build order at which welds can be made.

    Attributes:
        name: in words, as they stand after 'weld'.
        members: names of the tubes that are there, tacked.
        body: whether the cage stands in the car.
        drop: how far the cage hangs below its place then, mm.
        feet: whether the feet are welded at this step.
    """

    name: str
    members: tuple[str, ...]
    body: bool
    drop: float
    feet: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Arc:
    """A stretch round one weld that shares one answer.

    Attributes:
        start: rad round the branch from the heel (at a foot from the tube's longest side).
        stop: rad, more than start; past 2 pi where the arc runs over the heel.
        share: of the whole weld's length, 0 to 1.
        when: when it can be welded.
        stage: the last stage at which it can, or empty.
        blocked_by: the tubes in the way, the most often met first.
        panel: the body line nearest to the arc, where the body is in the way.
        words: which side, and from where to where.
        point: (3,) the arc's middle, mm.
    """

    start: float
    stop: float
    share: float
    when: When
    stage: str
    blocked_by: tuple[str, ...]
    panel: str | None
    words: str
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

    line: WeldLine
    shares: tuple[tuple[str, float | None], ...]
    ever: float
    last: float
    closed: float
    arcs: tuple[Arc, ...]


def default_stages(cage: Cage, *, body: bool) -> tuple[Stage, ...]:
    """The usual order: main hoop on the bench; all of it in the car, still dropped; pushed up and tacked.

    Args:
        cage: as resolved.
        body: whether the body is known; without it the cage is only looked at whole.
    """
    every = tuple(member.name for member in cage.members)
    hoop = _hoop(cage)
    bench = [
        Stage(name="on the bench, before the hoop goes in", members=hoop, body=False, drop=0.0, feet=False)
    ]
    dropped = Stage(
        name=f"in the car, dropped {DROP:.0f} mm", members=every, body=True, drop=DROP, feet=False
    )
    last = Stage(name="with everything tacked in place", members=every, body=body, drop=0.0, feet=True)
    return (*(bench if len(hoop) > 1 else []), *([dropped] if body else []), last)


def _hoop(cage: Cage) -> tuple[str, ...]:
    """The main rollbar and those of its own bars that touch nothing else."""
    names = {member.name for member in cage.members if member.role == "main rollbar"}
    grown = True
    while grown:
        more = {m.name for m in cage.members if m.role in HOOP and _stands_on(cage, m, names)} - names
        grown = bool(more)
        names |= more
    return tuple(member.name for member in cage.members if member.name in names)


def _stands_on(cage: Cage, member: Member, names: set[str]) -> bool:
    mains = [set(joint.mains) for joint in cage.joints if joint.branch == member.name]
    return bool(mains) and all(found <= names for found in mains)


def body_cloud(cage: Cage, shell: Shell) -> tuple[Cloud | None, str]:
    """The body as points, and in words what it was taken from."""
    if shell.scan is not None:
        return shell.scan.cloud, f"the body is the scan {shell.scan.name}"
    mesh = plain_body(shell, cage.feet)
    if mesh is None:
        return None, "the body is unknown: only tubes were tried"
    return cloud_of(mesh), (
        "the body is plain surfaces through its measured lines: roof skin, pillars and rails 60 mm deep, "
        "a level floor"
    )


def torch_access(
    cage: Cage, shell: Shell, *, stages: tuple[Stage, ...] | None = None, torch: Torch = TORCH
) -> tuple[Access, ...]:
    """The torch's access to every weld line of the cage, in the members' order, feet last.

    Args:
        cage: as resolved.
        shell: what is known of the body.
        stages: the build order, the last one with everything in place; the usual one where not given.
        torch: its size and angles.
    """
    lines = weld_lines(cage)
    if not lines:
        return ()
    body, _ = body_cloud(cage, shell)
    stages = stages or default_stages(cage, body=body is not None)
    work = _Work(cage=cage, shell=shell, lines=lines, body=body, torch=torch, tubes=tubes_of(cage.members))
    masks = [_stage_masks(work, stage) for stage in stages]
    return _accesses(work, stages, masks)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Work:
    cage: Cage
    shell: Shell
    lines: tuple[WeldLine, ...]
    body: Cloud | None
    torch: Torch
    tubes: Tubes


def _stage_masks(work: _Work, stage: Stage) -> list[Mask | None]:
    """For each line which of its points can be reached at the stage, or None where it is not welded then."""
    there = set(stage.members)
    made = [
        {line.branch, *line.mains} <= there and (stage.feet or line.kind == "joint") for line in work.lines
    ]
    chosen = [line for line, yes in zip(work.lines, made, strict=True) if yes]
    found = iter(_masks(work, chosen, _around(work, stage.members, body=stage.body, drop=stage.drop)))
    return [next(found) if yes else None for yes in made]


def _around(work: _Work, members: tuple[str, ...], *, body: bool, drop: float) -> Around:
    there = set(members)
    return Around(
        tubes=work.tubes,
        present=np.array([member.name in there for member in work.cage.members]),
        body=work.body if body else None,
        lift=np.array([0.0, 0.0, drop]),
    )


def _masks(work: _Work, lines: list[WeldLine], around: Around) -> list[Mask]:
    if not lines:
        return []
    reached = reachable(joined([weld_points(line, work.cage.members) for line in lines]), around, work.torch)
    return np.split(reached, np.cumsum([len(line.phi) for line in lines])[:-1])


def _accesses(work: _Work, stages: tuple[Stage, ...], masks: list[list[Mask | None]]) -> tuple[Access, ...]:
    last = stages[-1]
    bare = _masks(work, list(work.lines), _around(work, last.members, body=False, drop=0.0))
    found: list[Access] = []
    for i, line in enumerate(work.lines):
        own = [mask[i] for mask in masks]
        nothing = np.zeros(len(line.phi), dtype=np.bool_)
        reached = [nothing if mask is None else mask for mask in own]
        when = _when(work, line, reached, bare[i])
        found.append(
            Access(
                line=line,
                shares=tuple(
                    (stage.name, None if mask is None else share(line, mask))
                    for stage, mask in zip(stages, own, strict=True)
                ),
                ever=share(line, np.any(reached, axis=0)),
                last=share(line, reached[-1]),
                closed=float(closed_angle(line).min()),
                arcs=_arcs(work, line, when, stages),
            )
        )
    return tuple(found)


def _when(work: _Work, line: WeldLine, reached: list[Mask], bare: Mask) -> list[tuple[When, int]]:
    """For each point when it can be welded, with the last stage at which it can (-1: none)."""
    stage = np.full(len(line.phi), -1)
    for i, mask in enumerate(reached):
        stage[mask] = i
    alone = _alone(work, line, stage < 0)
    answers: list[tuple[When, int]] = []
    for k in range(len(line.phi)):
        if stage[k] >= 0:
            answers.append(("now" if stage[k] == len(reached) - 1 else "earlier", int(stage[k])))
        else:
            answers.append(("body" if bare[k] else "tubes" if alone[k] else "closed", -1))
    return answers


def _alone(work: _Work, line: WeldLine, wanted: Mask) -> Mask:
    """Which of the wanted points could be reached with only the line's own tubes there."""
    alone = np.zeros(len(line.phi), dtype=np.bool_)
    if wanted.any():
        own = (line.branch, *line.mains)
        points = weld_points(line, work.cage.members)
        some = _some(points, np.flatnonzero(wanted))
        alone[wanted] = reachable(some, _around(work, own, body=False, drop=0.0), work.torch)
    return alone


def _some(points: WeldPoints, rows: Whole) -> WeldPoints:
    return WeldPoints(
        at=points.at[rows], along=points.along[rows], middle=points.middle[rows], own=points.own[rows]
    )


def _arcs(
    work: _Work, line: WeldLine, when: list[tuple[When, int]], stages: tuple[Stage, ...]
) -> tuple[Arc, ...]:
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
    work: _Work, line: WeldLine, rows: Whole, answer: tuple[When, int], stages: tuple[Stage, ...]
) -> Arc:
    when, stage = answer
    point = line.points[rows[len(rows) // 2]]
    # each point stands for the ground half way to its neighbours
    start = float(line.phi[rows[0]]) - line.step / 2.0
    stop = start + line.step * len(rows)
    if when == "tubes":
        around = _around(work, stages[-1].members, body=False, drop=0.0)
        count = blockers(_some(weld_points(line, work.cage.members), rows), around, work.torch)
        order = [int(i) for i in np.argsort(-count, kind="stable") if count[i]][:2]
        names = tuple(work.cage.members[i].name for i in order)
    else:
        names = ()
    return Arc(
        start=start,
        stop=stop,
        share=float(line.run[rows].sum() / line.run.sum()),
        when=when,
        stage=stages[stage].name if when == "earlier" else "",
        blocked_by=names,
        panel=nearest_panel(work.shell, point) if when == "body" else None,
        words=_words(line, rows, start, stop),
        point=point,
    )


def _words(line: WeldLine, rows: Whole, start: float, stop: float) -> str:
    if len(rows) == len(line.phi):
        return "all round"
    degrees = [math.degrees(a) % 360.0 for a in (start, stop)]
    return f"{side_of(line, rows)}, from {degrees[0]:.0f}° to {degrees[1]:.0f}° round from the heel"


def side_of(line: WeldLine, rows: Whole) -> str:
    """Which side of the tube those points of the line are on, in words."""
    out = np.sum(line.branch_normal[rows] * line.run[rows][:, None], axis=0)
    outboard = math.copysign(1.0, float(line.points[rows, 1].mean()))
    sides = {
        "the roof side": out[2], "the floor side": -out[2],
        "the outboard side": out[1] * outboard, "the inboard side": -out[1] * outboard,
        "the back": out[0], "the front": -out[0],
    }  # fmt: skip
    return max(sides, key=lambda side: float(sides[side]))
