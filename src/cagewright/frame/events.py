"""What gave way, in order and in words; neighbours on one tube are told once."""

from __future__ import annotations

from typing import Literal

import numpy as np

from cagewright.frame.idealise import Idealised
from cagewright.frame.members import STATIONS, along_of
from cagewright.frame.model import Solution, YieldEvent
from cagewright.frame.results import Event, TubePlace
from cagewright.frame.spots import spot_on

SAME = 100.0
"""Hinges on a member nearer than this, mm, are one place bending through."""
_VERB = {"yield": "starts to yield", "hinge": "bends through", "dent": "is dented"}


def first_yield_of(model: Idealised, solution: Solution) -> Event | None:
    """The first fibre past yield, found between kept steps; None where nothing yields."""
    first = next((event for event in solution.events if event.kind == "yield"), None)
    return None if first is None else _event(model, solution, first)


def order_of(model: Idealised, solution: Solution) -> tuple[Event, ...]:
    """Everything that gave way: each member's first yield, where it bends through, feet, joints, plates."""
    order: list[Event] = []
    told: dict[tuple[str, int], list[float]] = {}
    for event in solution.events:
        key, along = _where(model, event)
        before = told.setdefault(key, [])
        if any(event.kind != "hinge" or abs(along - at) < SAME for at in before):
            continue
        before.append(along)
        order.append(_event(model, solution, event))
    return tuple(order)


def _where(model: Idealised, event: YieldEvent) -> tuple[tuple[str, int], float]:
    """What gave way as (kind, number), and mm along it for a tube."""
    if event.kind in _VERB:
        along = along_of(model, event.index, float(STATIONS[1 + event.part]))
        return (event.kind, int(model.member[event.index])), along
    frame = model.model
    names = {"foot": frame.springs.names, "strip": frame.bars.names}.get(event.kind, frame.hinges.names)
    return (names[event.index], 0), 0.0


def _event(model: Idealised, solution: Solution, event: YieldEvent) -> Event:
    load = float(np.interp(event.travel, solution.travel, solution.load))
    if event.kind in _VERB:
        spot = _spot(model, event.index, event.part)
        words = f"{spot.words} {_VERB[event.kind]}"
        return Event(kind=event.kind, travel=event.travel, load=load, spot=spot, words=words)
    kind, words = _other(model, event)
    return Event(kind=kind, travel=event.travel, load=load, spot=None, words=words)


def _other(model: Idealised, event: YieldEvent) -> tuple[Literal["foot", "strip", "joint"], str]:
    """Kind and words of what is not on a tube."""
    frame = model.model
    if event.kind == "foot":
        return "foot", f"the shell under {frame.springs.names[event.index]} gives"
    if event.kind == "strip":
        return "strip", f"plate {frame.bars.names[event.index]} yields"
    name = frame.hinges.names[event.index]
    if any(event.index in place.hinges for place in model.feet):
        return "foot", f"the shell under {name} gives"
    if any(p.hinge == event.index for p in model.couplings):
        return "joint", f"{name} gives"
    joint = next(p.joint for p in model.joints if p.hinge == event.index)
    return "joint", f"the joint of {joint.branch} on {joint.mains[0]} gives"


def _spot(model: Idealised, element: int, point: int) -> TubePlace:
    member = model.cage.members[int(model.member[element])]
    return spot_on(model.cage, member, along_of(model, element, float(STATIONS[1 + point])))
