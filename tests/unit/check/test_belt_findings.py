"""Findings on the harness: what wins, what cannot be told, what to do, and what the demo says."""

import math
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from aboard import changed
from cagewright.base.problems import ProblemsFound
from cagewright.base.vectors import dot, length
from cagewright.check.belts.findings import belts_findings, seat_word
from cagewright.check.belts.harness import BeltRun, body_of, leaving, runs_of
from cagewright.check.belts.limits import ALWAYS, limits, loads, read_tables, standards
from cagewright.check.belts.measures import MEASURES, lap_angle
from cagewright.check.findings import Finding
from cagewright.plan.read import read_plan, read_plan_text
from cagewright.plan.types import SheetEntry
from cagewright.shape.resolve import resolve
from cagewright.shape.types import Cage, Seating
from cagewright.stock.bolts import bolt_named, grade_named
from seated import (
    BAR,
    HARNESS_BAR,
    HIP,
    SHOULDER,
    driver,
    lap_at,
    mount,
    seated,
    shoulder_at,
    six,
)

DEMO = Path(__file__).parents[3] / "examples" / "brackwater.yaml"


def runs_in(cage: Cage) -> tuple[BeltRun, ...]:
    """The belts of the one who sits in the cage."""
    return runs_of(cage, cage.people[0])


def of(rule: str, findings: tuple[Finding, ...]) -> list[Finding]:
    return [f for f in findings if f.rule == rule]


def verdicts(rule: str, findings: tuple[Finding, ...]) -> set[str]:
    return {f.verdict for f in of(rule, findings)}


def test_nothing_to_look_at_is_not_a_pass():
    cage = seated(six(), standard="fsae-2024")
    assert [f.verdict for f in belts_findings(changed(cage, belts=None))] == ["does not apply"]
    assert [f.verdict for f in belts_findings(changed(cage, body=None))] == ["cannot tell"]


def test_an_unknown_standard_is_named_with_the_nearest():
    found = of("standard", belts_findings(seated(six(), standard="fsae-2042")))
    assert [f.verdict for f in found] == ["cannot tell"]
    assert "did you mean fsae-20" in found[0].advice


def test_the_rule_book_leads_to_a_standard():
    led = belts_findings(seated(six(), rules=("fia-253-2009",)))
    assert {f.book for f in of("shoulder-down", led)} == {"fia-253-6.2-2013"}
    bare = belts_findings(seated(six()))
    assert verdicts("standard", bare) == {"cannot tell"}
    assert not of("shoulder-down", bare)


def test_the_belt_makers_sheet_wins_either_way():
    wider = SheetEntry(source="sheet 3", shoulder_down=("0 deg", "40 deg"))
    found = of("shoulder-down", belts_findings(seated(six(shoulder=25.0), standard="fsae-2024", sheet=wider)))
    assert [f.verdict for f in found] == ["pass", "pass"]
    assert all("in place of T.2.6.1" in f.why and f.edition == "sheet 3" for f in found)
    closer = SheetEntry(source="sheet 4", lap_angle=("60 deg", "65 deg"))
    laps = of("lap-angle", belts_findings(seated(six(lap=58.0), standard="fsae-2024", sheet=closer)))
    assert [f.verdict for f in laps] == ["fail", "fail"]


def test_a_limit_from_memory_warns_but_neither_passes_nor_fails():
    kept = of("lap-angle", belts_findings(seated(lap_at(50.0), standard="sfi-guide")))
    broken = of("lap-angle", belts_findings(seated(lap_at(60.0), standard="sfi-guide")))
    assert [f.verdict for f in kept] == ["looks kept"]
    assert [f.verdict for f in broken] == ["looks broken"] * 2


@pytest.mark.parametrize(("angle", "verdict"), [(4.0, "pass"), (18.0, "cannot tell"), (40.0, "fail")])
def test_a_reckoned_shoulder_is_not_sure(angle: float, verdict: str):
    """One standard deviation of shoulder height is 31 mm: about 9 degrees over 200 mm."""
    who = driver(shoulder=None)
    at = body_of(who).shoulder
    down = 200.0 * math.tan(math.radians(angle))
    mounts = [
        mount(f"shoulder_{s}", at + np.array([200.0, y, -down]))
        for s, y in (("left", -100.0), ("right", 100.0))
    ]
    found = of("shoulder-down", belts_findings(seated(mounts, standard="fsae-2024", who=who)))
    assert {f.verdict for f in found} == {verdict}
    if verdict == "cannot tell":
        assert "measure the shoulder" in found[0].advice


def test_advice_is_the_move_that_mends_it():
    """40 degrees over a drop of 110 mm: 131.1 mm back; 45 degrees wants 110.0, so 21.1 mm forward."""
    found = of("lap-angle", belts_findings(seated(lap_at(40.0), standard="fsae-2024")))
    assert "move lap_left 21.1 mm forward" in found[0].advice
    assert math.degrees(lap_angle(np.array([HIP[0] + 131.1 - 21.1, 0.0, HIP[2] - 110.0]), np.array(HIP))) == (
        pytest.approx(45.0, abs=0.02)
    )
    high = of("shoulder-down", belts_findings(seated(shoulder_at(25.0), standard="fsae-2024")))
    assert (
        f"move shoulder_left {200 * (math.tan(math.radians(25)) - math.tan(math.radians(20))):.1f} mm up"
        in (high[0].advice)
    )


def test_a_belt_ahead_of_the_hip_is_more_than_a_right_angle():
    ahead = [mount("lap_left", (HIP[0] - 40.0, HIP[1] - 200.0, HIP[2] - 110.0))]
    found = of("lap-angle", belts_findings(seated(ahead, standard="fsae-2024")))
    assert [f.verdict for f in found] == ["fail"]
    assert "back" in found[0].advice


def test_a_mount_that_names_no_belt_is_asked_for():
    cage = seated(six(), standard="fsae-2024")
    belts = cage.people[0].belts
    assert belts is not None
    dumb = replace(belts.mounts[0], belts=())
    cage = changed(cage, belts=replace(belts, mounts=(dumb, *belts.mounts[1:])))
    assert "say belt" in of("mount", belts_findings(cage))[0].advice


def test_a_long_belt_warns_and_never_fails():
    found = of("shoulder-free", belts_findings(seated(shoulder_at(5.0, behind=400.0), standard="fsae-2024")))
    assert [(f.verdict, f.judge, f.book) for f in found] == [("look at", "own check", ALWAYS)] * 2
    assert "nearer" in found[0].advice


@pytest.mark.parametrize("body", [(1400.0, -330.0, 750.0), (1400.0, -200.0, 690.0), (1500.0, -330.0, 900.0)])
def test_a_wrapped_belt_touches_the_top_of_its_tube(body):
    held = mount("shoulder_left", (1600.0, -430.0, 700.0), member=HARNESS_BAR, wrap=True)
    cage = seated([held], standard="fsae-2024")
    touch = leaving(cage, held, np.array(body))
    radius = touch - held.mount.point
    assert float(length(radius)) == pytest.approx(BAR.radius, rel=1e-12)
    assert radius[2] > 0.0
    way = (np.array(body) - touch) * [1.0, 0.0, 1.0]  # the bar lies across: the tangent is seen from its end
    assert float(dot(radius, way)) == pytest.approx(0.0, abs=1e-9)


def test_slots_are_where_the_belt_leaves_the_seat():
    slots = (np.array([1470.0, -420.0, 735.0]), np.array([1470.0, -240.0, 735.0]))
    seat = Seating(mass=None, mounts=(), slots=slots, crotch_slot=None, bottom=None)
    runs = [
        r for r in runs_in(seated(shoulder_at(8.0), standard="fsae-2024", seat=seat)) if r.kind == "shoulder"
    ]
    assert [r.body.tolist() for r in runs] == [s.tolist() for s in slots]
    direct = runs_in(seated(shoulder_at(8.0), standard="fsae-2024"))
    assert runs[0].free > direct[0].free  # over the slot is further than straight


def test_nz_mount_behind_the_seat_needs_the_slots():
    mounts = shoulder_at(5.0, behind=300.0)
    assert verdicts("shoulder-behind-seat", belts_findings(seated(mounts, standard="nz-speedway-2010"))) == {
        "cannot tell"
    }
    for behind, verdict in ((240.0, "pass"), (260.0, "fail")):
        x = SHOULDER[0] + 300.0 - behind
        slots = tuple(np.array([x, m.mount.point[1], m.mount.point[2]]) for m in mounts)
        seat = Seating(mass=None, mounts=(), slots=slots, crotch_slot=None, bottom=None)
        found = belts_findings(seated(mounts, standard="nz-speedway-2010", seat=seat))
        assert verdicts("shoulder-behind-seat", found) == {verdict}


def test_a_y_belt_has_one_mount_and_pulls_from_both_shoulders():
    y = [mount("shoulder", (1600.0, SHOULDER[1], 720.0))]
    assert [round(float(r.body[1])) for r in runs_in(seated(y))] == [-430, -230]
    assert verdicts("shoulder-mounts", belts_findings(seated(y, standard="fsae-2024"))) == {"fail"}
    assert verdicts("y-join", belts_findings(seated(y, standard="au-schedule-i"))) == {"cannot tell"}
    assert not of("y-join", belts_findings(seated(six(), standard="au-schedule-i")))


def test_the_lap_belt_at_the_seat_bottom_is_only_advised():
    seat = Seating(
        mass=None, mounts=(), slots=None, crotch_slot=None, bottom=np.array([1300.0, -330.0, 175.0])
    )
    found = of("lap-at-seat-bottom", belts_findings(seated(six(), standard="fsae-2024", seat=seat)))
    assert [f.verdict for f in found] == ["pass"] * 2
    seat = Seating(
        mass=None, mounts=(), slots=None, crotch_slot=None, bottom=np.array([1400.0, -330.0, 175.0])
    )
    found = of("lap-at-seat-bottom", belts_findings(seated(six(), standard="fsae-2024", seat=seat)))
    assert [f.verdict for f in found] == ["look at"] * 2


def test_reclined_is_more_than_thirty_degrees():
    assert seat_word(driver(back_angle=math.radians(30.0))) == "upright"
    assert seat_word(driver(back_angle=math.radians(30.1))) == "reclined"


def test_every_row_speaks_the_vocabulary():
    known = set(standards())
    for limit in limits():
        assert limit.measure in MEASURES
        assert set(limit.standards) <= known
        assert limit.bounds or limit.advised
        assert limit.source
        if "from memory" in limit.source:
            assert limit.certainty == "memory"
    assert {s for row in loads() for s in row.standards} <= known


def test_bolts_are_known_by_the_trades_names():
    for name in ("7/16", "7/16 in", "7/16-20 UNF", "7/16 UNF", '7/16"'):
        found = bolt_named(name)
        assert found is not None
        assert found.name == "7/16 UNF"
    assert bolt_named("m10") == bolt_named("M10")
    assert bolt_named("M11") is None
    assert grade_named("Grade 8") == grade_named("8")
    assert grade_named("12") is None


def test_a_belt_pulls_along_its_run():
    left = runs_in(seated(shoulder_at(8.0), standard="fsae-2024"))[0]
    down = math.radians(8.0)
    assert left.pull == pytest.approx([-math.cos(down), 0.0, math.sin(down)], abs=1e-6)
    assert left.free == pytest.approx(202.0, abs=0.05)


def test_the_demo_is_well_belted():
    cage = resolve(read_plan(DEMO))
    belts = cage.people[0].belts
    assert belts is not None
    assert [m.mount.member for m in belts.mounts[:2]] == ["harness_bar_left", "harness_bar_left"]
    found = belts_findings(cage)
    assert {f.verdict for f in found} <= {"pass", "looks kept", "cannot tell"}
    for rule in ("lap-angle", "shoulder-down", "crotch-to-plumb", "lap-free", "shoulder-inward"):
        assert verdicts(rule, found) == {"pass"}


def test_a_mount_on_nothing_is_a_located_problem():
    text = DEMO.read_text(encoding="utf-8").replace(
        "harness_bar_left, across: -430", "harness_bar_left, up: 5000"
    )
    plan = read_plan_text(text.replace("shop: brackwater.shop.yaml", ""), file="demo.yaml")
    with pytest.raises(ProblemsFound, match="no place with up 5000"):
        resolve(plan)


SURE = 'source = "s"\ncertainty = "read"\n'
STANDARD = f'[upright]\nmost = "30 deg"\n{SURE}[[standard]]\nid = "s"\ntitle = "S"\nedition = "1"\n'
LIMIT = f'[[limit]]\nstandards = ["s"]\nclause = "1"\ntitle = "t"\n{SURE}'
FORCES = 'lap = "15 kN"\nshoulder = "15 kN"\ncrotch = "7 kN"\n'
LOAD = f'[[load]]\nstandards = ["s"]\nclause = "1"\n{FORCES}{SURE}'


@pytest.mark.parametrize(
    ("row", "line", "code", "nearest"),
    [
        ('measure = "lap angel"\nlow = "60 deg"\n', 15, "unknown-measure", "lap angle"),
        ('measure = "lap angle"\nlow = "60 mm"\n', 16, "bad-quantity", None),
        ('measure = "lap angle"\nlow = 60\n', 16, "bad-quantity", None),
        ('measure = "lap angle"\nlo = "60 deg"\n', 16, "unknown-key", "low"),
        ('measure = "lap angle"\nseat = "uprigth"\n', 16, "unknown-word", "upright"),
        ('measure = "lap angle"\npoints = 7\n', 16, "unknown-word", None),
        ('measure = "lap angle"\nbelts = ["shulder"]\n', 16, "unknown-word", "shoulder"),
        ('measure = "lap angle"\nconfirmed = "another"\n', 16, "not-read", None),
    ],
)
def test_a_bad_row_is_told_with_its_line(row: str, line: int, code: str, nearest: str | None):
    with pytest.raises(ProblemsFound) as caught:
        read_tables(STANDARD + LIMIT + row + LOAD, "belts.toml")
    (problem,) = caught.value.problems
    assert (problem.where.line, problem.code, problem.nearest) == (line, code, nearest)
    assert problem.found
    assert problem.wanted


def test_a_row_of_no_standard_is_told():
    text = STANDARD + LIMIT.replace('["s"]', '["fia"]') + 'measure = "lap angle"\nlow = "60 deg"\n' + LOAD
    with pytest.raises(ProblemsFound) as caught:
        read_tables(text, "belts.toml")
    (problem,) = caught.value.problems
    assert (problem.code, problem.where.line) == ("unknown-standard", 9)


# FIA Appendix J 2020, drawings 253-61 and -62, as a scrutineers' inspection file of 2026 restates them.
@pytest.mark.parametrize(
    ("measure", "limits_said"),
    [("crotch spread", ["4 in", "6 in"]), ("plate area", ["40 cm2"]), ("plate thickness", ["3 mm"])],
)
def test_the_mounts_of_2020(measure: str, limits_said: list[str]):
    (row,) = [r for r in limits() if "fia-253-6-2020" in r.standards and r.measure == measure]
    assert [b.text for b in row.bounds] == limits_said


# FIA Appendix J 2020, drawing 253-61, as the same file restates it.
@pytest.mark.parametrize(
    ("measure", "low", "high"),
    [
        ("shoulder down", 0.0, 25.0),
        ("lap angle", 20.0, 70.0),
        ("crotch to chest line", -25.0, -20.0),
        ("crotch to plumb", 0.0, 20.0),
    ],
)
def test_the_angles_of_2020(measure: str, low: float, high: float):
    (row,) = [r for r in limits() if "fia-253-6-2020" in r.standards and r.measure == measure]
    assert [math.degrees(b.value) for b in row.bounds] == pytest.approx([low, high])
