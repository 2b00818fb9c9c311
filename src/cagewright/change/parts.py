"""Feet, plates and gussets changed; what is not said stays."""

from __future__ import annotations

from typing import Any

from cagewright.base.names import listed, shown
from cagewright.base.say import say_length
from cagewright.change.before import Altered, Before, known_owner, with_entry
from cagewright.change.both_sides import folds_across, holes_across, place_across
from cagewright.plan.changes import FootChange, GussetChange, PlateChange
from cagewright.plan.places import Entry
from cagewright.shape.drafts import twins_of


def stood(before: Before, change: FootChange) -> Altered:
    """The plan with the foot as the change says.

    A contact area and a gauged sheet belong to what the foot stood on: a new seat or plate forgets them, and
    so do new folds the contact.

    Raises:
        ProblemsFound: the foot is not known.
    """
    name = known_owner(before.plan.feet, change.name, "foot", before.where(("name",)))
    entry, given = before.plan.feet[name], _given(change)
    if name != change.name:
        given |= {key: (v[0], -v[1], v[2]) for key, v in given.items() if key in ("at", "normal")}
        given |= {"folds": folds_across(change.folds)} if change.folds else {}
    seat = given.get("on", entry.on) != entry.on
    forgotten = {"contact": None} if seat or "plate" in given else {}
    forgotten |= {"sheet": None} if seat else {}
    forgotten |= {"box": None, "shaped": False, "contact": None} if change.folds is not None else {}
    forgotten |= {"folds": (), "shaped": False, "contact": None} if change.box is not None else {}
    forgotten |= {"folds": (), "box": None} if change.shaped else {}
    plan = with_entry(before.plan, "feet", name, {**forgotten, **given})
    return Altered(plan=plan, words=f"foot {shown(change.name)}: {_words(before, given)}")


def replated(before: Before, change: PlateChange) -> Altered:
    """The plan with the plate as the change says.

    Raises:
        ProblemsFound: the plate is not known.
    """
    name = known_owner(before.plan.plates, change.name, "plate", before.where(("name",)))
    given = _given(change)
    if name != change.name and change.corners is not None:
        given["corners"] = tuple(place_across(before.plan, place) for place in change.corners)
    if name != change.name and change.holes:
        given["holes"] = holes_across(change.holes, twins_of(before.plan))
    plan = with_entry(before.plan, "plates", name, given)
    return Altered(plan=plan, words=f"plate {shown(change.name)}: {_words(before, given)}")


def gusseted(before: Before, change: GussetChange) -> Altered:
    """The plan with the gusset as the change says.

    Raises:
        ProblemsFound: the gusset or a member is not known.
    """
    name = known_owner(before.plan.gussets, change.name, "gusset", before.where(("name",)))
    for i, member in enumerate(change.between or ()):
        before.member(member, "between", i)
    given = _given(change)
    plan = with_entry(before.plan, "gussets", name, given)
    return Altered(plan=plan, words=f"gusset {shown(change.name)}: {_words(before, given)}")


def _given(change: Entry) -> dict[str, Any]:
    """What the change says of the entry, by its key."""
    keys = [key for key in type(change).model_fields if key not in ("name", "one_side")]
    return {key: getattr(change, key) for key in keys if getattr(change, key) is not None}


def _words(before: Before, given: dict[str, Any]) -> str:
    units, said = before.units, list[str]()
    for key, value in given.items():
        if key in ("leg", "thickness", "hole"):
            said.append(f"{key} {say_length(value, units)}")
        elif key == "plate":
            said.append(f"plate {' x '.join(say_length(v, units) for v in value)}")
        elif isinstance(value, str) and key != "near":
            said.append(f"on the {value}" if key == "on" else f"{key} {value}")
        else:
            said.append(f"{key} changed")
    return listed(said)
