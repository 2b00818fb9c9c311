"""Rails in a cage: how they lie, what lands on them, mitres, mirrors, and how near counts as touching."""

import math

import numpy as np
import pytest

from cagewright.base.problems import ProblemsFound
from cagewright.plan.read import read_plan_text
from cagewright.shape.resolve import resolve
from cagewright.shape.types import Cage, Cope, FlatCut, Member, member_named

HEAD = """
cagewright: 1
title: rails
tubes:
  rail: {angle: [60, 40], wall: 5, steel: S235JR}
  box: {square: 40, wall: 3, steel: S355J2H}
  strip: {flat: 40, wall: 6, steel: S235JR}
  leg: {od: 38, wall: 2.5, steel: E355+N}
members:
  left:
    role: sill bar
    tube: %s
    held: {on: sill, run: 40, every: 150}
    mirror: right
    path: [[500, -600, 240], [1500, -600, 240]]
    %s
"""


def cage_of(tube: str, more: str, lies: str = "") -> Cage:
    return resolve(read_plan_text(HEAD % (tube, lies) + more, file="plan.yaml"))


POST = """
  post:
    role: cage reinforcement
    tube: leg
    path: [{on: left, back: 1000}, {foot: top}]
feet:
  top: {at: [1000, -600, 900], on: rigid, plate: [100, 100, 3], normal: [0, 0, -1]}
"""


def cope_of(member: Member) -> Cope:
    cut = member.ends[0].cut
    assert isinstance(cut, Cope)
    return cut


@pytest.mark.parametrize(("tube", "height"), [("box", 20.0), ("strip", 3.0), ("rail", -15.0)])
def test_a_tube_square_on_a_flat_face_is_sawn_square_there(tube, height):
    cope = cope_of(member_named(cage_of(tube, POST), "post"))
    assert cope.outside == pytest.approx(np.full(72, height))
    assert cope.bevel == pytest.approx(np.full(72, math.pi / 2))
    assert cope.weld_length == pytest.approx(math.pi * 38.0, rel=1e-4)


def test_a_leaning_tubes_cut_lies_in_the_face():
    """Every point of the outside lies on the box's top, 20 mm over the path; the weld is an ellipse's."""
    more = POST.replace("at: [1000, -600, 900]", "at: [1300, -600, 900]")
    cope = cope_of(member_named(cage_of("box", more), "post"))
    side = np.cross(cope.axis, cope.zero)
    ring = np.cos(cope.phi)[:, None] * cope.zero + np.sin(cope.phi)[:, None] * side
    points = cope.origin + 19.0 * ring + cope.outside[:, None] * cope.axis
    assert points[:, 2] == pytest.approx(np.full(72, 260.0))
    assert cope.outside.max() - cope.outside.min() == pytest.approx(
        38.0 * math.tan(math.atan2(300, 657)), rel=0.02
    )


def test_a_tube_over_an_edge_is_cut_to_both_faces():
    """On an angle near its standing leg part of the wall stands on that leg's top, 20 mm over the path."""
    more = POST.replace("{on: left, back: 1000}", "[1000, -611, 240]").replace("-600, 900", "-611, 900")
    cope = cope_of(member_named(cage_of("rail", more), "post"))
    assert set(np.round(cope.outside, 6)) == {-15.0, 20.0}
    assert (cope.on == 0).all()


MITRE = """
  across:
    role: transverse member
    tube: {tube}
    held: {{on: floor, run: 40, every: 150}}
    path: [{{on: left, part: 0}}, [{x}, 600, 240]]
"""


@pytest.mark.parametrize(
    ("x", "angle"), [(500.0, 45.0), (1100.0, 90 - 0.5 * math.degrees(math.atan2(1200, 600)))]
)
def test_two_ends_at_one_spot_are_mitred_by_half_the_angle(x, angle):
    """Half the angle between the two rails, as geometry of the plane has it; both cut by one plane."""
    cage = cage_of("box", MITRE.format(tube="box", x=x))
    first, second = member_named(cage, "left").ends[0].cut, member_named(cage, "across").ends[0].cut
    assert isinstance(first, FlatCut)
    assert isinstance(second, FlatCut)
    assert np.degrees([first.tilt, second.tilt]) == pytest.approx([angle, angle], abs=1e-6)
    assert abs(float(first.normal @ second.normal)) == pytest.approx(1.0)
    assert cage.joints[0].name == "across.start"
    assert first.weld_length == pytest.approx(second.weld_length)


def test_a_mitred_box_is_as_long_as_its_long_side():
    cage = cage_of("box", MITRE.format(tube="box", x=500.0))
    assert member_named(cage, "left").length == pytest.approx(1020.0)


def test_a_rail_on_a_rail_is_sawn_to_its_side():
    more = MITRE.format(tube="box", x=1000.0).replace("part: 0", "back: 1000")
    cage = cage_of("box", more)
    beam = member_named(cage, "across")
    assert beam.ends[0].trim == pytest.approx(20.0)
    assert beam.length == pytest.approx(1200.0 - 40.0)  # it lands on the right one too


@pytest.mark.parametrize(
    ("lies", "up", "across"),
    [
        ("", (0, 0, 1), (0, 1, 0)),
        ("lies: [down, inside]", (0, 0, 1), (0, -1, 0)),
        ("lies: [outside, up]", (0, 1, 0), (0, 0, -1)),
        ("lies: left", (0, 1, 0), None),
    ],
)
def test_a_rail_lies_as_it_is_told(lies, up, across):
    """The left one: outside is left, less across; an angle's legs run away from its two backs."""
    lie = member_named(cage_of("rail", "", lies), "left").lie
    assert lie is not None
    assert lie.up == pytest.approx(np.array(up, float))
    if across is not None:
        assert lie.across == pytest.approx(np.array(across, float))


def test_the_mirror_lies_the_other_way_round():
    cage = cage_of("rail", "")
    left, right = (member_named(cage, n).lie for n in ("left", "right"))
    assert left is not None
    assert right is not None
    assert right.across == pytest.approx(left.across * (1, -1, 1))


BESIDE = """
  stay:
    role: cage reinforcement
    tube: leg
    path: [{foot: low}, {foot: high}]
feet:
  low: {at: [600, %s, 400], on: rigid, plate: [60, 60, 3], normal: [1, 0, 0]}
  high: {at: [1400, %s, 400], on: rigid, plate: [60, 60, 3], normal: [-1, 0, 0]}
"""


@pytest.mark.parametrize(("y", "clear"), [(-560.4, True), (-562.0, False)])
def test_a_tube_beside_a_box_touches_it_at_its_side_and_not_at_the_circle_round_it(y, clear):
    """Box 40 wide at -600: its side is at -580, and a tube of 38 beside it clears from -561 on."""
    more = (BESIDE % (y, y)).replace("400]", "240]")
    if clear:
        assert len(cage_of("box", more).members) == 3
    else:
        with pytest.raises(ProblemsFound, match="too-shallow"):
            cage_of("box", more)


def test_weld_runs_stand_at_both_ends_and_evenly_between():
    runs = member_named(cage_of("rail", ""), "left").runs
    assert len(runs) == 8
    assert (runs[0].start, runs[-1].stop) == pytest.approx((0.0, 1000.0))
    gaps = np.diff([r.start for r in runs])
    assert gaps == pytest.approx(np.full(7, 960.0 / 7))
    assert gaps.max() <= 150.0
