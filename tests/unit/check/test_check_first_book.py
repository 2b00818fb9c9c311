"""The first book's rows that were read in the text, against the cases its figures make."""

import pytest
from cages import OWN_STEEL, cage, foot, hoop, simple_cage, tube

from cagewright.check.findings import Finding, any_failed, stamp, worst_first
from cagewright.check.judge import check_books
from cagewright.check.library import built_in

FIA = built_in("fia-253-2009")


def of(rule: str, findings: tuple[Finding, ...]) -> list[Finding]:
    return [f for f in findings if f.rule == rule]


# FIA Appendix J Art. 253-8.3.3 (2009 text, read where it is quoted): 45 x 2.5 or 50 x 2.0 mm main rollbar.
@pytest.mark.parametrize(
    ("od", "wall", "verdict"),
    [
        (45.0, 2.4, "fail"),
        (45.0, 2.5, "pass"),
        (50.0, 2.0, "pass"),
        (48.3, 2.0, "fail"),
        (44.45, 2.413, "pass"),
        (44.45, 2.40, "fail"),
    ],
)
def test_main_tube(od: float, wall: float, verdict: str):
    found = of("main-tube", check_books(cage(hoop(size=tube(od, wall))), [FIA]))
    assert [f.verdict for f in found] == [verdict]
    assert found[0].where.members == ("main_hoop",)
    assert ("45 x 2.5 mm" in found[0].advice) == (verdict == "fail")


# The same clause: bends of at least three diameters.
@pytest.mark.parametrize(
    ("clr", "verdict"), [(134.0, "fail"), (134.99, "fail"), (135.0, "pass"), (180.0, "pass")]
)
def test_bend_radius(clr: float, verdict: str):
    found = of("bend-radius", check_books(cage(hoop(clr=clr)), [FIA]))
    assert [f.verdict for f in found] == [verdict] * 2
    assert found[0].measured is not None
    assert found[0].measured.value == pytest.approx(clr / 45.0)


def test_a_near_miss_does_not_read_like_the_limit():
    found = of("bend-radius", check_books(cage(hoop(clr=134.99)), [FIA]))[0]
    assert found.measured is not None
    assert found.measured.said == "2.9998 x OD"
    assert found.limit == "at least 3 x OD"


# Mounting clause of the same article (read where it is quoted): 120 cm2 and 3 mm.
@pytest.mark.parametrize(
    ("plate", "area", "thickness"),
    [((100, 120, 3), "pass", "pass"), ((100, 119, 3), "fail", "pass"), ((100, 120, 2.9), "pass", "fail")],
)
def test_main_feet(plate: tuple[float, float, float], area: str, thickness: str):
    one = cage(hoop(), feet=[foot("f", (1600, -600, 200), "main_hoop", plate=plate)])
    found = check_books(one, [FIA])
    assert [f.verdict for f in of("main-foot-area", found)] == [area]
    assert [f.verdict for f in of("main-foot-thickness", found)] == [thickness]


# 8.3.3: yield of at least 350 N/mm2. E235+SR promises exactly 350 (EN 10305-1), E235+N 235.
@pytest.mark.parametrize(
    ("steel", "verdict"),
    [
        ("E235+SR", "pass"),
        ("E355+N", "pass"),
        ("E235+N", "fail"),
        ("E355+C", "cannot tell"),
        (OWN_STEEL, "pass"),
    ],
)
def test_yield(steel: str, verdict: str):
    found = of("yield", check_books(cage(hoop(size=tube(45, 2.5, steel))), [FIA]))
    assert [f.verdict for f in found] == [verdict]


def test_nothing_to_look_at_is_not_a_pass():
    found = check_books(cage(), [FIA])
    assert not {f.verdict for f in found} & {"pass", "looks kept"}


def test_grouping_and_stamp():
    found = check_books(simple_cage(), [FIA])
    bad = check_books(cage(hoop(clr=100.0)), [FIA])
    assert {f.rule for f in found if f.verdict == "fail"} == {
        "mounting-points",
        "base-structure",
        "diagonal-count",
    }
    assert any_failed(bad)
    assert worst_first(bad)[0].verdict == "fail"
    assert sum(f.verdict == "fail" and f.rule == "bend-radius" for f in bad) == 2
    assert stamp(bad).startswith("rule books: 5 fail, ")
    assert stamp(()) == "rule books: none checked; own checks: none checked"
