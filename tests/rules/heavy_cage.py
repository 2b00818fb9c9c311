"""The plan that keeps every row of fia-253-2020, made heavy enough for the other books, and edits of it.

An edit is made of the plan's own text before it is made heavy, so that it reads as it stands in the file.
"""

import re
from collections.abc import Callable, Mapping

from test_check_one_rule_broken import BREAKS, TEXT, edited

Edits = tuple[tuple[str, str], ...]
OWN = (
    "steels:\n  own: {yield_strength: 355 MPa, tensile: 490 MPa, elongation: 20, seamless: yes, "
    "source: mill sheet}\n\ntubes:"
)
TUBE = "{od: 57, wall: 3.4, steel: own"
PLATE = "plate: [170, 160, 6.3]"
BOLTS = 'bolts: {count: 4, size: 10, grade: "10.9"}'
HEAD = "head: [1430, -330, 915]"
TUBES = ("hoop", "bar", "harness", "seat")


def heavy(before: Edits = ()) -> str:
    """The plan after those edits, with all tubes of one size, all foot plates and all bolts alike."""
    text = edited(TEXT, before)
    text = re.sub(r"\{od: \d+, wall: 2.5, steel: E355\+N", TUBE, text)
    text = re.sub(r"plate: \[\d+, \d+, 3\]", PLATE, text)
    text = re.sub(r"bolts: \{[^}]*\}", BOLTS, text)
    text = re.sub(r"leg: \d+, thickness: 1.5", "leg: 120, thickness: 3.5", text)
    text = text.replace("head: [1335, -330, 915]", HEAD)
    return re.sub(r"clr: \d+", "clr: 171", text).replace("tubes:", OWN)


def swap(old: str, new: str) -> Callable[[], str]:
    """The heavy plan with ``new`` wherever it has ``old``."""
    return lambda: heavy().replace(old, new)


def of_tube(name: str, old: str, new: str) -> Callable[[], str]:
    """The heavy plan with one of its tubes changed."""
    return lambda: heavy().replace(f"  {name}: {TUBE}", f"  {name}: {TUBE.replace(old, new)}")


def first(*edits: tuple[str, str]) -> Callable[[], str]:
    """The heavy plan with edits of the text that it is made of."""
    return lambda: heavy(edits)


HEADER = "  header:\n    role: transverse member"
HOOP = "[1600, -650, 780], [1600, -500, 1235], [1600, 500, 1235], [1600, 650, 780]"
AS_FIRST = (
    "backstay-angle", "backstay-straight", "backstay-top", "base-structure", "diagonal-count",
    "diagonal-lower-end", "diagonal-straight", "diagonal-upper-end", "diagonals", "doorbar-height",
    "doorbar-same", "front-extent", "main-lean", "main-plane", "mounting-points", "pillar-bend",
    "pillar-lower-end", "pillar-upper-end", "roof-ends", "seat-points", "welds",
)  # fmt: skip
"""Rows of fia-253-2020 whose break, made here too, breaks a row of another book."""
THIRD = "  third: {between: [main_hoop, front_leg_left], leg: 120, thickness: 3.5}"
OLD = ("built: 2026-05", "built: 2005-05, logbook: 2005-05")

EDITS: Mapping[str, Callable[[], str]] = {
    **{f"thin {name}": of_tube(name, "wall: 3.4", "wall: 1.0") for name in TUBES},
    "small harness": of_tube("harness", "od: 57, wall: 3.4", "od: 25, wall: 2.2"),
    "slender tubes": swap(TUBE, "{od: 24, wall: 3.4, steel: own"),
    "light tubes": swap(TUBE, "{od: 26, wall: 1.4, steel: own"),
    "soft steel": swap("yield_strength: 355", "yield_strength: 200"),
    "weak steel": swap("tensile: 490", "tensile: 300"),
    "welded tube": swap("seamless: yes", "seamless: no"),
    "alloy": swap("steel: own", "steel: 4130+N"),
    "tight bends": swap("clr: 171", "clr: 90"),
    "small plates": swap(PLATE, "plate: [60, 50, 6.3]"),
    "narrow plates": swap(PLATE, "plate: [170, 60, 6.3]"),
    "large plates": swap(PLATE, "plate: [400, 400, 6.3]"),
    "long plates": swap(PLATE, "plate: [500, 60, 6.3]"),
    "thin plates": swap(PLATE, "plate: [170, 160, 1.5]"),
    "thick plates": swap(PLATE, "plate: [170, 160, 9]"),
    "few bolts": swap("count: 4", "count: 1"),
    "small bolts": swap("size: 10", "size: 5"),
    "soft bolts": swap('grade: "10.9"', 'grade: "4.6"'),
    "high head": swap(HEAD, "head: [1430, -330, 1150]"),
    "head far ahead": swap(HEAD, "head: [1100, -330, 915]"),
    "head far back": swap(HEAD, "head: [1800, -330, 1060]"),
    "thin gussets": swap("thickness: 3.5", "thickness: 0.8"),
    "bolted tube": first((HEADER, HEADER.replace("role", "removable: true\n    role"))),
    "low stays": first(
        ("{on: main_hoop, across: -440}, {foot", "{on: main_hoop, side: left, up: 1000}, {foot"),
        ("up: 1130}", "up: 900}"),
    ),
    "no diagonals": swap("role: diagonal", "role: cage reinforcement"),
    "no pillars": swap("role: windscreen pillar reinforcement", "role: cage reinforcement"),
    "no roof bars": swap("role: roof reinforcement", "role: cage reinforcement"),
    "short car": first(("[[2400, -600, 400], [2400, 600, 400]]", "[[1500, -600, 400], [1500, 600, 400]]")),
    "old car": first(OLD),
    "old car without diagonals": lambda: heavy((OLD,)).replace("role: diagonal", "role: cage reinforcement"),
    "old car with no doorbars": lambda: heavy((OLD,)).replace("role: doorbar", "role: cage reinforcement"),
    "more gussets": swap("  diagonal_cross: {", THIRD + "\n  diagonal_cross: {"),
    "leaning hoop": first((HOOP, HOOP.replace("1600, -500", "1750, -500").replace("1600, 500", "1750, 500"))),
    **{f"fia {row}": first(*BREAKS[row].edits) for row in AS_FIRST},
}  # fmt: skip
"""Each edit of the heavy plan by what it does to it."""
