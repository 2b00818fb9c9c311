"""A plan that keeps every row of fia-253-2020 that geometry can keep, and one row broken at a time.

Each break is an edit of the plan's own text. It must break its row, and no other but those listed beside it
as falling with it; rows that no edit of this plan can break are listed with the reason, none is forgotten.
"""

from dataclasses import dataclass
from functools import cache
from pathlib import Path

import pytest

from cagewright.check.findings import Finding
from cagewright.check.judge import check_books
from cagewright.check.library import built_in
from cagewright.plan.read import read_plan_text
from cagewright.shape.resolve import resolve

TEXT = (Path(__file__).parents[1] / "data" / "rules" / "every_rule_kept.yaml").read_text(encoding="utf-8")
BOOK = built_in("fia-253-2020")


@dataclass(frozen=True)
class Break:
    """Edits (old, new) of the plan's text, and the rows that fall with the one meant."""

    edits: tuple[tuple[str, str], ...]
    falls: tuple[str, ...] = ()


def one(old: str, new: str, *falls: str) -> Break:
    return Break(((old, new),), falls)


def without(*blocks: str, edits: tuple[tuple[str, str], ...] = ()) -> Break:
    return Break((*((block, "") for block in blocks), *edits))


HOOP = "hoop: {od: 45, wall: 2.5"
BAR = "bar: {od: 38, wall: 2.5"
DIAGONAL_A = TEXT[TEXT.index("  diagonal_a:") : TEXT.index("  diagonal_b_low:")]
DIAGONAL_B = TEXT[TEXT.index("  diagonal_b_low:") : TEXT.index("  diagonal_rear:")]
DIAGONAL_REAR = TEXT[TEXT.index("  diagonal_rear:") : TEXT.index("  harness_bar:")]
ROOF_B = TEXT[TEXT.index("  roof_b_rear:") : TEXT.index("  pillar_left:")]
DOOR_B = TEXT[TEXT.index("  door_b_front_left:") : TEXT.index("  seat_front: {role")]


def gusset(name: str) -> str:
    start = TEXT.index(f"  {name}: {{between")
    return TEXT[start : TEXT.index("\n", start) + 1]


DOOR_FOOT = (
    "  door_foot_left: {at: [1540, -690, 230], on: sill, plate: [80, 70, 3], "
    'bolts: {count: 3, size: 8, grade: "8.8"}, mirror: door_foot_right}'
)
TO_STAY = ", {foot: stay_left}"
CORNER = gusset("hoop_corner")
PILLAR = "up: 265}, {on: front_leg_left, back"
STAY_FOOT = "{at: [2300, -520, 590], on: turret, plate: [100, 80, 3]"
BREAKS: dict[str, Break] = {
    "main-tube": one(HOOP, "hoop: {od: 45, wall: 2.4"),
    "other-tube": one(BAR, "bar: {od: 38, wall: 2.4"),
    "harness-tube": one("harness: {od: 38, wall: 2.5", "harness: {od: 38, wall: 2.4", "other-tube"),
    "yield": one(HOOP + ", steel: E355+N", HOOP + ", steel: E235+N"),
    "unalloyed": one(HOOP + ", steel: E355+N", HOOP + ", steel: 4130+N"),
    "bend-radius": one("clr: 114", "clr: 113"),
    "main-foot-area": one("plate: [130, 110, 3]", "plate: [130, 90, 3]"),
    "main-foot-thickness": one("plate: [130, 110, 3]", "plate: [130, 110, 2.5]"),
    "main-foot-bolts": one("[120, 110, 3], bolts: {count: 3", "[120, 110, 3], bolts: {count: 2"),
    "backstay-foot-area": one(STAY_FOOT, STAY_FOOT.replace("80, 3", "59, 3")),
    "backstay-foot-thickness": one(STAY_FOOT, STAY_FOOT.replace("80, 3", "80, 2.5")),
    "backstay-foot-bolts": one("bolts: {count: 2, size: 8", "bolts: {count: 1, size: 8"),
    "bolt-size": one("bolts: {count: 2, size: 8", "bolts: {count: 2, size: 6"),
    "bolt-grade": one('{count: 2, size: 8, grade: "8.8"}', '{count: 2, size: 8, grade: "4.6"}'),
    "mounting-points": one(
        "    mirror: front_leg_right\n    path: [{foot: front_left}, [530, -640, 800]",
        "    mirror: front_leg_right\n    path: [[530, -640, 190], [530, -640, 800]",
        "pillar-lower-end",
    ),
    "base-structure": one("role: transverse member", "role: cage reinforcement", "roof-ends"),
    "main-lean": one(
        "[1600, -650, 780], [1600, -500, 1235], [1600, 500, 1235], [1600, 650, 780]",
        "[1705, -650, 780], [1785, -500, 1235], [1785, 500, 1235], [1705, 650, 780]",
    ),
    "main-plane": one("[1600, -500, 1235], [1600, 500, 1235]", "[1630, -500, 1235], [1570, 500, 1235]"),
    "leg-bends": one(
        "{foot: hoop_left}, [1600, -650, 780], [1600, -500, 1235]",
        "{foot: hoop_left}, [1600, -690, 500], [1600, -640, 850], [1600, -500, 1235]",
    ),
    "front-leg-bends": one("[[426, -684, 738], [591, -646, 878]", "[[591, -646, 878]"),
    "front-leg-lean": one("[530, -640, 800]", "[639, -640, 800]"),
    "front-foot": one("{at: [530, -640, 190], on: box", "{at: [560, -640, 190], on: box"),
    "backstay-straight": one(
        "path: [{on: main_hoop, across: -440}, {foot: stay_left}]",
        "path: [{on: main_hoop, across: -440}, [1900, -460, 1020], {foot: stay_left}]",
    ),
    "backstay-angle": one("{at: [2300, -520, 590]", "{at: [1940, -520, 590]"),
    "backstay-top": one(f"across: -440}}{TO_STAY}", f"across: -340}}{TO_STAY}"),
    "diagonals": without(DIAGONAL_B, gusset("diagonal_cross")),
    "diagonal-count": without(
        DIAGONAL_A, DIAGONAL_B, gusset("diagonal_cross"), edits=(("built: 2026-05", "built: 2001-05"),)
    ),
    "diagonal-count-2002": without(
        DIAGONAL_A, DIAGONAL_B, gusset("diagonal_cross"), edits=(("built: 2026-05", "built: 2004-05"),)
    ),
    "diagonal-straight": one(
        "path: [{on: main_hoop, side: right, up: 285}, {on: main_hoop, across: -395}]",
        "path: [{on: main_hoop, side: right, up: 285}, [1600, 300, 620], {on: main_hoop, across: -395}]",
    ),
    "diagonal-lower-end": one("{on: main_hoop, side: left, up: 285}", "{on: main_hoop, side: left, up: 340}"),
    "diagonal-upper-end": one("{on: main_hoop, across: 395}]", "{on: main_hoop, across: 320}]"),
    "backstay-diagonals": one(DIAGONAL_REAR, ""),
    "doorbars": without(DOOR_B, gusset("door_cross"), gusset("door_pillar_high")),
    "doorbar-same": one("    mirror: door_b_rear_right\n", ""),
    "doorbar-foot": Break((
        ("{on: main_hoop, side: left, up: 330}]", "{foot: door_foot_left}]"),
        ("  seat_front_sill: {at", f"{DOOR_FOOT}\n  seat_front_sill: {{at"),
    )),
    "doorbar-height": one("{on: main_hoop, side: left, up: 660}", "{on: main_hoop, side: left, up: 800}"),
    "roof": without(ROOF_B, gusset("roof_cross")),
    "roof-ends": one("{on: header, across: -450}", "{on: header, across: -400}"),
    "pillar-bend": one(PILLAR, PILLAR.replace(", {on", ", [840, -595, 700], {on"), "door-front"),
    "pillar-upper-end": one("back: 950}", "back: 900}"),
    "pillar-lower-end": one("{on: front_leg_left, up: 265}", "{on: front_leg_left, up: 300}"),
    "corner-tubes": one(
        "  seat_front: {role",
        "  corner: {role: cage reinforcement, tube: bar, path: "
        "[{on: front_leg_left, back: 700}, {on: header, across: 80}]}\n  seat_front: {role",
    ),
    "gusset-thickness": one(CORNER, CORNER.replace("1.5", "0.8")),
    "gusset-leg": one(CORNER, CORNER.replace("leg: 90", "leg: 85")),
    "diagonal-gussets": one(gusset("diagonal_cross"), ""),
    "roof-gussets": one(gusset("roof_cross"), ""),
    "doorbar-gussets": one(gusset("door_cross"), ""),
    "pillar-gussets": one(gusset("door_pillar_low"), ""),
    "screen-top": one("[982, -545, 1210], [982, 545, 1210]", "[982, -545, 1280], [982, 545, 1280]"),
    "screen-sides": one("path: [[430, -640, 740]", "path: [[430, -700, 740]"),
    "front-extent": one("[[420, -600, 400], [420, 600, 400]]", "[[520, -600, 400], [520, 600, 400]]"),
    "rear-extent": one("[[2400, -600, 400], [2400, 600, 400]]", "[[2310, -600, 400], [2310, 600, 400]]"),
    "welds": one(
        "path: [{on: roof_a, across: 0}, {on: header, across: -450}]",
        "path: [{on: roof_a, across: 0}, {on: header, across: -450}]\n    welds: {end: {open: top}}",
    ),
    "seat-points": one("    rear_right: {at: {on: seat_rear, across: -200}}\n", ""),
    "seat-tube": one("seat: {od: 35, wall: 2.5", "seat: {od: 30, wall: 2.5"),
    "seat-back": one("bottom: [1250, -330, 205]", "bottom: [1300, -330, 205]"),
    "door-front": one("[[590, -735, 260], [600, -735, 860]", "[[440, -735, 260], [450, -735, 860]"),
    "door-rear": one(
        "[1530, -620, 1180], [1555, -735, 860], [1520",
        "[1930, -620, 1180], [1955, -735, 860], [1920",
    ),
    "door-free": one(
        "[1300, -612, 1206], [1530, -620, 1180], [1555, -735, 860], [1520",
        "[1100, -612, 1206], [1130, -620, 1180], [1155, -735, 860], [1120",
    ),
}  # fmt: skip

NOT_BY_GEOMETRY: dict[str, str] = {
    **dict.fromkeys(("seamless", "carbon", "manganese", "other-elements"), "what the mill sheet says"),
    **dict.fromkeys(("ovality", "gusset-cut-out", "gusset-hole"), "read on the bench"),
    **dict.fromkeys(("seat-plate-area", "seat-plate-thickness"), "read on the bench"),
    "pillars": "without a reading of dimension A it is asked for, not broken",
    "one-piece": "two tubes butted end to end are no joint that a plan can have",
    "doorbar-cross": "a cross of four pieces, none whole, has no tube for the last to be cut on",
    "doorbar-pillar-gussets": "here the doorbars end on the pillar's reinforcement, not it on them",
    **dict.fromkeys(
        ("doorbar-front-straight", "doorbar-rear-straight", "doorbar-gap"), "of bent doorbars: see below"
    ),
}
"""Rows that no edit of this plan's geometry breaks, and why; each has its own cage in row_cases.py."""

BENT_DOORS = """  door_a_left:
    role: doorbar
    tube: bar
    mirror: door_a_right
    path: [{on: pillar_left, up: 330}, [1090, -690, 480], {on: main_hoop, side: left, up: 660}]
  door_b_left:
    role: doorbar
    tube: bar
    mirror: door_b_right
    path: [{on: pillar_left, up: 640}, [1090, -624, 500], {on: main_hoop, side: left, up: 330}]
"""
BENT = TEXT
for old, new in (
    (TEXT[TEXT.index("  door_a_left:") : TEXT.index("  seat_front: {role")], BENT_DOORS),
    (gusset("door_cross"), ""),
    ("[door_b_front_left, pillar_left]", "[door_b_left, pillar_left]"),
):
    BENT = BENT.replace(old, new)
BENT_BREAKS: dict[str, Break] = {
    "doorbar-front-straight": one("[1090, -690, 480]", "[840, -690, 410]"),
    "doorbar-rear-straight": one("[1090, -690, 480]", "[1420, -690, 570]"),
    "doorbar-gap": one("[1090, -690, 480]", "[1090, -710, 480]"),
}


@cache
def broken(text: str) -> frozenset[str]:
    """The rows that a plan breaks."""
    cage = resolve(read_plan_text(text, file="plan.yaml"))
    return frozenset(f.rule for f in check_books(cage, [BOOK]) if is_broken(f))


def is_broken(finding: Finding) -> bool:
    return finding.verdict in {"fail", "looks broken"}


def edited(text: str, edits: tuple[tuple[str, str], ...]) -> str:
    for before, after in edits:
        assert text.count(before) == 1, (before, text.count(before))
        text = text.replace(before, after)
    return text


@pytest.mark.parametrize("text", [TEXT, BENT], ids=["crossed", "bent"])
def test_the_plan_breaks_nothing(text: str):
    assert broken(text) == frozenset()


FEW = ("main-tube", "main-lean", "diagonals", "doorbar-height", "pillar-gussets", "screen-sides")
"""Rows of the fast stage, one of each kind; the slow stage breaks them all."""
EVERY = [
    *((TEXT, row, made) for row, made in BREAKS.items()),
    *((BENT, row, made) for row, made in BENT_BREAKS.items()),
]


@pytest.mark.parametrize(
    ("text", "row", "made"),
    [pytest.param(*case, id=case[1], marks=() if case[1] in FEW else pytest.mark.slow) for case in EVERY],
)
def test_one_broken_row_and_no_other(text: str, row: str, made: Break):
    assert broken(edited(text, made.edits)) == {row, *made.falls}


def test_no_row_is_forgotten():
    rows = {rule.id for rule in BOOK.rules}
    assert rows == {*BREAKS, *NOT_BY_GEOMETRY}
    assert not {*BREAKS} & {*NOT_BY_GEOMETRY}
    assert {*BENT_BREAKS} <= {*NOT_BY_GEOMETRY}
