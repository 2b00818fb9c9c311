"""A set of tubes bought bent: what its file says of each tube, and what nobody can tell yet."""

from __future__ import annotations

import math
from dataclasses import dataclass
from pathlib import Path

from cagewright.base.answers import CANNOT_TELL, Answer, Value, figure
from cagewright.base.names import shown
from cagewright.base.say import say, say_angle, say_size
from cagewright.base.units import LengthUnit
from cagewright.plan.tube_set import EndEntry, SetTubeEntry, blank_set_text, read_set

UNTOLD: tuple[tuple[str, str], ...] = (
    ("od", "outside diameter: calliper"),
    ("wall", "wall: calliper at the open end"),
    ("steel", "steel: ask for the paper"),
    ("certificate", "certificate: ask for the paper"),
    ("straights", "straights: tape"),
    ("bends", "bends: angle gauge"),
)
"""What a tube may not tell, and how to find out."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SetTubeRow:
    """One tube of the set as its file has it."""

    name: str
    shown: str
    role: str
    size: str
    steel: str
    length: Value
    bends: str
    start: str
    end: str
    spare: bool
    cannot_tell: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class SetAnswer(Answer):
    """A set as its file has it."""

    title: str
    tubes: tuple[SetTubeRow, ...]


def blank_set(title: str) -> str:
    """The text of a set file to fill in."""
    return blank_set_text(title)


def set_answer(path: Path) -> SetAnswer:
    """What the set's file says.

    Raises:
        ProblemsFound: every problem of the file.
    """
    file = read_set(path).file
    rows = tuple(_row(name, tube, file.units) for name, tube in file.tubes.items())
    count = sum(2 if tube.twin else 1 for tube in file.tubes.values())
    open_ = sum(bool(row.cannot_tell) for row in rows)
    return SetAnswer(
        headline=f"{count} tubes, " + (f"{open_} entries not whole" if open_ else "every entry whole"),
        level="cannot tell" if open_ else "fine",
        title=file.title,
        tubes=rows,
    )


def _row(name: str, tube: SetTubeEntry, units: LengthUnit) -> SetTubeRow:
    size = CANNOT_TELL if tube.od is None else say(tube.od, "length", units)
    if tube.od is not None and tube.wall is not None:
        size = say_size(tube.od, tube.wall, units)
    length = None
    if tube.straights is not None and tube.bends is not None:
        length = sum(tube.straights) + sum(b.angle * b.clr for b in tube.bends)
    pair = f" (two, {tube.twin})" if tube.twin else f" ({tube.side})" if tube.side else ""
    return SetTubeRow(
        name=name, shown=shown(name) + pair, role=tube.role, size=size,
        steel=", ".join(said or CANNOT_TELL for said in dict.fromkeys((tube.steel, tube.certificate))),
        length=figure(length, "length", units, rests_on="measured"),
        bends=CANNOT_TELL if tube.bends is None else str(len(tube.bends)),
        start=end_said(tube.start, units), end=end_said(tube.end, units), spare=tube.spare,
        cannot_tell=tuple(how for key, how in UNTOLD if getattr(tube, key) is None),
    )  # fmt: skip


def end_said(end: EndEntry, units: LengthUnit) -> str:
    """How an end is cut: ``square``, ``notch, 62.0° for 45.0 mm``."""
    if end.cut != "notch" or end.od is None:
        return end.cut
    aside = f", {say(abs(end.offset), 'length', units)} off centre" if abs(end.offset) > 0.05 else ""
    turned = f", heel at {math.degrees(end.clocking):.0f}°"
    return f"notch, {say_angle(end.angle)} for {say(end.od, 'length', units)}{aside}{turned}"
