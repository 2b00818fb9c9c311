"""Keeping a push step by step: loads, movements, energies and what gave way."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

import numpy as np

from cagewright.frame.assemble import Assembly, keep_step
from cagewright.frame.linear import end_forces
from cagewright.frame.model import Floats, Ints, Solution, YieldEvent

Kind = Literal["yield", "hinge", "foot", "joint", "strip"]


@dataclass(slots=True, kw_only=True)
class Record:
    """Kept steps of a push under way; lists grow by one a step; ``stiffness`` at rest, ``largest`` load."""

    assembly: Assembly
    travel: list[float] = field(default_factory=list[float])
    load: list[float] = field(default_factory=list[float])
    places: list[Floats] = field(default_factory=list[Floats])
    turns: list[Floats] = field(default_factory=list[Floats])
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
    over: Floats = field(default_factory=lambda: np.zeros(0))
    stiffness: float = float("nan")
    largest: float = 0.0


def start(a: Assembly) -> Record:
    """A record holding the rest state."""
    n = len(a.model.nodes)
    count = len(a.ties.spring_node) + len(a.ties.bar_area) + len(a.ties.hinge_ends)
    record = Record(assembly=a, over=np.zeros(count))
    a.force[:] = 0.0
    _append(record, a.model.nodes, np.tile(np.eye(3), (n, 1, 1)))
    record.travel.append(0.0)
    record.load.append(0.0)
    record.negative.append(0)
    record.work.append(0.0)
    record.stored.append(0.0)
    record.spent.append(0.0)
    return record


def keep(
    record: Record, x: Floats, r: Floats, *, travel: float, load: float, work: float, negative: int
) -> None:
    """Keep a converged try; ``work`` is the load's work in this step, N mm."""
    a = record.assembly
    before, ties_before = a.gone.copy(), record.over.copy()
    stored, spent = keep_step(a, record.over)
    record.events.extend(_events(record, travel, before, ties_before))
    _append(record, x.copy(), r.copy())
    record.travel.append(travel)
    record.load.append(load)
    record.largest = max(record.largest, abs(load))
    record.negative.append(negative)
    record.work.append(record.work[-1] + work)
    record.stored.append(stored)
    record.spent.append(record.spent[-1] + spent)


def _append(record: Record, x: Floats, r: Floats) -> None:
    a = record.assembly
    record.places.append(x)
    record.turns.append(r)
    record.modes.append(a.state.natural.copy())
    record.pushed.append(a.force.copy())
    record.springs.append(a.ties.spring_force.copy())
    record.hinges.append(a.ties.hinge_force.copy())
    record.bars.append(a.ties.bar_force.copy())
    record.touching.append(a.pressed[2])


def _events(record: Record, travel: float, before: Ints, ties_before: Floats) -> list[YieldEvent]:
    a = record.assembly
    found: list[YieldEvent] = []
    last = record.travel[-1]
    for e, g in np.argwhere((a.gone >= 1) & (before < 1)):
        low, high = a.use[e, g]
        part = float(np.clip((1.0 - low) / max(high - low, 1e-12), 0.0, 1.0))
        found.append(
            YieldEvent(travel=last + part * (travel - last), kind="yield", index=int(e), part=int(g))
        )
    for e, g in np.argwhere((a.gone >= 2) & (before < 2)):
        found.append(YieldEvent(travel=travel, kind="hinge", index=int(e), part=int(g)))
    s, b = len(a.ties.spring_node), len(a.ties.bar_area)
    for k in np.flatnonzero(record.over > ties_before):
        kind: Kind = "foot" if k < s else "strip" if k < s + b else "joint"
        index = int(k if k < s else k - s if k < s + b else k - s - b)
        found.append(YieldEvent(travel=travel, kind=kind, index=index, part=0))
    return sorted(found, key=lambda event: abs(event.travel))


def solution(record: Record, *, reached: bool, end: str) -> Solution:
    """The record as a frozen answer."""
    model = record.assembly.model
    return Solution(
        travel=np.array(record.travel),
        load=np.array(record.load),
        displacement=np.array(record.places) - model.nodes,
        turn=np.array(record.turns),
        forces=end_forces(np.array(record.modes)),
        reaction=np.where(model.fixed, np.array(record.pushed), 0.0),
        springs=np.array(record.springs),
        hinges=np.array(record.hinges),
        bars=np.array(record.bars),
        touching=np.array(record.touching),
        negative_pivots=np.array(record.negative),
        work=np.array(record.work),
        stored=np.array(record.stored),
        dissipated=np.array(record.spent),
        events=tuple(record.events),
        reached=reached,
        end=end,
        stiffness=record.stiffness,
    )
