"""The load cases a plan asks for, with the places they act at worked out."""

from __future__ import annotations

from cagewright.base.curves import nearest
from cagewright.base.problems import Problem
from cagewright.plan.types import OnMember, Plan, PushEntry
from cagewright.shape.located import AlreadyRefused, Refused
from cagewright.shape.places import Ground, spot
from cagewright.shape.types import AskedPush


def asked_of(plan: Plan, ground: Ground) -> tuple[tuple[AskedPush, ...], list[Problem]]:
    """The pushes whose places can be worked out, in file order, and the problems of the others."""
    asked: list[AskedPush] = []
    problems: list[Problem] = []
    for name, entry in plan.pushes.items():
        try:
            asked.append(_asked(name, entry, ground))
        except Refused as refused:
            problems.append(refused.problem)
        except AlreadyRefused:
            continue
    return tuple(asked), problems


def _asked(name: str, entry: PushEntry, ground: Ground) -> AskedPush:
    if entry.at is None:
        return AskedPush(name=name, entry=entry, point=None, member=None, along=0.0)
    point = spot(entry.at, ground, ("pushes", name, "at"))
    curve = ground.paths.get(entry.at.on) if isinstance(entry.at, OnMember) else None
    if curve is None or not isinstance(entry.at, OnMember):
        return AskedPush(name=name, entry=entry, point=point, member=None, along=0.0)
    return AskedPush(name=name, entry=entry, point=point, member=entry.at.on, along=nearest(curve, point)[0])
