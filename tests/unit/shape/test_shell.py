"""Body lines: what they are, which side of them is the cabin, and the surfaces they span."""

import numpy as np
import pytest
from scipy.interpolate import CubicSpline

from body_cages import cage, foot, line
from cagewright.shape.mesh import nearest
from cagewright.shape.shell import (
    bowed_through,
    floor_height,
    foot_plate,
    line_kind,
    nearest_on_line,
    plain_body,
    roof_skin,
    shell_of,
)

LINES = (
    line("cant_rail_left", (1000, -560, 1240), (1900, -560, 1240)),
    line("cant_rail_right", (1900, 560, 1240), (1000, 560, 1240)),
    line("roof_centre", (1000, 0, 1300), (1900, 0, 1300)),
    line("sill_left", (500, -690, 210), (1900, -690, 220)),
    line("sill_right", (500, 690, 210), (1900, 690, 220)),
)


@pytest.mark.parametrize(
    ("name", "note", "kind"),
    [
        ("cant_rail_left", "", "roof rail"),
        ("header_rail", "", "header"),
        ("roof_centre", "", "roof"),
        ("roof_rail_left", "", "roof rail"),
        ("screen_pillar_left", "inner edge of the roof rail", "pillar"),
        ("door_opening_left", "", "door opening"),
        ("line7", "the sill's upper edge", "sill"),
        ("Rocker", "", "sill"),
        ("screen_pillar_outer_left", "", "outer edge"),
        ("tunnel", "", "floor"),
        ("bulkhead", "", "bulkhead"),
    ],
)
def test_a_line_is_what_its_name_says_else_its_note(name, note, kind):
    assert line_kind(name, note) == kind


def test_inward_is_toward_the_cabin():
    lines = {body.name: body for body in shell_of(cage(lines=LINES), None).lines}
    assert lines["roof_centre"].inward[0] == pytest.approx([0.0, 0.0, -1.0])
    assert lines["sill_left"].inward[0][1] > 0.7
    assert lines["sill_right"].inward[0][1] < -0.7
    assert lines["cant_rail_left"].inward[0][1] > 0.3
    assert lines["cant_rail_left"].inward[0][2] < -0.3


def test_a_point_beyond_a_line_is_on_its_far_side():
    roof = shell_of(cage(lines=LINES), None).lines[2]
    on = nearest_on_line(roof, np.array([[1450.0, 0.0, 1280.0], [1450.0, 0.0, 1330.0], [900.0, 0.0, 1300.0]]))
    assert on.inside == pytest.approx([20.0, -30.0, 0.0])
    assert on.part == pytest.approx([0.5, 0.5, 0.0])


def test_a_tube_beside_a_roof_line_is_not_through_the_roof_there():
    off_centre = line("roof_left", (1000, -300, 1290), (1900, -300, 1290))
    roof = next(x for x in shell_of(cage(lines=(*LINES, off_centre)), None).lines if x.name == "roof_left")
    assert roof.inward == pytest.approx(np.tile([0.0, 0.0, -1.0], (2, 1)))
    # outboard of it the roof falls; a tube 100 mm out and 2 mm over the line's height may be in or under it
    on = nearest_on_line(roof, np.array([[1450.0, -400.0, 1270.0], [1450.0, -400.0, 1292.0]]))
    assert not on.through.any()
    over = nearest_on_line(roof, np.array([[1450.0, -320.0, 1320.0], [1450.0, -300.0, 1291.0]]))
    assert over.through.all()


def test_a_rail_and_a_pillar_face_half_way_between_their_panels():
    # the screen pillar leans back at 45 degrees: under its panel is back and down, beside it across
    pillar = line("screen_pillar_left", (500, -700, 800), (1000, -700, 1300))
    post = line("b_pillar_left", (1500, -700, 300), (1500, -700, 1200))
    lines = {x.name: x for x in shell_of(cage(lines=(*LINES, pillar, post)), None).lines}
    assert lines["screen_pillar_left"].inward[0] == pytest.approx([0.5, np.sqrt(0.5), -0.5])
    assert lines["cant_rail_right"].inward[0] == pytest.approx([0.0, -np.sqrt(0.5), -np.sqrt(0.5)])
    assert lines["b_pillar_left"].inward[0] == pytest.approx([0.0, 1.0, 0.0], abs=1e-9)


def test_the_roof_is_spanned_between_rails_and_centre_whichever_way_they_were_measured():
    mesh = plain_body(shell_of(cage(lines=LINES), None), ())
    assert mesh is not None
    # a parabola through 1240, 1300, 1240: a quarter of the 60 is lost half way out
    away = nearest(mesh, np.array([[1450.0, 280.0, 1285.0], [1450.0, -280.0, 1285.0]])).away
    assert away == pytest.approx([0.0, 0.0], abs=1e-6)


def test_a_roof_of_two_lines_is_spanned_straight_across():
    mesh = roof_skin(shell_of(cage(lines=LINES[:2]), None))
    assert mesh is not None
    assert nearest(mesh, np.array([[1450.0, 100.0, 1250.0]])).away == pytest.approx([10.0])
    assert roof_skin(shell_of(cage(lines=LINES[:1]), None)) is None


def test_the_floor_lies_at_the_lowest_sill_point_or_plate_edge():
    shell = shell_of(cage(lines=LINES), None)
    assert floor_height(shell, ()) == 210.0
    seat = foot("seat", (1000, -640, 160), normal=(0, 1, 0), plate=(80.0, 60.0, 3.0))
    assert floor_height(shell, (seat,)) == pytest.approx(130.0)
    turret = foot("stay", (2300, -500, 90), seat="turret")
    assert floor_height(shell, (turret,)) == 210.0
    mesh = plain_body(shell, (seat,))
    assert mesh is not None
    assert nearest(mesh, np.array([[1200.0, 0.0, 200.0]])).away == pytest.approx([70.0])


def test_nothing_measured_spans_nothing():
    shell = shell_of(cage(), None)
    assert plain_body(shell, ()) is None
    assert floor_height(shell, ()) is None


@pytest.mark.parametrize("normal", [(0, 0, 1), (0, 1, 0), (1, 0, 0), (-1, 0, 0)])
def test_a_plate_s_corners_lie_square_to_its_normal(normal):
    made = foot("a", (10, 20, 30), normal=normal, plate=(80.0, 60.0, 3.0))
    corners = foot_plate(made)
    assert corners.mean(axis=0) == pytest.approx([10.0, 20.0, 30.0])
    assert (corners - made.point) @ made.normal == pytest.approx(np.zeros(4), abs=1e-9)
    sides = sorted(np.linalg.norm(corners - np.roll(corners, 1, axis=0), axis=1))
    assert sides == pytest.approx([60.0, 60.0, 80.0, 80.0])


@pytest.mark.parametrize("count", [2, 3, 4, 5, 7])
def test_a_roof_is_bowed_through_its_lines_as_scipy_does_it(count):
    """Source: scipy.interpolate.CubicSpline, not-a-knot."""
    rng = np.random.default_rng(count)
    at = np.r_[0.0, np.cumsum(rng.uniform(80.0, 400.0, count - 1))]
    lines = rng.normal(size=(count, 6, 3)) * 100.0
    where = np.linspace(0.0, at[-1], 41)
    assert bowed_through(at, lines, where) == pytest.approx(CubicSpline(at, lines)(where), abs=1e-8)
