"""A rail welded to the shell along its length is no foot: no row that asks for feet is told by it."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

import pytest
from cages import bar, cage, foot, hoop
from test_check_judge import findings

from cagewright.check.bench import NOT_MEASURED
from cagewright.check.findings import Finding
from cagewright.check.judge import judge
from cagewright.check.library import book_ids, built_in
from cagewright.check.on_rails import ASK, NO_PLATE
from cagewright.check.vocabulary import MEASURES
from cagewright.job.findings import book_findings
from cagewright.job.opening import open_job
from cagewright.plan.types import Role
from cagewright.shape.types import Cage, Foot, Member, WeldRun

EXAMPLE = Path(__file__).parents[3] / "examples" / "rails" / "marlbeck-rails.yaml"
POINTS = 'measure = "mounting points"\nfeet_of = "cage"\n'
NEAR = 'measure = "end distance"\nmembers = ["diagonal"]\nend = "lower"\nnear = "foot"\nat_most = "100 mm"'
BOTH = 'measure = "both ends on feet"\nmembers = ["main rollbar"]'


def rail(name: str, y: float, *, held: bool = True) -> Member:
    made = bar(name, "sill bar", (1000, y, 200), (2000, y, 200))
    return replace(made, runs=(WeldRun(start=0.0, stop=40.0, seat="sill"),) if held else ())


def railed(*more: Member, role: Role = "main rollbar", feet: Sequence[Foot] = (), held: bool = True) -> Cage:
    """A hoop whose legs stand on two rails."""
    rails = [rail("rail_left", -600, held=held), rail("rail_right", 600, held=held)]
    return cage(hoop(role=role), *rails, *more, feet=feet)


def said(found: Sequence[Finding]) -> list[tuple[str, tuple[str, ...], str]]:
    return [(f.verdict, f.where.members, f.advice) for f in found]


ON_BOTH = [("cannot tell", ("rail_left", "rail_right"), ASK)]


def test_no_row_that_asks_for_feet_is_told_by_a_rail():
    """Every built-in row with ``feet_of``, each with a hoop of the first role that it asks for."""
    asked = Counter[str]()
    for book in map(built_in, book_ids()):
        for rule in (r for r in book.rules if r.feet_of):
            found = judge(railed(role=rule.feet_of[0]), book, rule, NOT_MEASURED)
            told = [f for f in found if f.verdict != "does not apply"]
            assert {f.verdict for f in told} <= {"cannot tell"}, (book.id, rule.id, found)
            assert all(NO_PLATE in f.why for f in told)
            asked[rule.measure] += bool(told)
    assert asked.total() > 40
    assert asked.keys() >= {"mounting points", "foot contact area", "foot plate thickness", "foot bolts"}


def test_every_measure_of_feet_is_one_of_these():
    """What is by foot goes through the judge; what counts feet says it itself."""
    of_feet = {m.name for m in MEASURES.values() if "feet_of" in m.needs}
    assert of_feet - {m.name for m in MEASURES.values() if m.per == "foot"} == {"mounting points"}


def test_feet_with_plates_are_judged_beside_the_rails():
    stay = bar("stay", "backstay", (1600, 0, 1235), (2300, 0, 590))
    plate = 'measure = "foot plate thickness"\nfeet_of = "cage"\nat_least = "4 mm"'
    one = railed(stay, feet=[foot("f", (2300, 0, 590), "stay")])
    assert [(f.verdict, f.where.feet or f.where.members) for f in findings(one, plate)] == [
        ("fail", ("f",)), ("cannot tell", ("rail_left", "rail_right")),
    ]  # fmt: skip
    stays = plate.replace('"cage"', '["backstay"]')
    assert [f.verdict for f in findings(one, stays)] == ["fail"]  # the stay stands on no rail


def test_points_are_counted_from_the_feet_up():
    feet = [foot(f"f{i}", (1000 + i, 0, 0), "main_hoop") for i in range(6)]
    assert said(findings(railed(feet=feet[:2]), POINTS + "at_least = 6")) == ON_BOTH
    assert said(findings(railed(feet=feet), POINTS + "at_most = 12")) == ON_BOTH
    assert [f.verdict for f in findings(railed(feet=feet), POINTS + "at_least = 6")] == ["pass"]
    assert [f.verdict for f in findings(railed(feet=feet), POINTS + "at_most = 5")] == ["fail"]
    assert [f.verdict for f in findings(railed(feet=feet[:2], held=False), POINTS + "at_least = 6")] == [
        "fail"
    ]


@pytest.mark.parametrize(("low", "verdict"), [((1600, -560, 200), "cannot tell"), ((1600, 0, 200), "fail")])
def test_an_end_near_a_rail_may_be_near_a_foot(low: tuple[float, float, float], verdict: str):
    stay = bar("stay", "backstay", (1600, 0, 1235), (2300, 0, 590))
    one = railed(bar("d", "diagonal", low, (1600, 400, 1235)), stay, feet=[foot("f", (2300, 0, 590), "stay")])
    (found,) = findings(one, NEAR)
    assert found.verdict == verdict
    assert NO_PLATE in found.why


def test_a_leg_on_a_rail_may_stand_on_a_foot_and_one_in_the_air_does_not():
    assert said(findings(railed(), BOTH)) == [("cannot tell", ("main_hoop",), ASK)]
    assert [f.verdict for f in findings(railed(held=False), BOTH)] == ["fail"]
    half = cage(hoop(), rail("rail_left", -600))
    assert [f.verdict for f in findings(half, BOTH)] == ["fail"]


def test_the_example_on_rails_asks_the_scrutineer():
    found = book_findings(open_job(EXAMPLE)).rows
    (points,) = [row for row in found if row.rule == "mounting-points"]
    assert (points.verdict, points.advice) == ("cannot tell", ASK)
    assert not [row.words for row in found if row.verdict == "fail"]
