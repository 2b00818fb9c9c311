"""The usual pushes: where each is placed, what it wants, and what a plan changes."""

import math
from dataclasses import replace

import numpy as np
import pytest

from aboard import changed
from cagewright.base.curves import point_at, sample
from cagewright.frame.contact import Platen, Pole, first_touch
from cagewright.frame.curve_figures import weights_of
from cagewright.frame.errors import FrameError
from cagewright.frame.idealise import idealise
from cagewright.frame.push_names import DEFAULT, push_named, push_names
from cagewright.frame.push_places import CLEAR, facing, first_met, weight_of
from cagewright.frame.push_rows import rows
from cagewright.frame.respond import whole_load
from cagewright.plan.read import read_plan_text
from cagewright.plan.types import CarEntry
from cagewright.shape.resolve import resolve
from cagewright.shape.types import driver_body, member_named
from push_cages import DEMO, beam, demo, hoop_cage

G = 9.80665


def with_pushes(text):
    """The demo's cage with a ``pushes:`` section."""
    plan = read_plan_text(DEMO.read_text(encoding="utf-8").replace("shop: brackwater.shop.yaml\n", "") + text)
    return resolve(plan)


def test_the_roof_platen_faces_as_computed_by_hand():
    """5 and 25 degrees, x forward and y inboard: (-0.0790, 0.4226, -0.9029) (computed independently)."""
    look, along = facing(pitch=math.radians(5), roll=math.radians(25), side="left")
    assert look * [-1, 1, 1] == pytest.approx([-0.0790, 0.4226, -0.9029], abs=5e-5)
    assert look @ along == pytest.approx(0.0, abs=1e-12)
    assert along[2] > 0.0  # nose down: the rear end of the platen is higher
    right, _ = facing(pitch=math.radians(5), roll=math.radians(25), side="right")
    assert right == pytest.approx(look * [1, -1, 1])


def test_the_roof_platen_touches_254_mm_behind_its_front_edge():
    """49 CFR 571.216a: on the long centreline, 254 mm from the front edge (read, agency letter)."""
    press = push_named(demo(), "roof-left").press
    assert isinstance(press, Platen)
    assert (press.length, press.width) == (1829, 762)
    front = press.centre - press.along * press.length / 2 + CLEAR * press.normal
    met = first_met(demo().members, press.normal)
    off = met - front
    assert off @ press.along == pytest.approx(254.0, abs=1e-6)
    assert off @ np.cross(press.normal, press.along) == pytest.approx(0.0, abs=1e-6)
    assert off @ press.normal == pytest.approx(0.0, abs=1e-6)


@pytest.mark.parametrize("name", ["roof-left", "front-corner-right", "main-hoop-down", "front-bar-down-left"])
def test_a_platen_stands_clear_and_meets_the_frame(name):
    """The frame's balls stand for the tubes: within half a millimetre of the exact first touch."""
    push = push_named(demo(), name)
    assert push.press is not None
    assert first_touch(idealise(demo()).model, push.press) == pytest.approx(CLEAR, abs=0.5)


def test_left_and_right_are_mirrors_on_a_symmetric_cage():
    left, right = (push_named(hoop_cage(), f"front-corner-{side}").press for side in ("left", "right"))
    assert left.centre == pytest.approx(right.centre * [1, -1, 1], abs=1e-6)
    assert left.normal == pytest.approx(right.normal * [1, -1, 1])


def test_a_flat_platen_on_a_flat_bar_touches_its_middle():
    assert first_met(beam().members, np.array([0, 0, -1.0])) == pytest.approx([0, 0, 922.5])


def test_the_hoop_stamp_is_wider_than_the_hoop():
    press = push_named(hoop_cage(), "main-hoop-down").press
    across = sample(member_named(hoop_cage(), "hoop").path)[:, 1]
    assert press.length == pytest.approx(np.ptp(across) + 45 + 100)
    assert press.width == 250
    assert np.abs(press.along) == pytest.approx([0, 1, 0])


def test_the_pole_stands_at_the_middle_of_the_doorbars():
    press = push_named(demo(), "side-left").press
    assert isinstance(press, Pole)
    bars = np.concatenate([sample(m.path) for m in demo().members if m.role == "doorbar"])
    assert press.centre[0] == pytest.approx((bars[:, 0].min() + bars[:, 0].max()) / 2)
    assert press.radius == 152.5
    assert press.way == pytest.approx([0, 1, 0])
    assert first_touch(idealise(demo()).model, press) > 0.0


def test_the_door_crush_loader_starts_above_the_doors_bottom():
    press = push_named(demo(), "door-crush-right").press
    assert press.centre[2] - press.length / 2 == pytest.approx(260 + 127)  # the door's lowest line is at 260
    without = push_named(replace(demo(), lines=()), "door-crush-right")
    assert any("no line door_opening" in n for n in without.notes)


def wanted(name, mass):
    cage = replace(demo(), car=CarEntry(mass=mass))
    push = push_named(cage, name)
    return [weights_of(cage, d, whole_load(push)) for d in push.demands]


@pytest.mark.parametrize(
    ("mass", "hoop", "front"),
    [(900, 77.227, 36.039), (1000, 84.582, 39.472), (1200, 99.292, 46.336), (1400, 114.002, 53.201)],
)
def test_proof_loads(mass, hoop, front):
    """7.5 and 3.5 (m + 150 kg) g, kN (worked by hand from the remembered formulas)."""
    assert wanted("main-hoop-down", mass) == [pytest.approx(hoop * 1e3, abs=1)]
    assert wanted("front-bar-down-left", mass) == [pytest.approx(front * 1e3, abs=1)]


def test_roof_and_door_loads():
    """3.0 m g for 1200 kg is 35.304 kN; 2250, 3500 and 7000 lbf (conversions by hand)."""
    assert wanted("roof-left", 1200) == [pytest.approx(35_304, abs=1)]
    lbf = 4.4482216
    assert wanted("door-crush-left", 1800) == [
        pytest.approx(2250 * lbf, abs=2), pytest.approx(3500 * lbf, abs=2), pytest.approx(7000 * lbf, abs=2)
    ]  # fmt: skip
    assert wanted("door-crush-left", 1000)[2] == pytest.approx(2 * 1000 * G)


def test_loads_together_are_in_parts_of_the_weight():
    """1.5 / 5.5 / 7.5 of 1000 kg: 14.71, 53.94 and 73.55 kN (worked by hand)."""
    driver = driver_body(demo())
    assert driver is not None
    cage = replace(demo(), car=CarEntry(mass=925.0))
    cage = changed(cage, body=driver.model_copy(update={"mass": 75.0}))
    (load,) = push_named(cage, "hoop-combined").point_loads
    assert load.force == pytest.approx([53_940, 14_710, -73_550], abs=10)
    assert point_at(member_named(cage, "main_hoop").path, load.along)[1] == pytest.approx(0.0, abs=8)
    fixed = push_named(cage, "hoop-50-60-90")
    assert whole_load(fixed) == pytest.approx(119_160, abs=10)  # resultant of 50, 60 and 90 kN


def test_belts_pull_towards_the_shoulder():
    point_loads = push_named(demo(), "harness").point_loads
    assert len(point_loads) == 2  # only the shoulder mounts are on tubes of the cage
    for load in point_loads:
        assert load.member == "harness_bar_left"
        assert np.linalg.norm(load.force) == pytest.approx(14_700)
        assert load.force[0] < 0.0 < load.force[2]  # forward, and up to a shoulder above the bar
        assert load.force[1] == pytest.approx(0.0, abs=1e-9)
    pair = push_named(demo(), "shoulder-belts").point_loads
    assert sum(np.linalg.norm(p.force) for p in pair) == pytest.approx(3000 * 4.4482216, abs=1)


def test_the_seat_pulls_by_its_weight():
    point_loads = push_named(demo(), "seat").point_loads
    assert sum(p.force[0] for p in point_loads) == pytest.approx(-20 * 9 * G)


def test_weight_counts_a_driver():
    assert weight_of(demo()) == pytest.approx((1080 + 75) * G)
    assert weight_of(replace(demo(), car=None)) is None


def test_every_row_says_where_it_is_from():
    for row in rows().values():
        assert row.source
        for demand in row.demands:
            assert demand.source
            if demand.certainty == "memory":
                assert "from memory" in demand.source
        if row.certainty == "memory":
            assert "from memory" in row.source


def test_the_default_is_a_front_corner():
    assert DEFAULT == "front-corner-left"


def test_a_name_that_is_not_known_has_a_hint():
    with pytest.raises(FrameError, match="did you mean 'roof-left'"):
        push_named(demo(), "roof-lef")


def test_what_a_cage_has_not_is_said():
    with pytest.raises(FrameError, match="no doorbars on the left"):
        push_named(hoop_cage(), "side-left")
    with pytest.raises(FrameError, match="rollbar or legs ahead"):
        push_named(hoop_cage(), "front-bar-down-left")
    with pytest.raises(FrameError, match="say car: mass"):
        push_named(replace(demo(), car=None), "hoop-combined")
    assert "harness" not in push_names(hoop_cage())
    assert "roof-left" in push_names(hoop_cage())


def test_a_plan_changes_and_adds():
    cage = with_pushes(
        """
pushes:
  roof_left: {kind: platen, travel: 100}
  steep: {kind: platen, case: front-corner-right, roll: 30 deg, pitch: 12 deg, size: [1000, 800], weights: 3}
  tree: {kind: pole, side: right, back: 900, diameter: 250 mm, travel: 200, target: 20 kN}
  jack: {kind: point, at: {on: main_hoop, across: 0}, direction: [0, 0, -2], travel: 40}
  level: {kind: platen, size: [500, 500]}
"""
    )
    steep, tree, jack, level = (push_named(cage, n) for n in ("steep", "tree", "jack", "level"))
    look, _ = facing(pitch=math.radians(12), roll=math.radians(30), side="right")
    assert steep.press.normal == pytest.approx(look)
    assert (steep.press.length, steep.press.width) == (1000, 800)
    assert "changed by the plan" in steep.title
    assert "from memory" in steep.source
    assert weights_of(cage, steep.demands[0], 0.0) == pytest.approx(3 * weight_of(cage))
    assert (tree.press.radius, tree.press.centre[0], tree.travel) == (125, 900, 200)
    assert tree.demands[0].load == 20_000
    assert jack.point_loads[0].force == pytest.approx([0, 0, -1])
    assert jack.travel == 40
    assert level.press.normal == pytest.approx([0, 0, -1])
    assert push_named(cage, "roof-left").travel == push_named(cage, "roof_left").travel == 100
    assert push_named(cage, "roof-left").demands == push_named(demo(), "roof-left").demands
    assert push_names(cage).count("roof-left") + push_names(cage).count("roof_left") == 1
    assert push_names(cage)[-4:] == ("steep", "tree", "jack", "level")


def test_a_push_into_the_air_is_refused():
    cage = with_pushes("pushes: {jack: {kind: point, at: [0, 0, 0], direction: [0, 0, 1]}}")
    with pytest.raises(FrameError, match="from the nearest tube"):
        push_named(cage, "jack")


def test_a_case_of_another_kind_is_refused():
    cage = with_pushes("pushes: {odd: {kind: pole, case: roof-left}}")
    with pytest.raises(FrameError, match="is a pole, and its case 'roof-left' is a platen"):
        push_named(cage, "odd")
