"""Names made for new things: from what they are and the side they are on."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from typing import Any

from cagewright.change.named import owner

SIDES = {"left": "right", "right": "left"}


def free(name: str, taken: Collection[str]) -> str:
    """The name, or with the first number behind it that makes it one of its own."""
    if name not in taken:
        return name
    return next(made for made in (f"{name[:50]}_{n}" for n in range(2, 10_000)) if made not in taken)


def other_side(name: str, taken: Collection[str]) -> str:
    """The name of the mirror: left for right and the other way, else with the word for a mirror behind it."""
    parts = name.split("_")
    if any(part in SIDES for part in parts):
        return free("_".join(SIDES.get(part, part) for part in parts), taken)
    return free(f"{name[:50]}_mirror", taken)


def from_role(role: str, across: float, mirrored: bool, taken: Collection[str]) -> str:
    """A name for a new tube.

    Args:
        role: what it is.
        across: where its middle is, mm from the centre plane, right more than 0.
        mirrored: it gets a mirror, so that its side tells the two apart.
        taken: names that others have.
    """
    side = "left" if across < 0.0 else "right"
    word = role.replace("-", " ").replace(" ", "_")
    return free(f"{word}_{side}" if mirrored or abs(across) > 50.0 else word, taken)


def second_half(name: str, taken: Collection[str]) -> str:
    """The name of the second half of a tube made in two: a number behind, before the word for its side."""
    parts = name.split("_")
    side = [parts.pop()] if len(parts) > 1 and parts[-1] in SIDES else []
    if len(parts) > 1 and parts[-1].isdigit():
        parts.pop()
    base = "_".join(parts)[:50]
    made = ("_".join([base, str(n), *side]) for n in range(2, 10_000))
    return next(word for word in made if word not in taken)


def other_name(entries: Mapping[str, Any], name: str) -> str | None:
    """The name of the thing's mirror among the plan's entries, whichever of the two is written; or None."""
    entry = owner(entries, name)
    return None if entry is None else entries[entry].mirror if entry == name else entry
