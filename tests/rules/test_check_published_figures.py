"""The books' figures against cases worked from the published texts themselves.

Each case names its source beside it. All were read in the text, or where it is quoted, unless it says
otherwise.
"""

import math

import pytest
from cages import IN, LB, bar, cage, foot, hoop, inch, simple_cage, tube
from row_cases import of_class

from cagewright.check.bench import Gauged
from cagewright.check.findings import Finding, Verdict
from cagewright.check.judge import check_books
from cagewright.check.library import built_in
from cagewright.check.read import parse_book
from cagewright.check.rules import Book
from cagewright.plan.types import BoltsEntry, Role
from cagewright.shape.types import Cage, Member
from cagewright.stock.steels import Steel
from cagewright.stock.tubes import Tube

SEAMLESS = Steel(
    name="seamless", yield_strength=400, tensile=500, forms=("seamless",), source="test", certainty="shop"
)
WELDED = Steel(
    name="welded", yield_strength=400, tensile=500, forms=("welded",), source="test", certainty="shop"
)


def verdicts(one: Cage, book: str, rule: str, bench: Gauged | None = None) -> set[Verdict]:
    return {f.verdict for f in found(one, book, rule, bench)}


def found(one: Cage, book: str, rule: str, bench: Gauged | None = None) -> list[Finding]:
    return [f for f in check_books(one, [built_in(book)], bench or Gauged()) if f.rule == rule]


def member(size: Tube, role: Role = "main rollbar", note: str = "") -> Member:
    return bar("m", role, (1600, -600, 200), (1600, -600, 1200), size=size, note=note)


def inertia_book(limit: int, allowance: str = "") -> Book:
    """A book of one row on the second moment of area."""
    text = f"""
        [book]
        id = "t"
        title = "t"
        edition = "t"
        source = "t"
        [[rule]]
        id = "i"
        clause = "1"
        title = "t"
        measure = "section inertia"
        members = "cage"
        at_least = {limit}
        certainty = "read"
        source = "t"
        {allowance}
    """
    return parse_book(text, "t")


# FIA Appendix J Art. 253-8.3.3 (2009): main rollbar 45 x 2.5 or 50 x 2.0 mm; other tubes 38 x 2.5 or 40 x
# 2.0 mm.
@pytest.mark.parametrize(
    ("role", "od", "wall", "verdict"),
    [
        ("main rollbar", 45, 2.4, "fail"),
        ("main rollbar", 45, 2.5, "pass"),
        ("main rollbar", 50, 2.0, "pass"),
        ("main rollbar", 48.3, 2.0, "fail"),
        ("lateral rollbar", 44, 3.0, "fail"),
        ("lateral half-rollbar", 38, 2.5, "pass"),
        ("doorbar", 40, 2.0, "pass"),
        ("doorbar", 38, 2.3, "fail"),
        ("seat mount", 20, 1.0, "does not apply"),
    ],
)
def test_fia_tubes(role: Role, od: float, wall: float, verdict: Verdict):
    rule = "main-tube" if role in {"main rollbar", "lateral rollbar"} else "other-tube"
    assert verdicts(cage(member(tube(od, wall), role)), "fia-253-2009", rule) == {verdict}


# The same clause writes 1.75 x 0.095 in beside 45 x 2.5 mm: 2.413 mm of wall is accepted as the book writes
# it.
def test_fia_inch_pair_as_written():
    assert verdicts(cage(member(inch(1.75, 0.095))), "fia-253-2009", "main-tube") == {"pass"}
    assert verdicts(cage(member(inch(1.75, 0.094))), "fia-253-2009", "main-tube") == {"fail"}


# Art. 253-8.3.3: centreline radius at least 3 x OD, least over greatest diameter at least 0.9.
@pytest.mark.parametrize("book", ["fia-253-2009", "uk-yearbook-k-2018"])
@pytest.mark.parametrize(("clr", "ratio", "radius", "oval"), [
    (134.0, 0.89, "fail", "fail"), (135.0, 0.90, "pass", "pass"), (135.0, None, "pass", "cannot tell"),
])  # fmt: skip
def test_bends(book: str, clr: float, ratio: float | None, radius: Verdict, oval: Verdict):
    bench = Gauged(readings={"ovality": {"main_hoop": ratio}}) if ratio else Gauged()
    assert verdicts(cage(hoop(clr=clr)), book, "bend-radius", bench) == {radius}
    assert verdicts(cage(hoop(clr=clr)), book, "ovality", bench) == {oval}


# Art. 253-8 mounting: 120 cm2 and 3 mm under the rollbars; UK yearbook's guide: 60 cm2 under the backstays.
def test_plates():
    feet = [
        foot("main", (1600, -600, 200), "main_hoop", plate=(100, 120, 3)),
        foot("stay", (2300, -440, 590), "stay_left", plate=(60, 100, 3)),
    ]
    one = simple_cage(feet=tuple(feet))
    assert verdicts(one, "fia-253-2009", "main-foot-area") == {"pass"}
    assert verdicts(one, "fia-253-2009", "main-foot-thickness") == {"pass"}
    assert verdicts(one, "uk-yearbook-k-2018", "backstay-foot-area") == {"pass"}
    assert verdicts(one, "uk-yearbook-k-2018", "foot-thickness") == {"pass"}
    short = [foot("stay", (2300, -440, 590), "stay_left", plate=(59, 100, 3))]
    assert verdicts(simple_cage(feet=tuple(short)), "uk-yearbook-k-2018", "backstay-foot-area") == {"fail"}


# UK yearbook Section K: 1.750 in x 12 swg and 2.000 in x 14 swg, gauges 2.64 and 2.03 mm (published gauge
# table).
@pytest.mark.parametrize(
    ("od", "wall", "verdict"), [(1.75 * IN, 2.64, "pass"), (1.75 * IN, 2.6, "fail"), (2.0 * IN, 2.03, "pass")]
)
def test_uk_gauge_sizes(od: float, wall: float, verdict: Verdict):
    assert verdicts(cage(member(tube(od, wall))), "uk-yearbook-k-2018", "main-tube") == {verdict}


# SCCA GCR 9.4 (2008-2010), weight with driver: the table's edges, and the rider (0.250 in over the least
# OD, 0.080 in).
@pytest.mark.parametrize(
    ("pounds", "od", "wall", "verdict"),
    [
        (1700, 1.375, 0.080, "pass"),
        (1701, 1.375, 0.080, "fail"),
        (2699, 1.500, 0.095, "pass"),
        (2699.5, 1.500, 0.095, "fail"),
        (2700, 1.500, 0.095, "fail"),
        (2700, 1.625, 0.120, "pass"),
        (2700, 1.750, 0.095, "pass"),
        (2000, 1.750, 0.080, "pass"),
        (2700, 1.875, 0.080, "pass"),
        (2700, 1.874, 0.080, "fail"),
        (2700, 1.875, 0.079, "fail"),
        (2000, 1.500, 0.083, "fail"),
        (2000, 1.625, 0.080, "pass"),
    ],
)
def test_scca_table_and_rider(pounds: float, od: float, wall: float, verdict: Verdict):
    one = of_class(cage(member(inch(od, wall)), mass=1000.0), pounds * LB)
    assert verdicts(one, "scca-gcr-9-4-2008", "tube") == {verdict}


# Where the listed weight is not in the plan it is anything up to what the car has with its driver: a tube
# enough for that passes, one too small for the lightest line fails, and between them it cannot be told.
@pytest.mark.parametrize(
    ("mass", "od", "wall", "verdict"),
    [
        (2699 * LB - 60.0, 1.500, 0.095, "cannot tell"),
        (2699 * LB - 60.0, 1.375, 0.080, "cannot tell"),
        (2699 * LB - 60.0, 1.375, 0.079, "fail"),
        (2699 * LB - 60.0, 1.750, 0.095, "pass"),
        (2699 * LB - 125.0, 1.500, 0.095, "pass"),
    ],
)
def test_scca_table_without_the_listed_weight(mass: float, od: float, wall: float, verdict: Verdict):
    one = found(cage(member(inch(od, wall)), mass=mass), "scca-gcr-9-4-2008", "tube")
    assert [f.verdict for f in one] == [verdict]
    assert "car: listed" in one[0].why


WITH_DRIVER = Book.model_copy(
    built_in("scca-gcr-9-4-2008"),
    update={
        "rule": tuple(
            rule.model_copy(update={"weight": "with driver"})
            for rule in built_in("scca-gcr-9-4-2008").rules
            if rule.id == "tube"
        )
    },
)
"""The same table, read as if it counted the driver on the scales."""


# The same table with a driver of unknown mass: 51.3 to 124.2 kg (ANSUR II, 5th percentile woman, 99th
# percentile man).
@pytest.mark.parametrize(
    ("mass", "od", "wall", "verdict"),
    [
        (2699 * LB - 50.0, 1.500, 0.095, "fail"),
        (2699 * LB - 60.0, 1.500, 0.095, "cannot tell"),
        (2699 * LB - 60.0, 1.750, 0.095, "pass"),
        (2699 * LB - 60.0, 1.375, 0.080, "fail"),
        (2699 * LB - 125.0, 1.500, 0.095, "pass"),
        (None, 1.500, 0.095, "cannot tell"),
        (None, 1.750, 0.120, "pass"),
        (None, 1.000, 0.065, "fail"),
    ],
)
def test_scca_table_with_a_driver_of_unknown_mass(
    mass: float | None, od: float, wall: float, verdict: Verdict
):
    one = check_books(cage(member(inch(od, wall)), mass=mass), [WITH_DRIVER])
    told = [f for f in one if f.rule == "tube"]
    assert [f.verdict for f in told] == [verdict]
    assert told[0].why


# SCCA late 1990s, weight without driver: mild / alloy, and showroom classes with electric-welded tube one
# size up.
@pytest.mark.parametrize(
    ("book", "pounds", "od", "wall", "steel", "verdict"),
    [
        ("scca-gcr-1990s", 2000, 1.375, 0.095, "4130+N", "pass"),
        ("scca-gcr-1990s", 2000, 1.375, 0.095, "A513-5 1020", "fail"),
        ("scca-gcr-1990s", 2000, 1.375, 0.095, SEAMLESS, "cannot tell"),
        ("scca-gcr-1990s", 2501, 1.500, 0.095, "4130+N", "pass"),
        ("scca-gcr-1990s", 2501, 1.500, 0.095, "A513-5 1020", "fail"),
        ("scca-showroom-1990s", 2200, 1.500, 0.095, SEAMLESS, "pass"),
        ("scca-showroom-1990s", 2200, 1.500, 0.095, WELDED, "fail"),
        ("scca-showroom-1990s", 2200, 1.500, 0.120, WELDED, "pass"),
        ("scca-showroom-1990s", 2200, 1.500, 0.095, "A513-5 1020", "pass"),
        ("scca-showroom-1990s", 2200, 1.500, 0.095, "E355+N", "cannot tell"),
        ("scca-showroom-1990s", 4000, 1.750, 0.120, WELDED, "fail"),
        ("scca-showroom-1990s", 4000, 1.750, 0.120, SEAMLESS, "pass"),
        ("scca-showroom-1990s", 4001, 2.000, 0.250, SEAMLESS, "cannot tell"),
    ],
)
def test_scca_late_1990s(
    book: str, pounds: float, od: float, wall: float, steel: str | Steel, verdict: Verdict
):
    one = cage(member(tube(od * IN, wall * IN, steel)), mass=pounds * LB)
    assert verdicts(one, book, "tube") == {verdict}


# SCCA GCR 9.4: braces within 6 in of the top and at least 30 deg included; a brace at 48 deg, axis at the
# hoop's top.
def test_scca_braces():
    assert verdicts(simple_cage(), "scca-gcr-9-4-2008", "brace-top") == {"pass"}
    assert verdicts(simple_cage(), "scca-gcr-9-4-2008", "brace-angle") == {"pass"}


# SCCA ProRally 5.6: ten square inches of plate for each inch of tube, smallest side twice the tube, 1/8 in
# thick.
@pytest.mark.parametrize(
    ("plate", "area", "side", "thickness"),
    [((3.5, 5.0, 0.125), "pass", "pass", "pass"), ((3.4, 5.0, 0.12), "fail", "fail", "fail")],
)
def test_prorally_plates(plate: tuple[float, ...], area: Verdict, side: Verdict, thickness: Verdict):
    stands = foot("f", (1600, -600, 200), "m", plate=tuple(IN * v for v in plate))  # type: ignore[arg-type]
    one = cage(member(inch(1.75, 0.095)), feet=[stands])
    assert verdicts(one, "scca-prorally", "plate-area") == {area}
    assert verdicts(one, "scca-prorally", "plate-side") == {side}
    assert verdicts(one, "scca-prorally", "plate-thickness") == {thickness}


# Formula SAE Rules 2024 F.3.4.1, hoops: I >= 11320 mm4, A >= 173 mm2, OD >= 25, wall >= 2.0; braces: 8509,
# 114, 25, 1.2.
# 25.4 x 1.6 mm has 8508.8 mm4: the rule's own example, 0.2 mm4 short, passes by the rounding allowance.
@pytest.mark.parametrize(
    ("letter", "role", "od", "wall", "verdict"),
    [
        ("a", "main rollbar", 25.0, 2.5, "pass"),
        ("a", "main rollbar", 1.0 * IN, 0.095 * IN, "pass"),
        ("a", "main rollbar", 25.0, 2.4, "fail"),
        ("a", "harness bar", 25.4, 1.6, "fail"),
        ("b", "backstay", 25.4, 1.6, "pass"),
        ("b", "backstay", 1.0 * IN, 0.065 * IN, "pass"),
        ("b", "doorbar", 25.4, 1.59, "fail"),
    ],
)
def test_fsae_sizes(letter: str, role: Role, od: float, wall: float, verdict: Verdict):
    one = cage(member(tube(od, wall), role))
    rows = [f"size-{letter}-{part}" for part in ("inertia", "area", "diameter", "wall")]
    seen = {v for row in rows for v in verdicts(one, "fsae-2024", row)}
    assert ("fail" if "fail" in seen else "pass") == verdict
    assert verdicts(one, "fsae-2024", f"size-{letter}-inertia") == {verdict}


# Second moments worked from pi/64 (D4 - d4) for the sizes the rule lists: 25 x 2.5 11320.8; 25.4 x 1.6
# 8508.8;
# 25.4 x 1.2 6695.0; 1.375 x 0.049 in 18698.8; 35 x 1.2 18219.6 mm4 (computed), against sizes A, B, C, D.
@pytest.mark.parametrize(
    ("od", "wall", "inertia", "limit"),
    [
        (25.0, 2.5, 11320.8, 11320),
        (25.4, 1.6, 8508.8, 8509),
        (25.4, 1.2, 6695.0, 6695),
        (1.375 * IN, 0.049 * IN, 18698.8, 18015),
        (35.0, 1.2, 18219.6, 18015),
    ],
)
def test_fsae_second_moments(od: float, wall: float, inertia: float, limit: int):
    one = cage(member(tube(od, wall)))
    (finding,) = check_books(one, [inertia_book(limit, 'allowance = "0.01 %"')])
    assert finding.verdict == "pass"
    assert finding.measured is not None
    assert finding.measured.value == pytest.approx(inertia, abs=0.06)
    (strict,) = check_books(one, [inertia_book(limit)])
    short = math.pi / 64 * (od**4 - (od - 2 * wall) ** 4) < limit * (1 - 1e-9)
    assert strict.verdict == ("fail" if short else "pass")


def test_a_near_miss_is_told_apart_from_its_limit():
    (finding,) = check_books(cage(member(tube(25.4, 1.6))), [inertia_book(8509)])
    assert finding.measured is not None
    assert (finding.verdict, finding.measured.said) == ("fail", "8508.8 mm⁴")


# Formula SAE F.5.8.3: less than 10 deg above the side impact tube; F.5.7.6 less than 20 deg.
@pytest.mark.parametrize(
    ("role", "rule", "degrees", "verdict"),
    [
        ("main rollbar", "main-hoop-lean", 9.9, "pass"),
        ("main rollbar", "main-hoop-lean", 10.0, "fail"),
        ("front rollbar", "front-hoop-lean", 19.9, "pass"),
        ("front rollbar", "front-hoop-lean", 20.0, "fail"),
    ],
)
def test_fsae_lean(role: Role, rule: str, degrees: float, verdict: Verdict):
    assert verdicts(cage(hoop(lean=math.radians(degrees), role=role)), "fsae-2024", rule) == {verdict}


def test_fsae_lean_counts_only_above_the_side_tube():
    left = [(1400, -600, 100), (1600, -600, 500), (1600, -600, 1200)]
    right = [(x, -y, z) for x, y, z in reversed(left)]
    kinked = bar("main_hoop", "main rollbar", *left, *right, clr=120.0)
    assert verdicts(cage(kinked), "fsae-2024", "main-hoop-lean") == {"fail"}
    side = bar("side", "doorbar", (1600, -600, 700), (600, -600, 700))
    assert verdicts(cage(kinked, side), "fsae-2024", "main-hoop-lean") == {"pass"}


# Drag 4.10: 1.75 x 0.118 in of mild steel or 0.083 in of 4130. 4.11: sizes by the drawing's code.
@pytest.mark.parametrize(
    ("od", "wall", "steel", "verdict"),
    [
        (1.75, 0.118, "A513-1 1020", "pass"),
        (1.75, 0.083, "A513-1 1020", "fail"),
        (1.75, 0.083, "4130+N", "pass"),
        (1.75, 0.083, WELDED, "cannot tell"),
    ],
)
def test_drag_roll_bar(od: float, wall: float, steel: str | Steel, verdict: Verdict):
    one = cage(member(tube(od * IN, wall * IN, steel)))
    assert verdicts(one, "us-drag-4-10-roll-bar", "tube") == {verdict}


@pytest.mark.parametrize(
    ("note", "od", "wall", "steel", "verdict"),
    [
        ("code A", 1.625, 0.118, "A513-1 1020", "pass"),
        ("code A", 1.625, 0.083, "4130+N", "pass"),
        ("code A", 1.500, 0.118, "A513-1 1020", "fail"),
        ("left, code B-1", 1.500, 0.058, "4130+N", "pass"),
        ("code B-2", 1.375, 0.049, "4130+N", "pass"),
        ("code B-3", 1.250, 0.118, "A513-1 1020", "pass"),
        ("code B-3", 1.250, 0.065, "A513-1 1020", "fail"),
        ("code C", 1.250, 0.065, "A513-1 1020", "pass"),
        ("code D", 1.250, 0.058, "A513-1 1020", "pass"),
        ("", 1.625, 0.118, "A513-1 1020", "pass"),
        ("", 1.500, 0.118, "A513-1 1020", "cannot tell"),
        ("", 1.250, 0.049, "A513-1 1020", "fail"),
    ],
)
def test_drag_codes(note: str, od: float, wall: float, steel: str, verdict: Verdict):
    one = cage(member(tube(od * IN, wall * IN, steel), note=note))
    assert verdicts(one, "us-drag-4-11-roll-cage", "tube") == {verdict}


# Speedway Sedans Australia: 38 x 3.0 mm, AS 1163, never read under 2.7 mm (AS 1163 allows 10 % under:
# exactly 2.7).
@pytest.mark.parametrize(
    ("wall", "read", "verdict"),
    [
        (3.0, None, "cannot tell"),
        (3.0, 2.70, "pass"),
        (3.0, 2.69, "fail"),
        (2.5, None, "cannot tell"),
        (2.4, None, "fail"),
    ],
)
def test_speedway_wall(wall: float, read: float | None, verdict: Verdict):
    bench = Gauged(readings={"wall": {"t": read}}) if read else Gauged()
    one = cage(member(tube(38.0, wall, "C350L0")))
    assert verdicts(one, "au-speedway-sedans", "wall", bench) == {verdict}
    assert verdicts(one, "au-speedway-sedans", "steel") == {"pass"}


# SCCA Showroom Stock 1994 (restated): 0.080 in welded, 3/16 in bolted; without bolts in the plan, unknown
# between.
@pytest.mark.parametrize(
    ("thickness", "bolts", "welded", "bolted"),
    [
        (2.0, None, "fail", "cannot tell"),
        (3.0, None, "looks kept", "cannot tell"),
        (5.0, None, "looks kept", "looks kept"),
        (3.0, BoltsEntry(count=3, size=10), "does not apply", "fail"),
        (5.0, BoltsEntry(count=3, size=10), "does not apply", "looks kept"),
    ],
)
def test_welded_and_bolted_plates(
    thickness: float, bolts: BoltsEntry | None, welded: Verdict, bolted: Verdict
):
    one = cage(
        member(tube()), feet=[foot("f", (1600, -600, 200), "m", plate=(130, 110, thickness), bolts=bolts)]
    )
    assert verdicts(one, "scca-showroom-stock-1994", "plate-welded") == {welded}
    assert verdicts(one, "scca-showroom-stock-1994", "plate-bolted") == {bolted}


def test_bolts_that_are_not_stated_are_never_a_pass():
    one = cage(member(tube()), feet=[foot("f", (1600, -600, 200), "m")])
    assert verdicts(one, "fia-253-2009", "main-foot-bolts") == {"cannot tell"}
    three = BoltsEntry(count=3, size=8)
    stated = cage(member(tube()), feet=[foot("f", (1600, -600, 200), "m", bolts=three)])
    assert verdicts(stated, "fia-253-2009", "main-foot-bolts") == {"pass"}
    two = BoltsEntry(count=2, size=8)
    short = cage(member(tube()), feet=[foot("f", (1600, -600, 200), "m", bolts=two)])
    assert verdicts(short, "fia-253-2009", "main-foot-bolts") == {"fail"}


# FIA Art. 253-8.3.3: E355+N promises 355 MPa and E235+SR exactly 350 (EN 10305-1, read): both pass; A513-5
# 1015 has 345.
@pytest.mark.parametrize(
    ("steel", "verdict"),
    [("E355+N", "pass"), ("E235+SR", "pass"), ("A513-5 1015", "fail"), ("4130+N", "pass")],
)
def test_fia_yield(steel: str, verdict: Verdict):
    assert verdicts(cage(member(tube(45, 2.5, steel))), "fia-253-2009", "yield") == {verdict}
