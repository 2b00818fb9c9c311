"""Beside each obstacle: move the tube in, carry it over on a bridge, or cut, and what each of them costs."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any, Literal

import numpy as np

from cagewright.base.answers import Answer, Level, Value, figure
from cagewright.base.cache import Cache
from cagewright.base.names import shown
from cagewright.base.problems import ProblemsFound
from cagewright.base.say import say_length
from cagewright.base.sheet import Column, Table
from cagewright.base.units import LengthUnit
from cagewright.base.vectors import Vector
from cagewright.change.apply import apply
from cagewright.change.before import owner
from cagewright.check.body.obstacles import Bridge, Obstacle, bridge_for, clears_at, obstacles_of
from cagewright.check.postures import Posture, helmet_reading
from cagewright.check.torch.access import torch_access
from cagewright.check.torch.poses import torch_with
from cagewright.compare.pool import cores
from cagewright.compare.run import compare as run_study
from cagewright.job.alternatives import AlternativesAnswer, answer_of
from cagewright.job.findings import findings
from cagewright.job.hours import hours_of, told_hours
from cagewright.job.opening import Job, Step, no_progress, scan_of
from cagewright.job.order import shell_in
from cagewright.job.trims import CAUTION, trims_of_job
from cagewright.plan.alternatives import Alternatives
from cagewright.plan.changes import read_change
from cagewright.plan.types import AtFoot, Plan
from cagewright.shape.resolve import resolve
from cagewright.shape.shell import floor_height
from cagewright.shape.thin_walled import (
    WallSection,
    box_walls,
    cut_out,
    figures_of,
    section_of_scan,
)
from cagewright.shape.trims import ADDED, metal_known, trims_of
from cagewright.shape.types import Cage, Metal, member_named

WayKind = Literal["as planned", "moved in", "inboard with a bridge", "cut"]
BESIDE = 200.0
"""Metal of the scan no further than this from where the tube was deepest is the same obstacle, mm (ours)."""
BRIDGE_LEFT_OUT = (
    "The bridge is counted as a foot on the old support with a plate as long as the box: its own give, and "
    "its lever on that support, are left out."
)
NOT_BUILT = "it is not built"


@dataclass(frozen=True, slots=True, kw_only=True)
class ShellLost:
    """What of a shell's section a cut takes: shares left of area, bending both ways and torsion.

    ``rests_on`` says what the section was taken from.
    """

    area: Value
    bending: tuple[Value, Value]
    torsion: Value
    rests_on: str


@dataclass(frozen=True, slots=True, kw_only=True)
class WayRow:
    """One way round an obstacle.

    Attributes:
        kind: which.
        by: how far the tube comes in; none where it stays.
        said: what to do, in a sentence.
        helmet: least gap of a tube to a helmet; None where nobody sits in the car.
        torch: the least share of the tube's own welds that a torch reaches in place; None where it has none.
        findings: how the rules and checks stand, in their headline.
        hours: of the whole cage built that way, by the shop's own times.
        lost: of the shell's section; None where nothing is cut or its section is not known.
        bridge: None where there is none.
        problems: why it cannot be built.
    """

    kind: WayKind
    by: Value
    said: str
    helmet: Value | None
    torch: Value | None
    findings: str
    hours: Value
    lost: ShellLost | None = None
    bridge: Bridge | None = None
    problems: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class ObstacleRow:
    """One obstacle beside a wanted tube, and the ways round it; none of cutting where it is never cut.

    ``table`` is the ways laid out.
    """

    member: str
    what: str
    depth: Value
    ways: tuple[WayRow, ...]
    table: Table
    level: Level


@dataclass(frozen=True, slots=True, kw_only=True)
class ObstaclesAnswer(Answer):
    """Every obstacle, and the ways round it pushed side by side where that was asked for."""

    obstacles: tuple[ObstacleRow, ...]
    pushed: tuple[AlternativesAnswer, ...]
    notes: tuple[str, ...]
    units: LengthUnit


def obstacles_answer(
    job: Job, *, tube: str = "", pushes: Sequence[str] = (), step: Step = no_progress
) -> ObstaclesAnswer:
    """The ways round each obstacle.

    Args:
        job: the plan, opened.
        tube: only obstacles of that tube; of all where not given.
        pushes: names of pushes by which the ways are set side by side; none are pushed where not given.
        step: is told how far it is.

    Raises:
        ProblemsFound: the scan cannot be used, or a push is not known.
    """
    found = obstacles_of(job.cage, trims_of_job(job), metal_known(job.cage))
    mine = [o for o in found if tube in {"", o.member}]
    rows: list[ObstacleRow] = []
    pushed: list[AlternativesAnswer] = []
    for n, obstacle in enumerate(mine):
        step(f"looking round {shown(obstacle.metal) or 'metal'}", n / len(mine))
        row, changes = _row(job, obstacle)
        rows.append(row)
        if pushes and changes:
            pushed.append(_pushed(job, obstacle, changes, pushes, step))
    bridged = any(w.bridge for r in rows for w in r.ways)
    return ObstaclesAnswer(
        headline="1 obstacle stands in a tube's way."
        if len(rows) == 1
        else f"{len(rows) or 'No known'} obstacles stand in tubes' ways.",
        level="look at" if rows else "fine", cautions=(CAUTION,) if rows else (),
        obstacles=tuple(rows), pushed=tuple(pushed), units=job.cage.units,
        notes=(BRIDGE_LEFT_OUT,) if bridged else (),
    )  # fmt: skip


# --- the ways


def _row(job: Job, o: Obstacle) -> tuple[ObstacleRow, dict[str, list[dict[str, Any]]]]:
    units = job.cage.units
    planned = _way(job, o, "as planned", "as it is planned it runs into it")
    ways = [planned]
    changes: dict[str, list[dict[str, Any]]] = {}
    by = clears_at(lambda by: _built(job, _moves(job, o, by)), lambda cage: _depth(job, cage, o), o.depth)
    if by is None:
        ways.append(_stuck(job))
    else:
        far = say_length(by, units, places=0)
        changes["moved in"] = _moves(job, o, by)
        said = f"move {shown(o.member)} {far} {_way_words(o.way, o.at)}"
        ways.append(_way(job, o, "moved in", said, by=by, changes=changes["moved in"]))
        if o.foot and abs(o.way[1]) > 0.5:
            bridge, changes["inboard with a bridge"] = _bridged(job, o, by)
            size = " x ".join(say_length(v, units, places=0) for v in bridge.size)
            said = f"the same, on a box {size} (along, across, up) from {shown(o.foot)}"
            ways.append(
                replace(_way(job, o, "inboard with a bridge", said, by=by,
                             changes=changes["inboard with a bridge"]), bridge=bridge)
            )  # fmt: skip
    if o.standing != "never":
        ways.append(_cut(job, o, planned))
    what = f"{shown(o.metal)}, marked as {o.mark}" if o.mark else shown(o.metal) or "metal nobody has marked"
    depth = figure(o.depth, "length", units)
    table = _table(f"{shown(o.member)} is {depth.said} deep in {what}", ways)
    row = ObstacleRow(member=o.member, what=what, depth=depth, ways=tuple(ways), table=table, level="look at")
    return row, changes


HEADS = (
    "way", "what to do", "helmet", "torch", "of the shell's section is left", "rules and checks", "hours",
)  # fmt: skip


def _table(title: str, ways: Sequence[WayRow]) -> Table:
    rows = tuple(
        (w.kind, "; ".join(w.problems) or w.said, w.helmet.said if w.helmet else "–",
         w.torch.said if w.torch else "–", _lost_words(w), w.findings or "–", w.hours.said)
        for w in ways
    )  # fmt: skip
    return Table(title=title, columns=tuple(Column(head=h) for h in HEADS), rows=rows)


def _lost_words(way: WayRow) -> str:
    lost = way.lost
    if lost is None:
        return "not known" if way.kind == "cut" else "all of it"
    one, two = lost.bending
    return (
        f"area {lost.area.said}, bending {one.said} and {two.said}, torsion {lost.torsion.said} "
        f"(by {lost.rests_on})"
    )


def _moves(job: Job, o: Obstacle, by: float) -> list[dict[str, Any]]:
    """The changes that move the tube's bends, and the foot beside the obstacle, by so much."""
    name = owner(job.plan.members, o.member) or o.member
    path = job.plan.members[name].path
    shift = [float(v) for v in by * o.way]
    bends = [i + 1 for i in range(1, len(path) - 1)]
    moves: list[dict[str, Any]] = []
    if bends:
        moves.append({"move": {"members": [o.member], "places": bends, "by": shift}})
    if o.foot:
        moves.append({"move": {"foot": o.foot, "by": shift}})
    if not moves:
        ends = [i + 1 for i, p in enumerate(path) if not isinstance(p, AtFoot)]
        moves.append({"move": {"members": [o.member], "places": ends, "by": shift}})
    return moves


def _bridged(job: Job, o: Obstacle, by: float) -> tuple[Bridge, list[dict[str, Any]]]:
    foot = next(f for f in job.cage.feet if f.name == o.foot)
    bridge = bridge_for(foot, by, floor_height(shell_in(job), job.cage.feet))
    plate = [float(bridge.size[0]), float(bridge.size[1]), float(bridge.sheet)]
    change = {"foot": {"name": o.foot, "on": foot.seat, "plate": plate}}
    return bridge, [*_moves(job, o, by), change]


def _built(job: Job, changes: Sequence[dict[str, Any]]) -> tuple[Plan, Cage]:
    """The plan with those changes, and what it makes.

    Raises:
        ProblemsFound: one cannot be made, or the cage cannot be built.
    """
    plan = job.plan
    for asked in changes:
        plan = apply(plan, read_change(asked, units="mm", file="obstacle")).plan
    return plan, resolve(plan)


def _depth(job: Job, cage: Cage, o: Obstacle) -> float:
    """How deep the tube of the cage is in the obstacle, mm; less than 0 where it is clear of it."""
    known, scan = metal_known(job.cage), scan_of(job)
    alone = replace(cage, members=(member_named(cage, o.member),))
    trims = () if scan is None else trims_of(alone, scan, known)
    same = [x for x in obstacles_of(alone, trims, known) if x.metal == o.metal or _near(x, o)]
    return max((x.depth for x in same), default=-2.0 * ADDED)


def _near(one: Obstacle, two: Obstacle) -> bool:
    return float(np.linalg.norm(one.at - two.at)) < BESIDE


def _way(
    job: Job, o: Obstacle, kind: WayKind, said: str, *, by: float | None = None,
    changes: Sequence[dict[str, Any]] = (),
) -> WayRow:  # fmt: skip
    stays = "it stays where it is" if by is None else ""
    blank, other = _blank(job.cage.units, kind, said, by, why=stays), job
    if changes:
        try:
            plan, cage = _built(job, changes)
        except ProblemsFound as found:
            return replace(blank, problems=tuple(str(p) for p in found.problems))
        other = replace(job, plan=plan, cage=cage, cache=Cache())
    return replace(
        blank, helmet=_helmet(other.cage), torch=_torch(other, o.member), findings=findings(other).headline,
        hours=hours_of(other).total,
    )  # fmt: skip


def _stuck(job: Job) -> WayRow:
    said = "no move of its bends and feet was found that clears it: lay the tube out anew"
    return _blank(job.cage.units, "moved in", said, None, why="no move was found that clears it")


def _blank(units: LengthUnit, kind: WayKind, said: str, by: float | None, *, why: str) -> WayRow:
    """The way before it is looked at; ``why`` it has no ``by`` where there is none."""
    return WayRow(
        kind=kind, by=figure(by, "length", units, places=0, why=why), said=said, helmet=None, torch=None,
        findings="", hours=Value(value=None, unit="h", said="–", why=NOT_BUILT),
    )  # fmt: skip


def _helmet(cage: Cage) -> Value | None:
    sat = [Posture(who="", turn=0, hole=0, slid=0.0, person=p) for p in cage.people]
    gaps = [r for p in sat if (r := helmet_reading(cage, p)) is not None]
    if not gaps:
        return None
    least = min(gaps, key=lambda r: r.low)
    half = (least.high - least.low) / 2.0
    return figure((least.low + least.high) / 2.0, "length", cage.units, places=0, plus_minus=half or None)


def _torch(job: Job, member: str) -> Value | None:
    own = {j.name for j in job.cage.joints if j.branch == member}
    if not own:
        return None
    torch = torch_with(job.shop.nozzle)
    share = min(a.last for a in torch_access(job.cage, shell_in(job), torch=torch, only=own))
    return Value(value=share, unit="", said=f"{100.0 * share:.0f} %")


def _way_words(way: Vector, at: Vector) -> str:
    axis = int(np.argmax(np.abs(way)))
    if axis == 1:
        return "in" if (way[1] > 0.0) != (at[1] > 0.0) else "out"
    return (("forward", "back"), ("", ""), ("down", "up"))[axis][int(way[axis] > 0.0)]


# --- cutting


def _cut(job: Job, o: Obstacle, planned: WayRow) -> WayRow:
    """The tube stays where it is planned, and the metal goes."""
    allowed = o.standing == "trimmable"
    said = "cut it by its template in the list of trims" if allowed else "ask first whether it may be cut"
    hours, one = planned.hours, job.shop.times.trim
    if not allowed and hours.value is not None and one is not None:  # not among those that are counted
        hours = told_hours(hours.value + one, at_least=hours.bound == "at least")
    return replace(planned, kind="cut", said=said, lost=_lost(job, o), hours=hours)


def _lost(job: Job, o: Obstacle) -> ShellLost | None:
    """What the cut takes of the section there: by two typed sizes, else by the scan; None without."""
    member = member_named(job.cage, o.member)
    reach = member.tube.radius + ADDED
    metal = next((m for m in job.cage.metal if m.name == o.metal), None)
    scan = scan_of(job)
    if metal is not None and metal.box is not None:
        wide, high = metal.box
        whole = box_walls(wide, high, metal.thickness or 1.0)
        # the tube comes in through the wall that looks at it, as deep as it stands there
        left, deepest = whole, wide / 2.0 + member.tube.radius - o.depth
        for x in np.arange(deepest, wide / 2.0 + reach, reach / 4.0):
            left = cut_out(left, np.array([float(x), 0.0]), reach)
        return shares(whole, left, "the two sizes that were typed")
    if scan is None:
        return None
    along = _runs_along(metal, o.at)
    far = metal.reach if metal is not None else 150.0
    whole = section_of_scan(scan.mesh, o.at, along, far, (metal.thickness if metal else None) or 1.0)
    at = np.zeros(2)
    if not len(whole.walls):
        return None
    return shares(whole, cut_out(whole, at, reach), "the scan there, its seen side alone")


def _runs_along(metal: Metal | None, at: Vector) -> Vector:
    """Which way the metal runs there: along its marked path, else along the car."""
    if metal is None or len(metal.points) < 2:
        return np.array([1.0, 0.0, 0.0])
    middles = (metal.points[:-1] + metal.points[1:]) / 2.0
    i = int(np.argmin(np.linalg.norm(middles - at, axis=1)))
    return metal.points[i + 1] - metal.points[i]


def shares(whole: WallSection, left: WallSection, rests_on: str) -> ShellLost:
    """What is left of the section's figures, as shares."""
    before, after = figures_of(whole), figures_of(left)

    def share(name: str) -> Value:
        old, new = getattr(before, name), getattr(after, name)
        part = new / old if old > 0.0 else 0.0
        return Value(value=part, unit="", said=f"{100.0 * part:.0f} %" if part >= 0.005 else "under 1 %")

    return ShellLost(
        area=share("area"), bending=(share("major"), share("minor")), torsion=share("torsion"),
        rests_on=rests_on,
    )  # fmt: skip


# --- pushed side by side


def _pushed(
    job: Job, o: Obstacle, changes: dict[str, list[dict[str, Any]]], pushes: Sequence[str], step: Step
) -> AlternativesAnswer:
    """The ways under the pushes, with the least difference that the model can tell."""
    study = Alternatives.model_validate(
        {
            "cagewright_alternatives": 2, "title": f"{shown(o.member)} round {shown(o.metal) or 'the metal'}",
            "pushes": list(pushes), "as_planned": "as planned",
            "alternatives": [{"name": name, "changes": list(made)} for name, made in changes.items()],
        },
        context={"units": "mm"},
    )  # fmt: skip
    with cores() as workers:
        return answer_of(run_study(job.plan, study, job.shop, bars=False, executor=workers, step=step))
