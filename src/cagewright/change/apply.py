"""A plan with a stated change, as another plan; the first is left as it is."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from cagewright.base.problems import ProblemsFound
from cagewright.change.add import added
from cagewright.change.both_sides import paired_again, welded_by_angles, written_out
from cagewright.change.members_change import cut_on, mirrored_onto, resized, rewelded
from cagewright.change.move import moved
from cagewright.change.named import At, Keys, in_change, told
from cagewright.change.remove import removed
from cagewright.change.stands import stood
from cagewright.plan.alternatives import CHANGES, ChangeEntry
from cagewright.plan.types import Plan
from cagewright.shape.located import Refused

_APPLY: dict[str, Callable[[Plan, Any, At], Plan]] = {
    "remove": removed,
    "add": added,
    "move": moved,
    "size": resized,
    "mirror": mirrored_onto,
    "foot": stood,
    "weld": rewelded,
    "cut": cut_on,
}


def apply(plan: Plan, change: ChangeEntry, at: At = in_change) -> Plan:
    """The plan with the change made.

    A change acts on an entry of the plan, and so on both tubes of a mirrored one, unless it says
    ``one_side``; then what is no longer alike on both sides is written out.

    Args:
        plan: stays as it is.
        change: exactly one change.
        at: says where a part of the change stands, its keys from the change.

    Raises:
        ProblemsFound: the change names what the plan does not have, or leaves something resting on nothing.
    """
    kind = next(key for key in CHANGES if getattr(change, key) is not None)
    what = getattr(change, kind)

    def inside(keys: Keys) -> Any:
        return at((kind, *keys))

    one_side = getattr(what, "one_side", False)
    try:
        changed = _APPLY[kind](_sides_apart(plan, inside) if one_side else plan, what, inside)
        return paired_again(changed, plan) if one_side else changed
    except Refused as found:
        raise ProblemsFound([found.problem]) from None


def _sides_apart(plan: Plan, at: At) -> Plan:
    by_angles = welded_by_angles(plan)
    if by_angles:
        found = f"{', '.join(by_angles)} and mirror leave a weld out between angles"
        raise ProblemsFound(told("one-side", at(("one_side",)), found, "wanted a word such as outside there"))
    return written_out(plan)
