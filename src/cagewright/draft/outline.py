"""A plan while it is being laid out, and what every part of a draft puts into it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

from cagewright.base.say import say_length
from cagewright.base.vectors import Vector
from cagewright.draft.bars import Bar, Hoop
from cagewright.draft.limits import Limits
from cagewright.draft.measured import NEEDS, Element, Measured
from cagewright.draft.telling import GRAVE
from cagewright.plan.survey import SurveyFile
from cagewright.plan.types import TubeEntry
from cagewright.shape.types import Array


@dataclass(slots=True)
class Outline:
    """A plan being laid out.

    Attributes:
        file: the survey.
        car: as measured.
        limits: of the rule book.
        tubes: hoop and bar.
        least: straight between two bends of each, mm.
        even: left and right are drawn alike.
        hoop: the tube that follows the body at the hoop's line: places and section.
        legs: the tubes that follow screen pillar and roof rail, by side.
        doorbars: heights of level doorbars by name, lowest first, mm.
        split: how far across the harness bar is in two, where a diagonal crosses it, mm.
        points: named points of the plan.
        members: in file order.
        feet: by name.
        lines: of the shell.
        gussets: by name.
        comments: over the entries.
        said: what could not be done.
    """

    file: SurveyFile
    car: Measured
    limits: Limits
    tubes: dict[str, TubeEntry]
    least: dict[str, float]
    even: bool
    hoop: Hoop
    legs: dict[str, Bar]
    doorbars: dict[str, float] = field(default_factory=dict[str, float])
    split: float | None = None
    points: dict[str, Any] = field(default_factory=dict[str, Any])
    members: dict[str, Any] = field(default_factory=dict[str, Any])
    feet: dict[str, Any] = field(default_factory=dict[str, Any])
    lines: dict[str, Any] = field(default_factory=dict[str, Any])
    gussets: dict[str, Any] = field(default_factory=dict[str, Any])
    comments: dict[tuple[str, str], str] = field(default_factory=dict[tuple[str, str], str])
    said: list[str] = field(default_factory=list[str])


def place(p: Array | Sequence[float]) -> list[float]:
    """The place in whole millimetres, as a builder can tape it."""
    return [float(round(float(v))) for v in p]


def named_point(outline: Outline, name: str, left: Vector, right: Vector) -> tuple[str, str]:
    """The point on both sides, as one mirrored entry where left and right are drawn alike; their names."""
    one, two = f"{name}_left", f"{name}_right"
    if outline.even:
        outline.points[one] = {"at": place(left), "mirror": two}
    else:
        outline.points[one], outline.points[two] = place(left), place(right)
    return one, two


def both_sides(outline: Outline, name: str, left: dict[str, Any], right: dict[str, Any]) -> None:
    """A member, foot or line on both sides: mirrored where left and right are drawn alike."""
    section = {"path": outline.members, "at": outline.feet}["path" if "role" in left else "at"]
    if outline.even:
        section[f"{name}_left"] = {**left, "mirror": f"{name}_right"}
    else:
        section[f"{name}_left"], section[f"{name}_right"] = left, right


def missing(outline: Outline, element: Element) -> None:
    """Says which readings an element that cannot be drafted waits for."""
    gone = [n.reading for n in outline.car.notes if n.kind in ("missing", *GRAVE)]
    wants = [r for r in NEEDS[element] if r in gone] or list(NEEDS[element])
    outline.said.append(f"no {element}: {', '.join(wants)} not read, or in doubt")


def whole(outline: Outline, mm: float) -> str:
    """The length in words, to the millimetre where the survey is in mm."""
    return say_length(mm, outline.file.units, places=0)


def added(outline: Outline, name: str, role: str, path: list[Any], comment: str = "") -> None:
    """Enters a straight tube."""
    outline.members[name] = {"role": role, "tube": "bar", "path": path}
    if comment:
        outline.comments["members", name] = comment


def pair_added(
    outline: Outline, name: str, role: str, left: list[Any], right: list[Any], comment: str = ""
) -> None:
    """Enters a straight tube on each side."""
    entry = {"role": role, "tube": "bar"}
    both_sides(outline, name, {**entry, "path": left}, {**entry, "path": right})
    if comment:
        outline.comments["members", f"{name}_left"] = comment


def named(bar: Any, name: str) -> Vector | None:
    """The bar's place of that name (3,); None where it has none."""
    return bar.places[bar.names.index(name)] if name in bar.names else None


def rounded(value: float) -> float:
    """To the whole millimetre."""
    return float(round(value))


def bend_radius(tube: TubeEntry) -> float:
    """The centreline radius of the tube's bends, mm."""
    return tube.clr or 3.0 * tube.across


def spread_of(file: SurveyFile) -> float:
    """How far a mark of that survey may be out, as a standard deviation, mm: by tape or by scan."""
    return max(file.tape, file.from_scan.spread if file.from_scan is not None else 0.0)
