"""What the page offers where a tube is added or changed: roles, tubes, sizes and names."""

from __future__ import annotations

from typing import Any, get_args

from cagewright.change.before import from_role, names_in, usual_tube
from cagewright.change.words import tube_words
from cagewright.job.opening import Job
from cagewright.plan.types import MemberEntry, Plan, Role
from cagewright.stock.catalogue import steels

ROLES: tuple[str, ...] = get_args(Role)


def choices_of(job: Job) -> dict[str, Any]:
    """The choices as plain values.

    Returns:
        ``roles``: a row for each with role, how many the plan has, its usual tube and a name; ``tubes``: the
        plan's, with name, words, od, wall, steel, clr (mm) and how many members have it; ``sold``: sizes the
        shop can buy; ``steels``; ``names``: those taken, by kind.
    """
    plan = job.plan
    taken = names_in(plan.members)
    return {
        "roles": [
            {
                "role": role,
                "count": sum(m.role == role for m in job.cage.members),
                "tube": usual_tube(plan, role),
                "name": from_role(role, 0.0, mirrored=False, taken=taken),
            }
            for role in ROLES
        ],
        "tubes": [_tube(plan, name) for name in plan.tubes],
        "sold": _sold(job),
        "steels": list(dict.fromkeys([*plan.steels, *steels()])),
        "names": {
            "members": taken,
            "points": names_in(plan.points),
            "feet": names_in(plan.feet),
            "tubes": list(plan.tubes),
        },
    }


def _tube(plan: Plan, name: str) -> dict[str, Any]:
    entry = plan.tubes[name]
    return {
        "name": name,
        "words": tube_words(entry, plan.house_units),
        "od": entry.od,
        "wall": entry.wall,
        "steel": entry.steel,
        "clr": entry.clr,
        "members": sum(_tubes_of(m) for m in plan.members.values() if m.tube == name),
    }


def _tubes_of(entry: MemberEntry) -> int:
    return 1 if entry.mirror is None else 2


def _sold(job: Job) -> list[dict[str, Any]]:
    sizes = dict.fromkeys((row.od, row.wall, row.steel) for row in job.shop.stock)
    return [{"od": od, "wall": wall, "steel": steel} for od, wall, steel in sizes]
