"""Feet that stand on something else."""

from __future__ import annotations

from cagewright.change.named import At, known_owner, with_entries
from cagewright.plan.alternatives import FootChange
from cagewright.plan.types import Plan


def stood(plan: Plan, change: FootChange, at: At) -> Plan:
    """The plan with the foot as the change says.

    A contact area and a gauged sheet belong to what the foot stood on: a new seat or plate forgets them.

    Raises:
        ProblemsFound: the foot is not known.
    """
    name = known_owner(plan.feet, change.name, "foot", at(("name",)))
    entry = plan.feet[name]
    keys = ("at", "on", "plate", "normal", "contact", "sheet")
    given = {key: getattr(change, key) for key in keys if getattr(change, key) is not None}
    if name != change.name:
        given |= {key: (v[0], -v[1], v[2]) for key, v in given.items() if key in ("at", "normal")}
    forgotten: dict[str, None] = {}
    if "plate" in given or given.get("on", entry.on) != entry.on:
        forgotten["contact"] = None
    if given.get("on", entry.on) != entry.on:
        forgotten["sheet"] = None
    return with_entries(plan, feet={**plan.feet, name: entry.model_copy(update={**forgotten, **given})})
