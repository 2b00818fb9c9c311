"""What bent tubes have in every base structure: named places, feet with plates, and how close they came."""

from __future__ import annotations

import math
from typing import Any

from cagewright.base.say import good_to, span
from cagewright.base.vectors import Vector
from cagewright.draft.bars import Bar
from cagewright.draft.carriers import StandingTube
from cagewright.draft.outline import Outline, both_sides, named_point, place, spread_of, whole
from cagewright.shape.shell import lines_give

SIDES = ("left", "right")


def main_rollbar(outline: Outline) -> StandingTube:
    """Enters the main rollbar and its feet; how it stands on both sides."""
    names = places_named(outline, outline.hoop.left, outline.hoop.right)
    hoop_feet(outline, {side: names[side][0] for side in SIDES})
    path: list[Any] = [{"foot": "hoop_foot_left"}, *names["left"][1:]]
    path += [*names["right"][:0:-1], {"foot": "hoop_foot_right"}]
    outline.members["main_hoop"] = {"role": "main rollbar", "tube": "hoop", "path": path}
    outline.comments["members", "main_hoop"] = close_words(outline, outline.hoop.left)
    line = {"left": outline.hoop.left.places, "right": outline.hoop.right.places}
    return StandingTube(names=dict.fromkeys(SIDES, "main_hoop"), line=line, tube="hoop")


def hoop_feet(outline: Outline, at: dict[str, str]) -> None:
    """Enters the feet on the sills at the hoop's line, at those points by side."""
    foot = {"on": "sill", "plate": plate_of(outline, 130.0), **_bolts(outline.limits.bolts[0])}
    both_sides(outline, "hoop_foot", {"at": at["left"], **foot}, {"at": at["right"], **foot})


def front_feet(outline: Outline, at: dict[str, str]) -> None:
    """Enters the feet ahead, at those points by side."""
    foot = {"on": "box", "plate": plate_of(outline, 120.0), **_bolts(outline.limits.bolts[0])}
    both_sides(outline, "front_foot", {"at": at["left"], **foot}, {"at": at["right"], **foot})


def plate_of(outline: Outline, long: float) -> list[float]:
    """Length, width and thickness of a leg's plate, mm: of the area wished for or asked."""
    wishes, limits = outline.file.wishes, outline.limits
    wanted = wishes.plate_area or limits.leg_area
    long = max(long, limits.plate_side)
    wide = max(math.ceil(wanted * 1.02 / long / 10.0) * 10.0, 80.0, limits.plate_side)
    return [long, wide, max(wishes.plate, limits.plate)]


def _bolts(count: int) -> dict[str, Any]:
    return {"bolts": {"count": count, "size": 8.0}} if count else {}


def places_named(outline: Outline, left: Bar, right: Bar) -> dict[str, list[str]]:
    """Names of the bar's places from the foot up on each side, entered among the plan's points."""
    if outline.even or left.names == right.names:
        pairs = [
            named_point(outline, name, left.places[i], right.places[i]) for i, name in enumerate(left.names)
        ]
        return {"left": [a for a, _ in pairs], "right": [b for _, b in pairs]}
    for side, bar in (("left", left), ("right", right)):
        outline.points |= {f"{n}_{side}": place(bar.places[i]) for i, n in enumerate(bar.names)}
    return {side: [f"{n}_{side}" for n in bar.names] for side, bar in (("left", left), ("right", right))}


def close_words(outline: Outline, bar: Bar) -> str:
    """How close the bar came to the body, and what held it off."""
    gap, words = bar.tight.after, ""
    if gap is not None:
        units = outline.file.units
        reach = span(gap[0], gap[2], "length", units, places=0 if units == "mm" else None)
        sure = good_to(lines_give(spread_of(outline.file)), units)
        words = f"gap to the marks {reach}{sure}, {whole(outline, gap[1])} on average"
    return words + (f"; {'; '.join(bar.tight.held)}" if bar.tight.held else "")


def sides_commented(outline: Outline, name: str, bars: dict[str, Bar], words: str) -> None:
    """Says over each side's tube how close it came."""
    for side in ("left",) if outline.even else SIDES:
        close = close_words(outline, bars[side])
        outline.comments["members", f"{name}_{side}"] = f"{words}; {close}"


def standing(bars: dict[str, Bar], upto: str) -> dict[str, Vector]:
    """By side the places of a bar from its foot up to the one of that name (n, 3), mm."""
    return {side: bar.places[: bar.names.index(upto) + 1] for side, bar in bars.items()}
