"""Findings about body and driver: verdicts, words and what to do."""

import dataclasses
import math

import numpy as np
import pytest

from body_cages import cage, foot, line, straight
from cagewright.check.body.findings import body_findings
from cagewright.check.body.near_driver import joined
from cagewright.plan.types import CarEntry, PersonEntry
from cagewright.shape.cloud import cloud_of
from cagewright.shape.mesh import mesh_of
from cagewright.shape.scan import Scan
from saloon import saloon

BAR = straight("bar", (0, 0, 0), (1000, 0, 0))
LOW = straight("low", (500, -700, -1000), (500, 700, -1000))
"""Only there so that the bar is seen to lie under the roof."""
DRIVER = PersonEntry(hip=[-300, 0, 250], head=[0, 0, 900], helmet=300)


def found(rule: str, *members, scan=None, units="mm", car=None, **more):
    made = dataclasses.replace(cage(*members, **more), units=units, car=car)
    return [f for f in body_findings(made, scan) if f.rule == rule]


def scan_of(corners, faces, notes=()) -> Scan:
    mesh = mesh_of(corners, faces)
    return Scan(
        name="shell.stl", mesh=mesh, cloud=cloud_of(mesh), watertight=False, residuals=(), notes=notes
    )


def test_a_clear_tube_passes_with_its_gap():
    (finding,) = found("body-clearance", BAR, lines=[line("edge", (400, 30, 40), (600, 30, 40))])
    assert finding.verdict == "pass"
    assert finding.measured.value == pytest.approx(31.0)
    assert finding.measured.said.startswith("31.0 mm, good to +-7 mm from edge, at ")
    assert finding.where.members == ("bar",)


def test_a_cut_fails_with_depth_length_and_panel_and_no_negative_number():
    (finding,) = found("body-clearance", BAR, lines=[line("cant_rail_left", (400, 0, 10), (600, 0, 10))])
    assert finding.verdict == "fail"
    assert finding.measured.value == pytest.approx(9.0)
    assert finding.measured.said.startswith("cuts in by 9.0 mm over 23")
    assert finding.advice == "move bar in by 14 mm: cant rail left is never cut"
    assert "-" not in finding.measured.said.replace("+-", "")


def test_inches_for_an_inch_tape():
    (finding,) = found("body-clearance", BAR, units="in", lines=[line("edge", (0, 0, 44.4), (9, 0, 44.4))])
    assert finding.measured.said.startswith('1", good to +-9/32" from edge')


def test_a_cut_into_the_scan_names_the_nearest_line():
    wall = np.array([[-500.0, 10, -200], [1500, 10, -200], [1500, 10, 200], [-500, 10, 200]])
    scan = scan_of(wall, np.array([[0, 1, 2], [0, 2, 3]]))
    findings = found(
        "body-clearance", BAR, scan=scan, lines=[line("sill_right", (0, 200, 0), (1000, 200, 0))]
    )
    cut = next(f for f in findings if f.verdict == "fail")
    assert "at shell.stl" in cut.measured.said
    assert "near sill_right" in cut.advice


def wall(beside: float) -> Scan:
    """A wall that far beside the bar's outside, mm."""
    y = 19.0 + beside
    corners = np.array([[-500.0, y, -200], [1500, y, -200], [1500, y, 200], [-500, y, 200]])
    return scan_of(corners, np.array([[0, 1, 2], [0, 2, 3]]))


@pytest.mark.parametrize(("noise", "gap", "verdict"), [
    (0.0, -0.2, "fail"), (2.0, -0.2, "cannot tell"), (2.0, 3.0, "cannot tell"), (2.0, 6.0, "pass"),
    (2.0, -6.0, "fail"), (0.0, 0.2, "pass"),
])  # fmt: skip
def test_a_verdict_is_no_surer_than_the_scan(noise, gap, verdict):
    """+-2 sd: a scatter of 2 mm leaves what is nearer than 4 mm to a touch open."""
    scan = dataclasses.replace(wall(gap), noise=noise)
    (finding,) = found("body-clearance", BAR, scan=scan)
    assert finding.verdict == verdict
    assert ("good to +-4 mm" in finding.measured.said) == (noise > 0.0)


def test_a_gap_to_a_measured_line_is_told_with_what_its_readings_may_be_out():
    rail = dataclasses.replace(line("rail", (0, 49, 0), (1000, 49, 0)), spread=2.0)
    (finding,) = found("body-clearance", BAR, lines=[rail])
    # two standard deviations of the reading's 2 mm and of 3 mm that the body does between two marks: 7.2 mm
    assert finding.measured.said.startswith("30.0 mm, good to +-7 mm from rail")
    assert finding.verdict == "pass"


def test_a_cloud_says_that_it_has_no_inside():
    scan = dataclasses.replace(wall(20), noise=1.0, signed=False)
    (finding,) = found("body-clearance", BAR, scan=scan)
    assert "no inside" in finding.why


def test_a_scan_that_stands_elsewhere_is_not_used():
    lines = [line("cant_rail_left", (0, 40, 0), (900, 40, 0)), line("header", (0, 50, 0), (900, 50, 0))]
    away = found("body-scan", BAR, scan=wall(900), lines=lines)
    assert away[0].verdict == "cannot tell"
    assert "does not stand in the car" in away[0].why
    gaps = found("body-clearance", BAR, scan=wall(900), lines=lines)
    assert {gap.measured.said.split(" from ")[1].split(",")[0] for gap in gaps} <= {
        "cant_rail_left",
        "header",
    }
    assert not any("does not stand" in f.why for f in found("body-scan", BAR, scan=wall(0), lines=lines))


def test_nothing_measured_cannot_be_told():
    (finding,) = found("body-known", BAR)
    assert finding.verdict == "cannot tell"
    assert "measure the roof rails" in finding.advice
    assert found("body-clearance", BAR) == []


def test_what_is_odd_about_a_scan_is_told():
    notes = ("the scan is open or torn", "the picked points miss their measured places by up to 9.0 mm")
    first, second = found("body-scan", BAR, scan=scan_of(*saloon(500), notes=notes))
    assert (first.verdict, first.why) == ("pass", notes[0])
    assert second.verdict == "cannot tell"
    assert "again" in second.advice


def test_a_wide_gap_warns_but_neither_passes_nor_fails():
    rail = line("cant_rail_left", (100, 0, 60), (900, 0, 60))
    low = line("floor_low", (-3000, -700, -1000), (-3000, 700, -1000))
    (finding,) = found("body-hug", BAR, LOW, lines=[rail, low])
    assert (finding.verdict, finding.judge, finding.known) == ("look at", "own check", "remembered")
    assert "common practice, no source" in finding.why
    assert finding.advice == "move it 31.0 mm closer to cant_rail_left"
    close = dataclasses.replace(rail, points=rail.points - np.array([0.0, 0.0, 35.0]))
    (finding,) = found("body-hug", BAR, LOW, lines=[close, low])
    assert (finding.verdict, finding.advice) == ("looks kept", "")


@pytest.mark.parametrize(("wide", "verdict"), [(2.9, "looks kept"), (3.1, "look at")])
def test_a_gap_is_not_asked_to_be_closed_finer_than_a_bent_tube_is_set(wide: float, verdict: str):
    rail = line("cant_rail_left", (100, 0, 29 + wide), (900, 0, 29 + wide))
    low = line("floor_low", (-3000, -700, -1000), (-3000, 700, -1000))
    (finding,) = found("body-hug", BAR, LOW, lines=[rail, low])
    assert finding.measured is not None
    assert finding.measured.value == pytest.approx(10.0 + wide)
    assert finding.verdict == verdict


def floor_foot(y: float, seat: str):
    leg = dataclasses.replace(straight("leg", (0, y, 0), (0, y, 900)), role="main rollbar")
    return leg, foot("foot", (0, y, 0), seat=seat, members=("leg",))


def test_a_foot_on_the_floor_away_from_the_sill_warns_with_its_bending():
    _, made = floor_foot(-500, "floor")
    sill = line("sill_left", (-500, -650, 5), (500, -650, 5))
    hoop = straight("leg", (0, -500, 0), (0, 500, 900))
    other = foot("other", (0, 500, 0), seat="turret", members=("leg",))
    (finding,) = found(
        "body-foot-inboard", hoop, feet=[made, other], lines=[sill], car=CarEntry(mass="1080 kg")
    )
    assert finding.verdict == "look at"
    text = finding.measured.said
    assert text.startswith("150.0 mm inboard of sill_left: 150 N m under 1.0 kN of leg load")
    # 7.5 (1080 + 150) 9.80665 = 90.466 kN on two feet, times 0.150 m
    assert "6.78 kN m under 45.2 kN" in text
    assert "from memory" in text


@pytest.mark.parametrize(("y", "seat"), [(-500, "sill"), (-500, "box"), (-610, "floor")])
def test_a_foot_on_the_sill_or_reaching_it_passes(y, seat):
    leg, made = floor_foot(y, seat)
    sill = line("sill_left", (-500, -650, 5), (500, -650, 5))
    (finding,) = found("body-foot-inboard", leg, feet=[made], lines=[sill])
    assert finding.verdict == "pass"
    assert "from memory" not in finding.measured.said


# ---- the driver


def over(z: float, name="bar"):
    return straight(name, (-500, 0, z), (500, 0, z))


def test_helmet_clear_by_more_than_the_limit_passes():
    (finding,) = found("body-helmet", over(900 + 150 + 19 + 51), driver=DRIVER)
    assert finding.verdict == "pass"
    assert finding.clause == "body-helmet"  # no clause of a book that the plan does not name
    assert finding.measured.value == pytest.approx(51.0)


def test_helmet_too_near_is_looked_at_with_the_way_to_move():
    (finding,) = found("body-helmet", over(900 + 150 + 19 + 30), driver=DRIVER)
    assert (finding.verdict, finding.judge) == ("look at", "own check")
    assert "Formula SAE Rules 2024, F.5.6.3" in finding.limit
    assert finding.advice == "move bar 20.0 mm up, or the seat as far the other way"


def test_a_tube_in_the_helmet_is_told_as_such():
    (finding,) = found("body-helmet", over(900 + 150), driver=DRIVER)
    assert finding.verdict == "fail"
    assert finding.measured.said.startswith("stands in the helmet by 19.0 mm")
    assert finding.measured.value == 0.0
    assert finding.advice.startswith("move bar 69.0 mm up")


def test_a_reckoned_head_within_its_doubt_of_the_limit_cannot_be_told():
    guessed = PersonEntry(hip=[0, 0, 0], back_angle="25 deg", stature=1756.2, helmet=300)
    # the reckoned head stands at 635 up, within 36 mm
    x, y = 167.8, 19.0 + 150.0 + 635.0
    for more, verdict in (
        (50 + 37, "pass"),
        (60, "cannot tell"),
        (40, "look at"),
        (-30, "look at"),
        (-37, "fail"),
    ):
        bar = straight("bar", (x, -500, y + more), (x, 500, y + more))
        (finding,) = found("body-helmet", bar, driver=guessed)
        assert finding.verdict == verdict
    assert "reckoned from hip" in finding.why


def test_a_tall_driver_s_helmet_is_looked_at_where_the_head_was_not_measured():
    guessed = PersonEntry(hip=[0, 0, 0], back_angle="0 deg", helmet=300)
    for height, verdict in ((770 + 150 + 19 + 51, "pass"), (770 + 150 + 19 + 49, "look at")):
        (finding,) = found("body-tall-helmet", over(height), driver=guessed)
        assert finding.verdict == verdict
        assert "95th percentile side template" in finding.why
    assert found("body-tall-helmet", over(900), driver=DRIVER) == []


def test_each_tube_too_near_is_told_and_otherwise_only_the_nearest():
    near = found("body-helmet", over(1100, "a"), over(1105, "b"), over(1300, "c"), driver=DRIVER)
    assert [f.where.members[0] for f in near] == ["a", "b"]
    clear = found("body-helmet", over(1200, "a"), over(1300, "b"), driver=DRIVER)
    assert [f.where.members[0] for f in clear] == ["a"]


def test_limits_without_a_source_warn_only():
    hip = found("body-hip", straight("bar", (-800, 0, 130), (800, 0, 130)), driver=DRIVER)
    (finding,) = hip
    assert finding.verdict == "look at"
    assert "common practice, no source" in finding.limit


def test_padding_from_where_to_where():
    (finding,) = found("body-padding", over(1200), driver=DRIVER)
    assert finding.verdict == "look at"
    half = math.sqrt(469.0**2 - 300.0**2)
    assert finding.measured.value == pytest.approx(2.0 * half, abs=12.0)  # looked at every 5 mm
    assert finding.advice.startswith("pad bar from 1")
    assert "12 mm thick" in finding.advice
    assert "T.2.9" in finding.limit


def test_no_driver_cannot_be_told():
    (finding,) = found("body-driver", BAR)
    assert finding.verdict == "cannot tell"


def test_touching_stretches_are_one():
    assert joined([(50.0, 80.0), (0.0, 40.0), (200.0, 210.0)]) == [(0.0, 80.0), (200.0, 210.0)]


def test_no_text_shows_a_negative_clearance():
    tubes = [straight(f"t{i}", (0, -600, 100 + 40 * i), (900, 700, 1400 - 40 * i)) for i in range(12)]
    scan = scan_of(*saloon(4000))
    made = cage(*tubes, lines=[line("roof_centre", (0, 0, 900), (900, 0, 900))], driver=DRIVER)
    findings = body_findings(made, scan)
    assert any(f.verdict == "fail" for f in findings)
    for finding in findings:
        if finding.rule in ("body-clearance", "body-helmet", "body-hug") and finding.measured:
            assert finding.measured.value >= 0.0
            assert "-" not in finding.measured.said
