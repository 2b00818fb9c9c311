"""One line of a readings file as a reading, or the reason why it cannot be used."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any, cast

from cagewright.base.units import MM_PER_IN, QuantityError, parse
from cagewright.fitup.choose import as_planned
from cagewright.fitup.marks import Mark
from cagewright.fitup.network import AXES, SIZES, Kind, Network, Reading

UNREAD = "unread"
"""Stands where a reading has not been taken yet, as in a survey."""
READING_KEYS = ("tape", "level", "lean", "place", "axis", "says", "size", "note")
FAR = 300.0
"""A reading this far from the plan is impossible for a tube that is tacked near its place, mm (assumed)."""
FAR_LEAN = 0.35
"""The same for a lean, rad (20 degrees; assumed)."""


class Refused(Exception):
    """Why a reading cannot be used: code, found, wanted, and a word with its likes."""

    def __init__(
        self, code: str, found: str, wanted: str, like: tuple[str, Sequence[str]] | None = None
    ) -> None:
        super().__init__(found)
        self.code, self.found, self.wanted, self.like = code, found, wanted, like


def reading_of(given: Any, units: str, net: Network, marks: Sequence[Mark]) -> Reading | None:
    """The reading, or None where its blank is not filled in yet.

    Raises:
        Refused: it cannot be used.
    """
    if not isinstance(given, Mapping):
        raise Refused("wrong-type", "is no reading", "wanted '{tape: [mark, mark], says: 1234 mm}'")
    row = cast("Mapping[str, Any]", given)
    strange = next((k for k in row if k not in READING_KEYS), None)
    if strange is not None:
        raise Refused(
            "unknown-key",
            f"has '{strange}'",
            f"wanted {', '.join(READING_KEYS)}",
            (str(strange), READING_KEYS),
        )
    kind = _kind(row)
    a, b = _ends(row, kind, net, marks)
    axis = _axis(row, kind)
    says = row.get("says")
    if says == UNREAD:
        return None
    if says is None:
        raise Refused("missing-key", "has no number", f"wanted says: a number, or {UNREAD}")
    seen = _number(says, kind, units)
    size = _number(row["size"], kind, "mm") if "size" in row else SIZES[kind]
    if not size > 0.0:
        raise Refused(
            "bad-quantity", f"has the size {row['size']}", "wanted a standard deviation of more than 0"
        )
    name = f"{a} to {b}" if kind == "tape" else f"{kind} of {a}{f' to {b}' if b else ''}"
    reading = Reading(
        name=name if axis < 0 or kind == "level" else f"{name}, {AXES[axis]}",
        kind=kind,
        a=a,
        b=b,
        axis=axis,
        seen=seen,
        size=size,
    )
    _possible(reading, says, net)
    return reading


def _kind(row: Mapping[str, Any]) -> Kind:
    kinds = [k for k in SIZES if k in row]
    if len(kinds) != 1:
        raise Refused("one-of", "says not what it is", "wanted one of tape, level, lean, place")
    return cast("Kind", kinds[0])


def _ends(row: Mapping[str, Any], kind: Kind, net: Network, marks: Sequence[Mark]) -> tuple[str, str]:
    given = row[kind]
    names = [str(n) for n in cast("list[Any]", given)] if isinstance(given, list) else [str(given)]
    if len(names) != (1 if kind == "place" else 2):
        raise Refused(
            "wrong-count", f"names {len(names)} marks", "wanted one mark for a place, two for the rest"
        )
    for n in names:
        if n not in net.index:
            there = n in {m.name for m in marks}
            found = f"mark '{n}' is on a tube that is not there yet" if there else f"there is no mark '{n}'"
            raise Refused(
                "unknown-mark", found, "wanted marks of what is there (see: marks)", (n, list(net.index))
            )
    if len(set(names)) != len(names):
        raise Refused("same-mark", f"runs from '{names[0]}' to itself", "wanted two marks")
    return names[0], names[1] if len(names) > 1 else ""


def _axis(row: Mapping[str, Any], kind: Kind) -> int:
    axis = row.get("axis")
    wanted = {"tape": (), "level": (), "lean": AXES[:2], "place": AXES}[kind]
    if not wanted:
        return -1 if kind == "tape" else 2
    if axis not in wanted:
        raise Refused("unknown-word", f"has the axis '{axis}'", f"wanted axis: one of {', '.join(wanted)}")
    return AXES.index(str(axis))


def _number(says: Any, kind: Kind, units: str) -> float:
    try:
        return parse(says, "angle") if kind == "lean" else parse(says, "length", bare=units)
    except QuantityError as wrong:
        raise Refused("bad-quantity", f"'{says}' cannot be read", str(wrong)) from None


def _possible(reading: Reading, says: Any, net: Network) -> None:
    """Nothing, where the reading can be true of a tube tacked near its place.

    Raises:
        Refused: in the wrong units, no distance, between marks that cannot move, or too far from the plan.
    """
    plan = as_planned(net, reading)
    if reading.kind == "tape" and reading.seen <= 0.0:
        raise Refused("impossible", "is no distance", "wanted more than 0")
    ends = [int(net.body[net.index[n]]) for n in (reading.a, reading.b) if n]
    if reading.kind == "tape" and ends[0] == ends[1]:
        raise Refused(
            "same-body",
            "both marks are on one body, so it says nothing of where that is",
            "wanted marks of two bodies",
        )
    if set(ends) == {-1}:
        raise Refused("same-body", "the mark does not move", "wanted a mark of a body that can move")
    off, far = abs(reading.seen - plan), FAR_LEAN if reading.kind == "lean" else FAR
    if off <= far:
        return
    if reading.kind != "lean":
        for factor, words in (
            (MM_PER_IN, "inches, read as mm"),
            (1.0 / MM_PER_IN, "mm, read as inches"),
            (10.0, "cm, read as mm"),
        ):
            if abs(reading.seen * factor - plan) < 0.05 * abs(plan):
                raise Refused(
                    "mixed-units",
                    f"looks like {words} (the plan has {plan:.0f} mm)",
                    f"write the unit: '{says} ...'",
                )
    shown = f"{plan:.0f} mm" if reading.kind != "lean" else f"{plan * 57.29578:.1f} deg"
    raise Refused(
        "impossible",
        f"the plan has {shown}",
        f"wanted a reading within {far * (57.29578 if reading.kind == 'lean' else 1):.0f} of it: "
        f"read it again",
    )
