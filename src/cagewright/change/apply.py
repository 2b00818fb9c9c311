"""A plan with a stated change, as another plan; the first is left as it is."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any, cast

from cagewright.base.problems import ProblemsFound
from cagewright.base.units import LengthUnit
from cagewright.change.add import added
from cagewright.change.asbuilt import as_built, as_planned
from cagewright.change.before import BARE_NUMBERS, Altered, At, Before, in_change, told
from cagewright.change.both_sides import paired_again, welded_by_angles, written_out
from cagewright.change.drawn import drawn
from cagewright.change.join import joined, swapped
from cagewright.change.members import bent, coupled, cut_on, given_role, noted, resized, rewelded
from cagewright.change.mirror import mirrored_onto, set_apart
from cagewright.change.move import moved
from cagewright.change.parts import gusseted, replated, stood
from cagewright.change.remove import removed
from cagewright.change.rename import renamed
from cagewright.change.split import split
from cagewright.change.written import WHOLE
from cagewright.plan.changes import CHANGES, ChangeEntry
from cagewright.plan.places import Entry
from cagewright.plan.source import Keys
from cagewright.plan.types import Plan
from cagewright.plan.write import sayable
from cagewright.shape.located import AlreadyRefused, Refused
from cagewright.shape.places import Ground

_APPLY: dict[str, Callable[[Before, Any], Altered]] = {
    "remove": removed,
    "add": added,
    "move": moved,
    "bend": bent,
    "size": resized,
    "split": split,
    "join": joined,
    "swap": swapped,
    "draw": drawn,
    "mirror": mirrored_onto,
    "apart": set_apart,
    "foot": stood,
    "plate": replated,
    "gusset": gusseted,
    "weld": rewelded,
    "cut": cut_on,
    "couple": coupled,
    "role": given_role,
    "as_built": as_built,
    "as_planned": as_planned,
    "note": noted,
    "rename": renamed,
}


def apply(plan: Plan, change: ChangeEntry, at: At = in_change, known: Ground | None = None) -> Altered:
    """The plan with the change made, and what was done in words.

    A change acts on an entry of the plan, and so on both tubes of a mirrored one, unless it says
    ``one_side``; then what is no longer alike on both sides is written out.

    Args:
        plan: stays as it is.
        change: exactly one change.
        at: says where a part of the change stands, its keys from the change.
        known: the plan's centre lines, where they have been laid out already.

    Raises:
        ProblemsFound: the change names what the plan does not have, or leaves something resting on nothing.
    """
    kind = next(key for key in CHANGES if getattr(change, key) is not None)
    what = getattr(change, kind)

    def inside(keys: Keys) -> Any:
        return at((kind, *keys))

    before = Before(plan=plan, where=inside, known=known)
    try:
        if not getattr(what, "one_side", False):
            altered = _APPLY[kind](before, what)
            return replace(altered, plan=_sayable("", plan, altered.plan, plan.units))
        by_angles = welded_by_angles(plan)
        if by_angles:
            found = f"{', '.join(by_angles)} and mirror leave a weld out between angles"
            wanted = "wanted a word such as outside there"
            raise ProblemsFound(told("one-side", inside(("one_side",)), found, wanted))
        apart = replace(before, plan=written_out(plan), known=before.ground)
        altered = _APPLY[kind](apart, what)
        changed = _sayable("", apart.plan, altered.plan, plan.units)
        return replace(altered, plan=paired_again(changed, plan))
    except Refused as wrong:
        raise ProblemsFound([replace(wrong.problem, where=inside(()))]) from None
    except AlreadyRefused:
        raise ProblemsFound(before.not_built()) from None


def _sayable(key: str | int, old: Any, new: Any, units: LengthUnit) -> Any:
    """The value with every new length as a file can say it, so that its text is the plan."""
    if new is old or new == old:
        return new
    if isinstance(new, float):
        return new if key in BARE_NUMBERS else sayable(new, units)
    if isinstance(new, Entry) and type(new) is type(old) and not isinstance(new, WHOLE):
        fields = {f: _sayable(f, getattr(old, f), getattr(new, f), units) for f in type(new).model_fields}
        return new.model_copy(update={f: v for f, v in fields.items() if v is not getattr(new, f)})
    if isinstance(new, dict) and isinstance(old, dict):
        was, now = cast("dict[str, Any]", old), cast("dict[str, Any]", new)
        return {name: _sayable(name, was.get(name), entry, units) for name, entry in now.items()}
    if isinstance(new, tuple):
        now = cast("tuple[Any, ...]", new)
        was = (
            cast("tuple[Any, ...]", old)
            if isinstance(old, tuple) and len(old) == len(now)
            else (None,) * len(now)
        )
        return tuple(_sayable(key, one, other, units) for one, other in zip(was, now, strict=True))
    return new
