"""Gaps, cuts, hugging and feet on cages small enough to reckon by hand."""

import dataclasses
import math

import numpy as np
import pytest

from body_cages import bent, cage, end, foot, line, saw, straight
from cagewright.plan.types import PersonEntry
from cagewright.shape.body_offset import ROOF_SKIN, body_offsets, foot_reaches
from cagewright.shape.clearance import boxes_apart
from cagewright.shape.cloud import cloud_of
from cagewright.shape.mesh import mesh_of
from cagewright.shape.scan import Scan
from cagewright.shape.scan_gap import clearances
from cagewright.shape.shell import shell_of
from cagewright.shape.standing import MAIN, SCREEN
from saloon import box

BAR = straight("bar", (0, 0, 0), (1000, 0, 0), od=38)
LOW = line("floor_low", (-3000, -700, -1000), (-3000, 700, -1000))
"""Only there so that the cabin's middle lies where a roof would have it."""


def scan_of(corners, faces) -> Scan:
    mesh = mesh_of(corners, faces)
    return Scan(name="shell.stl", mesh=mesh, cloud=cloud_of(mesh), watertight=False, residuals=(), notes=())


def gaps(*members, lines=(), scan=None, feet=()):
    made = cage(*members, lines=lines, feet=feet)
    return clearances(made, shell_of(made, scan))


def test_a_line_beside_a_tube():
    (gap,) = gaps(BAR, lines=[line("edge", (200, 30, 40), (800, 30, 40))])
    assert gap.gap == pytest.approx(50.0 - 19.0)
    assert gap.cuts == ()
    assert np.linalg.norm(gap.on_tube - gap.on_body) == pytest.approx(31.0)
    assert np.linalg.norm(gap.on_tube[1:]) == pytest.approx(19.0)
    assert gap.panel == "edge"


def test_the_place_is_found_between_the_stations():
    (gap,) = gaps(BAR, lines=[line("edge", (333.3, -100, 60), (333.3, 100, 60))])
    assert gap.along == pytest.approx(333.3)
    assert gap.gap == pytest.approx(41.0)


def test_of_lines_that_are_clear_only_the_nearest_is_told():
    near, far = line("near", (200, 0, 40), (800, 0, 40)), line("far", (200, 0, 90), (800, 0, 90))
    assert [gap.to for gap in gaps(BAR, lines=[far, near])] == ["near"]


def test_a_cut_is_told_however_near_another_line_is():
    """The nearest box belongs to a line that is clear; the roof line the tube is through lies further off."""
    lines = [
        line("edge", (0, 25, 0), (1000, 25, 0)),
        line("roof_centre", (-200, 0, -70), (1200, 0, -70)),
        LOW,
    ]
    (gap,) = gaps(BAR, lines=lines)
    assert gap.to == "roof_centre"
    assert gap.cuts[0].depth == pytest.approx(89.0)


def test_boxes_lie_no_further_apart_than_what_is_in_them():
    made = shell_of(
        cage(lines=[line("a", (0, 0, 0), (100, 100, 0)), line("b", (50, 0, 0), (50, 90, 40))]), None
    )
    points = np.array([[130.0, 140.0, 0.0], [200.0, 150.0, 60.0]])
    assert boxes_apart(points, made.lines).tolist() == pytest.approx([50.0, math.hypot(80.0, 50.0)])


def test_a_cut_is_never_a_negative_gap():
    (gap,) = gaps(BAR, lines=[line("edge", (200, 0, 10), (800, 0, 10))])
    assert gap.gap == 0.0
    (cut,) = gap.cuts
    assert cut.depth == pytest.approx(9.0)
    # past its ends the line is within 19 mm of the axis for another sqrt(19^2 - 10^2) mm
    reach = math.sqrt(19**2 - 10**2)
    assert (cut.start, cut.stop) == pytest.approx(
        (200 - reach, 800 + reach), abs=1.5
    )  # stations are 10 mm apart


def test_a_line_across_the_tube_cuts_over_its_chord():
    (gap,) = gaps(BAR, lines=[line("edge", (503, -100, 5), (503, 100, 5))])
    (cut,) = gap.cuts
    chord = 2.0 * math.sqrt(19**2 - 5**2)
    assert cut.stop - cut.start == pytest.approx(chord, abs=2.0)  # stations are 10 mm apart
    assert cut.depth == pytest.approx(14.0)


def test_a_cut_thinner_than_the_stations_is_still_found():
    (gap,) = gaps(BAR, lines=[line("edge", (505, -100, 18.9), (505, 100, 18.9))])
    (cut,) = gap.cuts
    assert cut.depth == pytest.approx(0.1)


def test_a_tube_above_the_roof_line_is_through_the_roof():
    roof = line("roof_centre", (-200, 0, -30), (1200, 0, -30))
    (gap,) = gaps(BAR, lines=[roof, LOW])
    assert gap.gap == 0.0
    assert gap.cuts[0].depth == pytest.approx(19.0 + 30.0)
    assert gap.cuts[0].stop - gap.cuts[0].start == pytest.approx(1000.0)


def test_a_tube_below_the_roof_line_is_clear():
    roof = line("roof_centre", (-200, 0, 30), (1200, 0, 30))
    (gap,) = gaps(BAR, lines=[roof, LOW])
    assert gap.gap == pytest.approx(11.0)


def test_a_doorbar_outside_the_sill_line_is_not_through_anything():
    sill = line("sill_left", (-200, -600, -30), (1200, -600, -30))
    bar = straight("bar", (0, -700, 0), (1000, -700, 0), role="doorbar")
    (gap,) = gaps(bar, lines=[sill, line("roof_centre", (0, 0, 1000), (1000, 0, 1000))])
    assert gap.cuts == ()


def landed(name="leg", top=900.0):
    """A leg that stands on a foot at the datum."""
    stop = saw(np.array([0.0, 0.0, 0.0]), np.array([0.0, 0.0, 1.0]))
    return straight(name, (0, 0, 0), (0, 0, top), start=end("start", stop, foot="foot"))


def test_the_ground_under_a_foot_is_not_a_cut():
    made = foot("foot", (0, 0, 0), members=("leg",))
    sill = line("sill_left", (-500, 10, 0), (500, 10, 0))
    (gap,) = gaps(landed(), lines=[sill], feet=[made])
    # half the plate (60) and the tube's radius (19) up the leg: sqrt(79^2 + 10^2) - 19
    assert gap.gap == pytest.approx(math.hypot(79.0, 10.0) - 19.0, abs=1.0)  # stations are 10 mm apart


def test_without_a_foot_the_same_line_cuts():
    leg = straight("leg", (0, 0, 0), (0, 0, 900))
    (gap,) = gaps(leg, lines=[line("sill_left", (-500, 10, 0), (500, 10, 0))])
    assert gap.cuts


# ---- the scan


def wall(height=200.0, y=100.0):
    """A wall square to across, open all round."""
    corners = np.array([[-500.0, y, -height], [1500, y, -height], [1500, y, height], [-500, y, height]])
    return scan_of(corners, np.array([[0, 1, 2], [0, 2, 3]]))


def test_the_gap_to_a_wall():
    (gap,) = gaps(BAR, scan=wall())
    assert gap.gap == pytest.approx(81.0)
    assert gap.to == "shell.stl"
    assert gap.panel is None


def test_a_tube_further_than_the_close_look_still_has_its_gap():
    (gap,) = gaps(BAR, scan=wall(y=700.0))
    assert gap.gap == pytest.approx(681.0)


def test_a_tube_that_leans_into_a_wall_cuts_in_from_where_it_touches():
    bar = straight("bar", (0, 0, 0), (1000, 90, 0), od=38)
    (gap,) = gaps(bar, scan=wall())
    (cut,) = gap.cuts
    slope = 90.0 / 1000.0
    touch = (100.0 - 19.0) / math.sin(math.atan(slope))
    assert gap.gap == 0.0
    assert cut.start == pytest.approx(touch, abs=0.1)
    assert cut.depth == pytest.approx(19.0 - 10.0, abs=0.1)


def test_a_tube_through_a_wall_is_cut_on_its_short_side():
    bar = straight("bar", (0, -600, 0), (0, 150, 0), od=38)
    (gap,) = gaps(bar, scan=wall())
    (cut,) = gap.cuts
    assert cut.depth == pytest.approx(19.0 + 50.0)
    assert cut.start == pytest.approx(700.0 - 19.0, abs=0.1)
    assert cut.stop == pytest.approx(750.0)


def test_two_places_are_two_cuts():
    made = scan_of(*box((100.0, 60.0, 400.0), middle=(200.0, 45.0, 0.0)))
    both = scan_of(
        np.vstack([made.mesh.corners, made.mesh.corners + np.array([500.0, 0.0, 0.0])]),
        np.vstack([made.mesh.faces, made.mesh.faces + 8]),
    )
    (gap,) = gaps(BAR, scan=both)
    assert [round(cut.depth) for cut in gap.cuts] == [4, 4]
    assert [cut.start < 200 < cut.stop for cut in gap.cuts] == [True, False]


def test_the_panel_is_the_nearest_named_line():
    lines = [
        line("sill_right", (0, 120, -500), (1000, 120, -500)),
        line("rail", (0, 120, 90), (1000, 120, 90)),
    ]
    found = gaps(BAR, lines=lines, scan=wall())
    assert [gap.panel for gap in found if gap.to == "shell.stl"] == ["rail"]


def test_the_leg_s_own_floor_is_not_its_gap():
    floor = scan_of(np.array([[-900.0, -900, 0], [900, -900, 0], [0, 900, 0]]), np.array([[0, 1, 2]]))
    (gap,) = gaps(landed(), scan=floor, feet=[foot("foot", (0, 0, 0), members=("leg",))])
    assert gap.cuts == ()
    assert gap.gap > 200.0


def test_a_pinch_above_the_foot_is_its_gap():
    leg = landed()
    floor = np.array([[-900.0, -900, 0], [900, -900, 0], [0, 900, 0]])
    beam = np.array([[-500.0, 45, 380], [500, 45, 380], [0, 45, 420]])
    scan = scan_of(np.vstack([floor, beam]), np.array([[0, 1, 2], [3, 4, 5]]))
    (gap,) = gaps(leg, scan=scan, feet=[foot("foot", (0, 0, 0), members=("leg",))])
    assert gap.gap == pytest.approx(26.0)
    assert 370.0 < gap.along < 430.0


# ---- following the body


def test_a_rail_followed_at_a_growing_gap():
    rail = line("cant_rail_left", (0, -40, 30), (1000, -40, 60))
    made = cage(BAR, lines=[rail, LOW])
    (offset,) = body_offsets(made, shell_of(made, None), follows={BAR.name: SCREEN})
    near, far = math.hypot(40, 30) - 19, math.hypot(40, 60) - 19
    assert offset.least == pytest.approx(near, abs=0.5)
    assert offset.most == pytest.approx(far, abs=0.5)
    assert near < offset.mean < far
    assert offset.most_along == pytest.approx(1000.0, abs=15.0)


def test_a_tube_that_crosses_a_rail_has_one_gap():
    rail = line("cant_rail_left", (500, -500, 40), (500, 500, 40))
    made = cage(BAR, lines=[rail, LOW])
    (offset,) = body_offsets(made, shell_of(made, None), follows={BAR.name: MAIN})
    assert offset.start == offset.stop
    assert offset.mean == offset.most == pytest.approx(21.0)


def test_where_a_scan_is_there_it_is_followed_in_place_of_the_lines():
    leg, along = straight("leg", (0, 0, 0), (1000, 50, 0)), {"leg": SCREEN}
    made = cage(leg, BAR)
    (offset,) = body_offsets(made, shell_of(made, wall()), follows=along)
    assert (offset.member, offset.line) == ("leg", "shell.stl")
    assert (offset.most, offset.least) == pytest.approx((81.0, 31.0), abs=0.5)
    assert offset.mean == pytest.approx(56.0, abs=0.5)
    rail = line("cant_rail_left", (0, -40, 30), (1000, -40, 60))
    again = cage(leg, lines=[rail])
    assert [h.line for h in body_offsets(again, shell_of(again, wall()), follows=along)] == ["shell.stl"]
    assert [h.line for h in body_offsets(again, shell_of(again, None), follows=along)] == ["cant_rail_left"]


def test_the_roof_is_followed_as_a_skin_and_only_where_the_tube_runs_along_it():
    """A hoop up through the cabin and across under a level roof 40 mm above its axis."""
    hoop = bent("hoop")
    z = 635.0 + 40.0
    rails = [line(f"cant_rail_{y}", (-400, y, z), (400, y, z)) for y in (-300, 900)]
    made = cage(hoop, lines=[*rails, line("roof_centre", (-400, 300, z), (400, 300, z)), LOW])
    found = body_offsets(made, shell_of(made, None), follows={"hoop": MAIN})
    skin = next(offset for offset in found if offset.line == ROOF_SKIN)
    assert skin.least == pytest.approx(40.0 - 22.5)
    assert skin.start > 500.0  # not the leg below the bend
    assert skin.stop == pytest.approx(hoop.path.length)
    # tilted by asin(0.35) in the bend it hangs 135 (1 - cos) lower
    assert skin.most == pytest.approx(17.5 + 135.0 * (1.0 - math.sqrt(1.0 - 0.35**2)), abs=4.0)  # per station


def test_a_doorbar_follows_no_roof():
    made = cage(
        dataclasses.replace(BAR, role="doorbar"), lines=[line("cant_rail_left", (0, 0, 30), (1000, 0, 30))]
    )
    assert body_offsets(made, shell_of(made, None)) == ()


@pytest.mark.parametrize(
    ("y", "sill", "inboard"), [(-600, -650, 50.0), (600, 650, 50.0), (-660, -650, -10.0)]
)
def test_how_far_a_foot_stands_inboard(y, sill, inboard):
    made = cage(
        landed(),
        feet=[foot("foot", (0, y, 0), members=("leg",))],
        lines=[line("sill_left", (-500, sill, 5), (500, sill, 5))],
    )
    (reach,) = foot_reaches(made, shell_of(made, None))
    assert reach.inboard == pytest.approx(inboard)
    assert reach.bending == pytest.approx(1000.0 * inboard)  # N mm for 1 kN


def test_feet_on_turrets_and_of_seats_are_left_out():
    # a bar from foot to foot under the driver's hips
    seat = straight("rail", (0, -600, 0), (0, -200, 0))
    made = cage(
        seat,
        feet=[
            foot("a", (0, -600, 0), members=("rail",)),
            foot("c", (0, -200, 0), members=("rail",)),
            foot("b", (0, -600, 0), seat="turret"),
        ],
        driver=PersonEntry(hip=(0.0, -400.0, 250.0)),
        lines=[line("sill_left", (-500, -650, 5), (500, -650, 5))],
    )
    assert foot_reaches(made, shell_of(made, None)) == ()


def test_a_bend_is_as_near_as_its_arc():
    """The bend's outside passes 135 (sqrt 2 - 1) inside the corner of its straights, less its radius."""
    corner = line("edge", (0, 0, 635), (-1, 0, 635))
    (gap,) = gaps(bent("hoop"), lines=[corner])
    assert gap.gap == pytest.approx(135.0 * (math.sqrt(2.0) - 1.0) - 22.5, abs=0.01)
