"""Strength of tabs, bolts, welds and bars against published values and closed forms.

Sources: ISO 898-1 stress areas M8 36.6, M10 58.0, M12 84.3 mm2 and ASME B1.1 7/16-20 UNF 0.1187 in2, 3/8-24
0.0878 in2, 5/16-24 0.0580 in2 (handbook tables, from memory); an open verification case of EN 1993-1-8 for an
M20 8.8 bolt in double shear, 188.002 kN on 244.794 mm2, and M20 10.9 in tension, 0.9 x 1000 x 245 / 1.25 =
176.4 kN (read); fillet weld shear strengths 207.85 MPa (360, 0.8) and 261.73 MPa (510, 0.9) (computed from
EN 1993-1-8 4.5.3.3); beam tables of any handbook (computed); collapse of a fixed 1 m beam of 45 x 2.5 tube at
350 MPa, 8 Mp / L = 12.66 kN (computed).
"""

import math

import numpy as np
import pytest

from cagewright.check.belts.mount_bar import BarSpan, collapse_share, greatest_moment, use_of
from cagewright.check.belts.mounts import loads_of, mount_findings, strength_of
from cagewright.check.belts.tab_strength import (
    bearing,
    bolt_any_way,
    bolt_shear,
    bolt_tension,
    net_section,
    sideways_yield_angle,
    tear_out,
    tube_wall,
    weld,
    weld_stress,
)
from cagewright.check.findings import Finding
from cagewright.stock.bolts import BoltSize, bolt_named, grade_named, inch_stress_area, stress_area
from cagewright.stock.sections import properties, round_section
from cagewright.stock.tubes import round_tube
from seated import BOLT, HARNESS_BAR, STEEL, TAB, mount, seated, six, straight

IN2 = 25.4**2


@pytest.mark.parametrize(("size", "area"), [("M8", 36.6), ("M10", 58.0), ("M12", 84.3)])
def test_metric_stress_areas(size: str, area: float):
    found = bolt_named(size)
    assert found is not None
    assert found.area == pytest.approx(area, abs=0.05)


@pytest.mark.parametrize(("size", "area"), [("7/16 UNF", 0.1187), ("3/8 UNF", 0.0878), ("5/16 UNF", 0.0580)])
def test_inch_stress_areas(size: str, area: float):
    found = bolt_named(size)
    assert found is not None
    assert found.area == pytest.approx(area * IN2, rel=2e-3)  # the tables stop at the fourth place


def test_m20_verification_case():
    m20 = BoltSize(name="M20", diameter=20.0, area=stress_area(20.0, 2.5))
    assert m20.area == pytest.approx(244.794391734083, rel=2e-5)
    strong, stronger = grade_named("8.8"), grade_named("10.9")
    assert strong is not None
    assert stronger is not None
    assert bolt_shear(m20, strong, 2).force == pytest.approx(188_002.0929, rel=2e-5)
    assert bolt_tension(m20, stronger).force == pytest.approx(176_400.0, rel=1e-3)  # 245 is rounded


def test_inch_and_metric_threads_agree():
    """One thread form, two formulas, 0.9743/n and 0.9382 p: 4 % of the pitch, here 1.2 % of the area."""
    assert inch_stress_area(12.0, 25.4 / 1.75) == pytest.approx(stress_area(12.0, 1.75), rel=0.013)


def test_bolt_at_its_worst_angle_is_below_both():
    size, grade = bolt_named("M12"), grade_named("8.8")
    assert size is not None
    assert grade is not None
    worst = bolt_any_way(size, grade).force
    across, along = bolt_shear(size, grade, 1).force, bolt_tension(size, grade).force
    angles = np.radians(np.linspace(0.0, 90.0, 9001))
    swept = 1.0 / (np.cos(angles) / across + np.sin(angles) / (1.4 * along))
    assert worst == pytest.approx(swept.min(), rel=1e-6)


@pytest.mark.parametrize(("tensile", "stress"), [(360.0, 207.85), (510.0, 261.73)])
def test_weld_stress(tensile: float, stress: float):
    assert weld_stress(tensile) == pytest.approx(stress, abs=0.005)


def test_tab_by_hand():
    """A tab 6 x 50, hole 12.5, 25 to its end, 355/490 MPa, worked on paper by the formulas' own text."""
    size, grade = bolt_named("7/16"), grade_named("8")
    assert size is not None
    assert grade is not None
    assert net_section(TAB).force == pytest.approx(
        0.9 * 37.5 * 6.0 * 490.0 / 1.25
    )  # 79.4 kN, under 106.5 gross
    assert bearing(TAB, size, grade).force == pytest.approx(
        2.5 * (25.0 / 37.5) * 490.0 * 11.1125 * 6.0 / 1.25
    )
    assert tear_out(TAB, size).force == pytest.approx(0.75 * 0.6 * 490.0 * 12.0 * (18.75 + 5.55625))
    found = weld(TAB, None)
    assert found is not None
    assert found.force == pytest.approx(2 * 4.0 * 52.0 * 490.0 / (math.sqrt(3) * 0.9 * 1.25))
    wall = tube_wall(TAB, HARNESS_BAR.tube)
    assert wall is not None
    assert wall.force == pytest.approx(5.0 * 350.0 * 6.25 * (1.0 + 0.25 * 60.0 / 38.0))


def test_sideways_yield_angle_by_hand():
    assert math.sin(sideways_yield_angle(TAB, 14_710.0)) == pytest.approx(
        355.0 * 60.0 * 36.0 / 4.0 / (14_710.0 * 30.0)
    )
    assert sideways_yield_angle(TAB, 1.0) == pytest.approx(math.pi / 2.0)


FORCE = np.array([[0.0, 0.0, 1000.0]])


@pytest.mark.parametrize(
    ("at", "fixed", "moment"),
    [
        (500.0, False, 1000.0 * 1000.0 / 4.0),  # P L / 4
        (500.0, True, 1000.0 * 1000.0 / 8.0),  # P L / 8
        (250.0, False, 1000.0 * 250.0 * 750.0 / 1000.0),  # P a b / L
        (250.0, True, 1000.0 * 250.0 * 750.0**2 / 1000.0**2),  # P a b^2 / L^2 at the near end
    ],
)
def test_one_load_handbook(at: float, fixed: bool, moment: float):
    assert greatest_moment(1000.0, np.array([at]), FORCE, fixed=fixed) == pytest.approx(moment)


@pytest.mark.parametrize(("fixed", "share"), [(False, 1.0 / 3.0), (True, 2.0 / 9.0)])
def test_two_loads_at_thirds_handbook(fixed: bool, share: float):
    """P L / 3 pinned, 2 P L / 9 at the ends fixed."""
    loads = np.repeat(FORCE, 2, axis=0)
    found = greatest_moment(900.0, np.array([300.0, 600.0]), loads, fixed=fixed)
    assert found == pytest.approx(share * 1000.0 * 900.0)


def test_collapse_of_the_fixed_metre():
    plastic = properties(round_section(45.0, 2.5)).plastic * 350.0
    pinned = collapse_share(1000.0, np.array([500.0]), np.array([12_660.0]), plastic)
    assert pinned / 2.0 == pytest.approx(1.0, rel=1e-3)


def test_collapse_under_two_loads_at_thirds():
    """Pinned, P L / 3 = Mp at collapse: the diagram is level between the loads (computed)."""
    found = collapse_share(900.0, np.array([300.0, 600.0]), np.array([1000.0, 1000.0]), 300_000.0)
    assert found == pytest.approx(1.0)


def test_use_of_the_fixed_metre():
    bar = straight(
        "bar",
        "harness bar",
        (0.0, 0.0, 0.0),
        (0.0, 1000.0, 0.0),
        tube=round_tube(od=45.0, wall=2.5, steel=STEEL),
    )
    span = BarSpan(member="bar", start=0.0, stop=1000.0, straight=True)
    used = use_of(bar, span, [500.0], [np.array([-12_660.0, 0.0, 0.0])])
    assert used is not None
    assert used.collapse == pytest.approx((2.0, 1.0), rel=1e-3)
    elastic = properties(round_section(45.0, 2.5)).elastic * 350.0
    assert used.first_yield == pytest.approx((12_660.0 * 250.0 / elastic, 12_660.0 * 125.0 / elastic))


def test_loads_of_the_standards():
    """FSAE 2024 T.2.4.3: 15 kN, 30 kN for two belts (verified); 2021: 13, 6.5, 19.5 kN (verified)."""
    now, then = loads_of("fsae-2024"), loads_of("fsae-2021")
    assert now is not None
    assert then is not None
    assert (now.lap, now.shoulder, now.crotch, now.shared) == (15e3, 15e3, 15e3, 30e3)
    assert (then.lap, then.shoulder, then.crotch, then.shared) == (13e3, 13e3, 6.5e3, 19.5e3)


def of(mounts, **more) -> dict[str, Finding]:
    return {f.title: f for f in mount_findings(seated(mounts, standard="fsae-2024", **more))}


def test_one_belt_passes_where_two_on_one_tab_fail():
    """A 7/16 grade 8 bolt takes 0.5 x 1034.2 x 76.6 / 1.25 = 31.7 kN; a 3/8 one 23.4, less than two belts."""
    one = mount("lap_left", (1270.0, -530.0, 150.0))
    # the pull is restated once, so a kept one only looks kept
    assert of([one])["lap_left carries the standard's pull"].verdict == "looks kept"
    two = mount(
        "lap_left", (1270.0, -530.0, 150.0), "lap", "crotch", bolt=BOLT.model_copy(update={"size": "3/8"})
    )
    found = of([two])["lap_left carries the standard's pull"]
    assert found.verdict == "fail"
    assert "bolt" in found.advice
    assert found.measured is not None
    assert found.measured.value == pytest.approx(
        100.0 * 30e3 * 1.25 / (0.5 * 1034.2 * 0.0878 * IN2), rel=1e-3
    )


def test_shared_load():
    wanted = loads_of("fsae-2024")
    assert wanted is not None
    cage = seated([mount("lap_left", (1270.0, -530.0, 150.0), "lap", "crotch")])
    belts = cage.people[0].belts
    assert belts is not None
    assert strength_of(cage, belts.mounts[0], wanted).load == 30e3


def test_a_long_thin_bar_fails_and_a_short_one_passes():
    high = [m for m in six() if m.mount.name.startswith("shoulder")]
    for size, verdict in ((650.0, "fail"), (230.0, "pass")):
        middle = -330.0
        bar = straight(
            "bar", "harness bar", (1600.0, middle - size / 2, 720.0), (1600.0, middle + size / 2, 720.0)
        )
        on = [mount(m.mount.name, m.mount.point, member=bar, wrap=True) for m in high]
        found = of(on, members=(bar,))["bar carries the pull of shoulder_left, shoulder_right"]
        assert found.verdict == verdict
