"""What a plan says of its tubes before anything is resolved."""

from __future__ import annotations

from collections import Counter

from cagewright.change.named import owner
from cagewright.plan.types import Plan


def usual_tube(plan: Plan, role: str) -> str | None:
    """The tube most members of that role have, else the one most members have; None without tubes."""
    of_role = [m.tube for m in plan.members.values() if m.role == role]
    most = Counter(of_role or [m.tube for m in plan.members.values()]).most_common(1)
    return most[0][0] if most else next(iter(plan.tubes), None)


def radius_of(plan: Plan, member: str) -> float:
    """The outside radius of the member of that name (a mirror's too), mm; 0 where it has no known tube."""
    entry = plan.members.get(owner(plan.members, member) or "")
    tube = plan.tubes.get(entry.tube) if entry else None
    return 0.0 if tube is None else tube.od / 2.0
