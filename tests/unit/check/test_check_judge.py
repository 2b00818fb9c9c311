"""From rows and measured values to findings: verdicts, words, folding, and what is never a pass."""

import math
from dataclasses import replace

import pytest
from cages import IN, LB, OWN_STEEL, bar, cage, foot, hoop, simple_cage, tube
from hypothesis import given
from hypothesis import strategies as st

from cagewright.base.answers import Value
from cagewright.check.bench import Gauged, reading
from cagewright.check.findings import (
    UNREAD,
    Finding,
    Location,
    any_failed,
    stamp,
    tally,
    verdict_of,
    worst_first,
)
from cagewright.check.judge import check_books, folded, say_bounds, within
from cagewright.check.read import parse_book
from cagewright.check.rules import Allowance, Book, BoundKind, LimitSide
from cagewright.check.said import say
from cagewright.shape.types import Cage


def book(*rows: str, head: str = "") -> Book:
    """A book of rows, each given its id, clause and source."""
    text = '[book]\nid = "t"\ntitle = "t"\nedition = "1"\nsource = "s"\n' + head
    for number, row in enumerate(rows):
        kind = "" if "certainty" in row else 'certainty = "read"\n'
        text += f'\n[[rule]]\nid = "r{number}"\nclause = "{number}"\ntitle = "t"\nsource = "s"\n{kind}{row}\n'
    return parse_book(text, "t.toml")


def findings(one: Cage, *rows: str, head: str = "", bench: Gauged | None = None) -> tuple[Finding, ...]:
    return check_books(one, [book(*rows, head=head)], bench or Gauged())


BENDS = 'measure = "bend radius"\nmembers = "cage"\nat_least = 3'


@pytest.mark.parametrize(
    ("kind", "low", "high", "holds"),
    [
        ("at_least", 3.0, 3.0, True),
        ("at_least", 2.999, 2.999, False),
        ("more_than", 3.0, 3.0, False),
        ("more_than", 3.001, 3.001, True),
        ("at_most", 3.0, 3.0, True),
        ("at_most", 3.001, 3.001, False),
        ("less_than", 3.0, 3.0, False),
        ("less_than", 2.999, 2.999, True),
        ("at_least", 2.0, 4.0, None),
        ("at_least", 3.0, math.inf, True),
        ("at_most", 2.0, math.inf, None),
    ],
)
def test_bounds(kind: BoundKind, low: float, high: float, holds: bool | None):
    assert within(low, high, LimitSide(kind=kind, value=3.0, text="3"), Allowance()) is holds


def test_the_allowance_is_a_share_or_an_amount():
    least = LimitSide(kind="at_least", value=100.0, text="100 mm")
    assert within(99.0, 99.0, least, Allowance(share=0.01)) is True
    assert within(98.9, 98.9, least, Allowance(share=0.01)) is False
    assert within(98.0, 98.0, least, Allowance(amount=2.0)) is True
    row = 'measure = "legs apart"\nmembers = "cage"\nat_least = "1157 mm"\nallowance = "2 mm"'
    assert [f.verdict for f in findings(cage(hoop()), row)] == ["pass"]  # 1200 less a 45 mm tube is 1155 mm


@given(
    st.floats(-1e4, 1e4), st.floats(0, 1e4), st.floats(-1e4, 1e4),
    st.sampled_from(["at_least", "at_most", "more_than", "less_than"]),
)  # fmt: skip
def test_a_span_is_told_only_where_both_ends_agree(low: float, wide: float, limit: float, kind: BoundKind):
    bound = LimitSide(kind=kind, value=limit, text="x")
    ends = {within(v, v, bound, Allowance()) for v in (low, low + wide)}
    assert within(low, low + wide, bound, Allowance()) is (ends.pop() if len(ends) == 1 else None)


def test_a_range_needs_both_its_bounds():
    row = 'measure = "legs apart"\nmembers = "cage"\nat_least = "1100 mm"\nat_most = "1200 mm"'
    told = {half: findings(cage(hoop(half=half)), row)[0] for half in (560.0, 600.0, 640.0)}
    assert [f.verdict for f in told.values()] == ["fail", "pass", "fail"]
    assert "25.0 mm further apart" in told[560.0].advice
    assert "35.0 mm closer together" in told[640.0].advice


def test_a_limit_from_memory_warns_and_never_judges():
    row = f'{BENDS}\ncertainty = "memory"'
    (good,) = findings(cage(hoop(clr=150.0)), row)
    bad = findings(cage(hoop(clr=100.0)), row)
    assert (good.judge, good.verdict, good.known) == ("by the book", "looks kept", "remembered")
    assert UNREAD in good.why
    assert [f.verdict for f in bad] == ["looks broken"] * 2
    assert UNREAD in bad[0].why
    assert not any_failed(bad)


def test_a_figure_restated_once_fails_what_breaks_it_and_passes_nothing():
    row = f'{BENDS}\ncertainty = "second-hand"'
    (good,) = findings(cage(hoop(clr=150.0)), row)
    assert (good.verdict, good.known, good.why) == ("looks kept", "restated once", "one restatement")
    bad = findings(cage(hoop(clr=100.0)), row)
    assert {(f.verdict, f.why) for f in bad} == {("fail", "restated once, not read")}
    assert any_failed(bad)
    with pytest.raises(ValueError, match="restated once"):
        replace(good, verdict="pass")


def test_a_second_source_makes_it_pass():
    row = f'{BENDS}\ncertainty = "second-hand"\nconfirmed = "another source"'
    good = findings(cage(hoop(clr=150.0)), row)
    assert {(f.verdict, f.known, f.why) for f in good} == {("pass", "restated", "")}


@pytest.mark.parametrize(
    ("applies", "built", "logbook", "verdict"),
    [
        ('{from = "2007-01-01"}', "2007", None, "pass"),
        ('{from = "2007-01-01"}', "2006-12-31", None, "does not apply"),
        ('{from = "2007-06-01"}', "2007", None, "cannot tell"),
        ('{from = "2007-06"}', "2007-06-01", None, "pass"),
        ("{from = 2007-01-01}", None, None, "cannot tell"),
        ('{until = "2006"}', "2006-12-31", None, "pass"),
        ('{until = "2006"}', "2007-01-01", None, "does not apply"),
        ('{from = "2002-01-01", until = "2006-12-31"}', "2004", None, "pass"),
        ('{from = "2002-01-01", until = "2006-12-31"}', "2001", None, "does not apply"),
        # a log book is no earlier than the cage, so either date bounds the other
        ('{from = "2007-01-01"}', None, "2006", "does not apply"),
        ('{from = "2007-01-01"}', None, "2010", "cannot tell"),
        ('{until = "2010"}', None, "2010", "pass"),
        ('{from = "2009-01-01", by = "logbook"}', "2009", None, "pass"),
        ('{from = "2009-01-01", by = "logbook"}', "2005", None, "cannot tell"),
        ('{from = "2009-01-01", by = "logbook"}', "2005", "2008", "does not apply"),
        ('{until = "2008", by = "logbook"}', "2005", "2008-02", "pass"),
    ],
)
def test_for_cars_of_which_dates(applies: str, built: str | None, logbook: str | None, verdict: str):
    one = dated(cage(hoop(clr=150.0)), built, logbook)
    for told in (
        findings(one, f"{BENDS}\napplies = {applies}"),
        findings(one, BENDS, head=f"applies = {applies}\n"),
    ):
        assert {f.verdict for f in told} == {verdict}
        assert all(f.why and (f.advice or verdict != "cannot tell") for f in told if verdict != "pass")


def dated(one: Cage, built: str | None = None, logbook: str | None = None) -> Cage:
    assert one.car is not None
    return replace(one, car=one.car.model_copy(update={"built": built, "logbook": logbook}))


def test_a_row_that_does_not_apply_says_why():
    one = dated(cage(hoop()), built="2005-03")
    (told,) = findings(one, f'{BENDS}\napplies = {{from = "2007-01-01"}}')
    assert told.why == "for cars built from 1 January 2007; this one was built 2005-03"
    (heavy,) = findings(one, f'{BENDS}\napplies = {{weight_to = "1000 kg"}}')
    assert heavy.why == "for cars to 1000 kg; this one has 1080 kg"
    (other,) = findings(one, f'{BENDS}\napplies = {{body = ["open"]}}')
    assert other.why == "for cars called open; this one is 'two-door saloon'"


@pytest.mark.parametrize(
    ("built", "told"),
    [("2019", []), ("2020-05", ["this one was built 2020-05"]), (None, ["the plan does not say"])],
)
def test_a_plan_with_an_old_book_is_told_of_the_newer(built: str | None, told: list[str]):
    head = 'newer = { book = "t-2020", from = "2020-01-01" }\n'
    found = findings(dated(cage(hoop(clr=150.0)), built), BENDS, head=head)
    newer = [f for f in found if f.rule == "newer-edition"]
    assert [f.why.startswith(words) for f, words in zip(newer, told, strict=True)] == [True] * len(told)
    assert all(f.advice.startswith("name t-2020 in car: rules") and f.verdict == "look at" for f in newer)
    assert {f.verdict for f in found if f.rule == "r0"} == {"pass"}  # the book named judges all the same


def test_what_cannot_be_told_for_one_reason_is_one_finding():
    one = cage(hoop(), bar("stay", "backstay", (1600, -440, 1235), (2000, -440, 900), (2300, -440, 590)))
    (ovality,) = findings(one, 'measure = "ovality"\nmembers = "cage"\nat_least = 0.9')
    assert ovality.where.members == ("main_hoop", "stay")
    assert ovality.measured is None
    half = findings(
        one,
        'measure = "ovality"\nmembers = "cage"\nat_least = 0.9',
        bench=Gauged(readings={"ovality": {"stay": 0.8}}),
    )
    assert [(f.verdict, f.where.members) for f in half] == [
        ("cannot tell", ("main_hoop",)),
        ("fail", ("stay",)),
    ]


def test_folding_keeps_every_name_and_the_span_measured():
    row = 'measure = "angle from vertical"\nmembers = ["backstay"]\nat_least = "30 deg"\ncertainty = "memory"'
    stays = [bar(f"s{i}", "backstay", (1600, i, 1235), (1600 + 500 + 100 * i, i, 535)) for i in range(3)]
    (one,) = findings(cage(*stays), row)
    assert one.where.members == ("s0", "s1", "s2")
    assert one.measured is not None
    assert one.measured.said == "35.5° to 45.0°"
    assert folded(()) == ()


def test_figures_that_say_what_they_are_of_stand_each_by_itself():
    kept = Finding(
        rule="r", judge="by the book", book="b", title="t", verdict="looks kept", known="remembered",
        measured=Value(value=237.2, unit="mm", said="outer belt: 237.2 mm"),
    )  # fmt: skip
    for other in (237.2, 240.0):
        said = f"inner belt: {other} mm"
        (one,) = folded((kept, replace(kept, measured=Value(value=other, unit="mm", said=said))))
        assert one.measured is not None
        assert one.measured.said == f"outer belt: 237.2 mm; {said}"


@pytest.mark.parametrize(
    ("applies", "body", "mass", "verdict"),
    [
        ('{body = ["saloon"]}', "Two-door Saloon", 1080.0, "pass"),
        ('{body = ["saloon"]}', "open single-seater", 1080.0, "does not apply"),
        ('{body = ["saloon"]}', "", 1080.0, "cannot tell"),
        ('{weight_to = "1000 kg"}', "x", 1000.0, "pass"),
        ('{weight_to = "1000 kg"}', "x", 1001.0, "does not apply"),
        ('{weight_from = "1001 kg"}', "x", 1001.0, "pass"),
        ('{weight_from = "1001 kg"}', "x", 1000.0, "does not apply"),
        ('{weight_from = "1001 kg"}', "x", None, "cannot tell"),
    ],
)
def test_to_which_cars_a_row_or_a_book_applies(applies: str, body: str, mass: float | None, verdict: str):
    one = cage(hoop(clr=150.0), body=body, mass=mass)
    assert {f.verdict for f in findings(one, f"{BENDS}\napplies = {applies}")} == {verdict}
    assert {f.verdict for f in findings(one, BENDS, head=f"applies = {applies}\n")} == {verdict}


def test_a_fail_that_may_not_apply_is_not_a_fail():
    one = cage(hoop(clr=100.0), mass=None)
    told = findings(one, f'{BENDS}\napplies = {{weight_to = "1000 kg"}}')
    assert {f.verdict for f in told} == {"cannot tell"}
    assert all("the plan does not say the car's mass" in f.why for f in told)
    assert all(f.advice.startswith("say car: mass") for f in told)


def test_nothing_to_look_at():
    (one,) = findings(cage(hoop()), 'measure = "straight"\nmembers = ["backstay"]')
    assert (one.verdict, one.measured, one.where) == ("does not apply", None, Location())


def test_a_row_may_want_a_no():
    row = 'measure = "straight"\nmembers = "cage"\nmust_be = "no"'
    assert [f.verdict for f in findings(cage(hoop()), row)] == ["pass"]
    stay = bar("s", "backstay", (0, 0, 0), (500, 0, 500))
    assert [(f.verdict, f.limit) for f in findings(cage(stay), row)] == [("fail", "no")]


def test_the_limit_is_said_in_the_books_unit_and_the_builders():
    plate = 'measure = "foot plate thickness"\nfeet_of = "cage"\nat_least = "3/16 in"'
    one = cage(hoop(), feet=[foot("f", (1600, -600, 200), "main_hoop")])
    (told,) = findings(one, plate)
    assert told.limit == "at least 3/16 in (4.76 mm)"
    assert told.measured is not None
    assert told.measured.said == "3.00 mm"
    assert told.advice == "make the plate at foot f 1.76 mm thicker"
    (inches,) = findings(replace(one, units="in"), plate.replace("3/16 in", "4 mm"))
    assert inches.limit == 'at least 4 mm (0.157")'
    assert inches.measured is not None
    assert inches.measured.said == '0.118"'


def test_lengths_are_said_on_the_builders_tape():
    row = 'measure = "legs apart"\nmembers = "cage"\nat_least = "1500 mm"'
    (told,) = findings(replace(cage(hoop()), units="in"), row)
    assert told.measured is not None
    assert told.measured.said == '45 15/32"'
    assert told.measured.value == pytest.approx(1155.0)
    assert told.measured.unit == "mm"


@pytest.mark.parametrize(
    ("sort", "value", "units", "limit", "text"),
    [
        ("fine", 2.413, "in", None, '0.095"'),
        ("fine", 2.5, "mm", None, "2.50 mm"),
        ("area", 12000.0, "mm", None, "120.0 cm²"),
        ("area", 36 * IN**2, "in", None, "36.0 in²"),
        ("stress", 350.0, "mm", None, "350 MPa"),
        ("stress", 379.2, "in", None, "55.0 ksi"),
        ("mass", 1080.0, "mm", None, "1080 kg"),
        ("mass", 2699 * LB, "in", None, "2699 lb"),
        ("ods", 2.99999, "mm", 3.0, "2.99999 x OD"),
        ("length", 99.96, "mm", 100.0, "99.96 mm"),
        ("length", 10 * IN - 0.001, "in", 10 * IN, '9.99996"'),
        ("count", 2.0, "mm", 3.0, "2"),
        ("ratio", math.inf, "mm", None, "any amount"),
    ],
)
def test_words_for_amounts(sort: str, value: float, units: str, limit: float | None, text: str):
    assert say(sort, value, units, apart_from=limit) == text  # type: ignore[arg-type]


@given(st.floats(0.01, 1e5), st.floats(1e-5, 0.1), st.sampled_from(["mm", "in"]))
def test_a_miss_never_reads_like_its_limit(limit: float, share: float, units: str):
    value = limit * (1.0 - share)
    for sort in ("length", "fine", "ods", "stress"):
        assert say(sort, value, units, apart_from=limit) != say(sort, limit, units)  # type: ignore[arg-type]


def test_both_bounds_are_said():
    least, most = LimitSide(kind="at_least", value=2, text="2"), LimitSide(kind="at_most", value=4, text="4")
    assert say_bounds((least, most), "ods") == "at least 2 x OD and at most 4 x OD"


def test_the_measured_value_stays_in_inside_units():
    rows = (
        'measure = "foot contact area"\nfeet_of = "cage"\nat_least = "9 in2"',
        'measure = "angle from vertical"\nmembers = ["backstay"]\nat_least = "30 deg"',
    )
    area, *angles = findings(simple_cage(), *rows)[3:]
    assert area.measured is not None
    assert (area.measured.value, area.measured.unit) == (8000.0, "mm2")
    assert angles[0].measured is not None
    assert angles[0].measured.unit == "deg"
    assert angles[0].measured.value == pytest.approx(math.degrees(math.atan2(700, 645)))


def test_findings_name_the_place():
    (first, second) = findings(cage(hoop(clr=100.0)), BENDS)
    assert str(first.where) == "main_hoop (bend 1)"
    assert second.where.point == pytest.approx((1600.0, 600.0, 1235.0))
    assert "main_hoop (bend 2)" in second.advice
    assert str(Location(members=("a", "b"))) == "a, b"
    assert str(Location(feet=("f",), members=("a",))) == "foot f"
    assert str(Location()) == "the cage"


def test_groups_put_the_worst_first():
    found = findings(
        cage(hoop(clr=100.0), bar("s", "backstay", (0, 0, 0), (500, 0, 500))),
        'measure = "straight"\nmembers = ["backstay"]',
        'measure = "ovality"\nmembers = "cage"\nat_least = 0.9',
        BENDS,
        'measure = "bends"\nmembers = "cage"\nat_most = 1\ncertainty = "memory"',
    )  # fmt: skip
    assert [f.verdict for f in worst_first(found)] == [
        "fail",
        "fail",
        "looks broken",
        "cannot tell",
        "looks kept",
        "pass",
    ]
    counts = tally(found)
    assert counts["by the book"]["fail"] == 2
    assert not any(counts["own check"].values())
    assert stamp(found) == "rule books: 2 fail, 1 looks broken, 1 you must supply; own checks: none checked"


def test_rule_books_and_own_checks_are_counted_apart():
    (row,) = findings(cage(hoop()), 'measure = "straight"\nmembers = ["main rollbar"]\nmust_be = "no"')
    own = [replace(row, judge="own check", verdict=v) for v in ("fail", "look at", "pass")]
    assert stamp([row, *own]) == "rule books: 0 fail; own checks: 1 problem, 1 to look at"
    assert tally([row, *own])["by the book"]["pass"] == tally([row, *own])["own check"]["pass"] == 1


@pytest.mark.parametrize(
    ("kept", "judge", "known", "verdict"),
    [
        (True, "by the book", "read", "pass"),
        (True, "by the book", "restated", "pass"),
        (False, "by the book", "restated", "fail"),
        (True, "by the book", "restated once", "looks kept"),
        (False, "by the book", "restated once", "fail"),
        (None, "by the book", "restated once", "cannot tell"),
        (False, "own check", "computed", "fail"),
        (True, "by the book", "remembered", "looks kept"),
        (False, "by the book", "remembered", "looks broken"),
        (True, "own check", "remembered", "looks kept"),
        (False, "own check", "remembered", "look at"),
        (None, "by the book", "read", "cannot tell"),
        (None, "own check", "remembered", "cannot tell"),
    ],
)
def test_a_verdict_goes_as_far_as_its_source(kept, judge, known, verdict):
    assert verdict_of(kept, judge, known) == verdict


@pytest.mark.parametrize("verdict", ["pass", "fail"])
def test_no_finding_passes_or_fails_by_a_figure_from_memory(verdict):
    (row,) = findings(cage(hoop(clr=150.0)), f'{BENDS}\ncertainty = "memory"')
    with pytest.raises(ValueError, match="from memory"):
        replace(row, verdict=verdict)


def test_a_plans_own_steel_judges_by_what_it_states():
    row = 'measure = "yield strength"\nmembers = "cage"\nat_least = "350 MPa"'
    assert [f.verdict for f in findings(cage(hoop(size=tube(steel=OWN_STEEL))), row)] == ["pass"]


def test_the_bench_measures_only_what_it_knows():
    with pytest.raises(ValueError, match="smell"):
        Gauged(readings={"smell": {}})
    with pytest.raises(KeyError):
        reading(Gauged(), "smell", "a")
    bench = Gauged(readings={"wall": {"bar": 2.4, "m": 2.5}})
    assert reading(bench, "wall", "m", "bar") == 2.5
    assert reading(bench, "wall", "x", "bar") == 2.4
    assert reading(bench, "wall", "x") is None


ROUND = 'measure = "welds all round"\njoints_of = "cage"'


def braced() -> Cage:
    stays = [bar(f"s{i}", "backstay", (1600, 300 * i, 1235), (2300, 300 * i, 590)) for i in (-1, 1)]
    return cage(hoop(), *stays)


def test_a_weld_stated_open_is_not_welded_all_round():
    one = braced()
    stay = one.members[1]
    left = (replace(stay.ends[0], open=((0.0, 0.5),)), stay.ends[1])
    opened = replace(one, members=(one.members[0], replace(stay, ends=left), one.members[2]))
    found = {f.where.joints: f for f in findings(opened, ROUND)}
    assert found["s-1.start",].verdict == "fail"
    assert "take 'open' off its weld" in found["s-1.start",].advice
    assert found["s1.start",].verdict == "cannot tell"
    # looked at on the bench, the plan's own word still counts
    seen = Gauged(readings={"welds all round": {"s-1.start": True, "s1.start": True}})
    assert [f.verdict for f in findings(opened, ROUND, bench=seen)] == ["fail", "pass"]


def test_a_weld_that_no_torch_gets_round_is_named_until_it_is_looked_at():
    bench = Gauged(unreached={"s1.start": "weld it before the roof goes in"})
    told = {f.where.joints: f for f in findings(braced(), ROUND, bench=bench)}
    assert told["s1.start",].verdict == "cannot tell"
    assert told["s1.start",].why.startswith("no torch gets all round it as planned")
    assert told["s1.start",].advice == "weld it before the roof goes in"
    assert "torch" not in told["s-1.start",].why
    seen = replace(bench, readings={"welds all round": {"s1.start": True}})
    assert {f.where.joints: f.verdict for f in findings(braced(), ROUND, bench=seen)}["s1.start",] == "pass"
