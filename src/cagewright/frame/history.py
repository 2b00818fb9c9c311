"""Keeping a push step by step: loads, movements, energies and what gave way."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

import numpy as np

from cagewright.frame.assemble import Assembly, keep_step
from cagewright.frame.dents import DEEP
from cagewright.frame.joint_walls import main_factors
from cagewright.frame.linear import end_forces
from cagewright.frame.model import Floats, Ints, Loss, Solution, YieldEvent

Kind = Literal["yield", "hinge", "foot", "joint", "strip", "dent"]


@dataclass(slots=True, kw_only=True)
class History:
    """Kept steps of a push under way; lists grow by one a step; ``stiffness`` at rest, ``largest`` load.

    ``shares`` holds how near each watch's parts were to letting go when it last looked.
    """

    assembly: Assembly
    travel: list[float] = field(default_factory=list[float])
    load: list[float] = field(default_factory=list[float])
    positions: list[Floats] = field(default_factory=list[Floats])
    rotations: list[Floats] = field(default_factory=list[Floats])
    modes: list[Floats] = field(default_factory=list[Floats])
    pushed: list[Floats] = field(default_factory=list[Floats])
    springs: list[Floats] = field(default_factory=list[Floats])
    hinges: list[Floats] = field(default_factory=list[Floats])
    bars: list[Floats] = field(default_factory=list[Floats])
    touching: list[int] = field(default_factory=list[int])
    negative: list[int] = field(default_factory=list[int])
    work: list[float] = field(default_factory=list[float])
    stored: list[float] = field(default_factory=list[float])
    spent: list[float] = field(default_factory=list[float])
    events: list[YieldEvent] = field(default_factory=list[YieldEvent])
    strain: list[tuple[float, int]] = field(default_factory=list[tuple[float, int]])
    falls: list[tuple[float, float, float]] = field(default_factory=list[tuple[float, float, float]])
    dents: list[Floats] = field(default_factory=list[Floats])
    losses: list[Loss] = field(default_factory=list[Loss])
    shares: dict[int, Floats] = field(default_factory=dict[int, Floats])
    over: Floats = field(default_factory=lambda: np.zeros(0))
    stiffness: float = float("nan")
    largest: float = 0.0


def begin(a: Assembly) -> History:
    """A history holding the rest state."""
    n = len(a.model.nodes)
    count = len(a.ties.spring_node) + len(a.ties.bar_area) + len(a.ties.hinge_ends)
    history = History(assembly=a, over=np.zeros(count))
    a.force[:] = 0.0
    append_state(history, a.model.nodes, np.tile(np.eye(3), (n, 1, 1)))
    history.travel.append(0.0)
    history.load.append(0.0)
    history.negative.append(0)
    history.work.append(0.0)
    history.stored.append(0.0)
    history.spent.append(0.0)
    return history


def append(
    history: History, x: Floats, r: Floats, *, travel: float, load: float, work: float, negative: int
) -> None:
    """Keep a converged try; ``work`` is the load's work in this step, N mm."""
    stored, spent = settle(history, last=history.travel[-1], travel=travel)
    append_state(history, x.copy(), r.copy())
    history.travel.append(travel)
    history.load.append(load)
    history.largest = max(history.largest, abs(load))
    history.negative.append(negative)
    history.work.append(history.work[-1] + work)
    history.stored.append(stored)
    history.spent.append(history.spent[-1] + spent)


def settle(history: History, *, last: float, travel: float) -> tuple[float, float]:
    """Keep the present try at ``travel``, next after ``last``; energy stored, energy spent in it, N mm."""
    a = history.assembly
    before, ties_before = a.gone.copy(), history.over.copy()
    kept = keep_step(a, history.over)
    _aim_joints(a)
    history.events.extend(_events(history, last, travel, before, ties_before))
    return kept


def _aim_joints(a: Assembly) -> None:
    """See what its main's push leaves of each joint; its strength is brought there as the push goes on.

    What a wall has lost it does not win back: a joint that gives relieves its main, and would gain again.
    """
    tubes = a.model.hinges.tubes
    if not np.isfinite(tubes.wall).any():
        return
    factors = main_factors(tubes, a.model.sections, end_forces(a.state.natural))
    a.joints[0] = a.ties.hinge_cap[tubes.row]
    a.joints[1] = np.minimum(tubes.wall * factors[:, None], a.joints[0])


def dents_of(a: Assembly) -> Floats:
    """Depth (m,) mm of the deepest kept dent of each element."""
    deepest = np.zeros(len(a.model.elements))
    if a.points is not None:
        np.maximum.at(deepest, a.points.near, a.points.dent[:, 0])
    return deepest


def append_state(history: History, x: Floats, r: Floats) -> None:
    """Add the places (n, 3), turns (n, 3, 3) and forces of the present try to what is kept."""
    a = history.assembly
    history.positions.append(x)
    history.rotations.append(r)
    history.modes.append(a.state.natural.copy())
    history.pushed.append(a.force.copy())
    history.springs.append(a.ties.spring_force.copy())
    history.hinges.append(a.ties.hinge_force.copy())
    history.bars.append(a.ties.bar_force.copy())
    history.touching.append(a.pressed[2])
    history.dents.append(dents_of(a))
    window = int(np.argmax(a.strains)) if len(a.strains) else 0
    history.strain.append((float(a.strains[window]) if len(a.strains) else 0.0, window))


def _events(
    history: History, last: float, travel: float, before: Ints, ties_before: Floats
) -> list[YieldEvent]:
    a = history.assembly
    found: list[YieldEvent] = []
    further = a.gone > before
    for e, g in np.argwhere(further & (before < 1)):
        low, high = a.use[e, g]
        part = float(np.clip((1.0 - low) / max(high - low, 1e-12), 0.0, 1.0))
        found.append(
            YieldEvent(travel=last + part * (travel - last), kind="yield", index=int(e), part=int(g))
        )
    for e, g in np.argwhere(further & (a.gone >= 2)):
        found.append(YieldEvent(travel=travel, kind="hinge", index=int(e), part=int(g)))
    deep, dents = DEEP * 2.0 * a.model.sections.radius, dents_of(a)
    for e in np.flatnonzero((dents >= deep) & (history.dents[-1] < deep)):
        found.append(YieldEvent(travel=travel, kind="dent", index=int(e), part=0))
    s, b = len(a.ties.spring_node), len(a.ties.bar_area)
    for k in np.flatnonzero(history.over > ties_before):
        kind: Kind = "foot" if k < s else "strip" if k < s + b else "joint"
        index = int(k if k < s else k - s if k < s + b else k - s - b)
        found.append(YieldEvent(travel=travel, kind=kind, index=index, part=0))
    return sorted(found, key=lambda event: abs(event.travel))


def solution_of(history: History, *, reached: bool, end: str, left: bool = False) -> Solution:
    """The history as a frozen answer."""
    model, windows = history.assembly.model, history.assembly.windows
    where = np.array([w for _, w in history.strain], np.int64)
    return Solution(
        travel=np.array(history.travel),
        load=np.array(history.load),
        displacement=np.array(history.positions) - model.nodes,
        turn=np.array(history.rotations),
        forces=end_forces(np.array(history.modes)),
        reaction=np.where(model.fixed, np.array(history.pushed), 0.0),
        springs=np.array(history.springs),
        hinges=np.array(history.hinges),
        bars=np.array(history.bars),
        touching=np.array(history.touching),
        negative_pivots=np.array(history.negative),
        work=np.array(history.work),
        stored=np.array(history.stored),
        dissipated=np.array(history.spent),
        events=tuple(history.events),
        reached=reached,
        left=left,
        end=end,
        stiffness=history.stiffness,
        falls=tuple(history.falls),
        losses=tuple(history.losses),
        dent=np.array(history.dents),
        strain=np.array([s for s, _ in history.strain]),
        strained=windows.middle[where] if len(windows.middle) else where,
        strained_part=windows.part[where] if len(windows.part) else np.zeros(len(where)),
    )
