"""Metal in a tube's way: what may be cut and what never, its area and its template against closed forms."""

import dataclasses
import math

import numpy as np
import pytest

from body_cages import cage, line, straight
from cagewright.check.body.findings import body_findings
from cagewright.shape.cloud import cloud_of
from cagewright.shape.laid_flat import laid_flat
from cagewright.shape.mesh import mesh_of
from cagewright.shape.scan import Scan
from cagewright.shape.trims import ADDED, metal_known, trims_of
from cagewright.shape.types import Metal

BAR = straight("bar", (0, 0, 0), (1000, 0, 0))
RADIUS = 19.0


INSIDE = np.array([900.0, 0.0, -100.0])
"""A place in the cabin, mm."""


def scan_of(corners, faces) -> Scan:
    mesh = mesh_of(np.array(corners, dtype=float), np.array(faces))
    return Scan(name="shell", mesh=mesh, cloud=cloud_of(mesh), watertight=False, residuals=(), notes=())


def tongue(*, reach: float = 10.0) -> Scan:
    """A sheet across the bar at 500 back that stands up to ``reach`` mm over its axis, and a far wall."""
    sheet = [[500, -200, -300], [500, 200, -300], [500, 200, reach], [500, -200, reach]]
    wall = [[-500, 400, -300], [1500, 400, -300], [1500, 400, 300], [-500, 400, 300]]
    return scan_of(sheet + wall, [[0, 1, 2], [0, 2, 3], [4, 5, 6], [4, 6, 7]])


def marked(mark, *, reach=400.0, at=(500.0, 0.0, 0.0)) -> Metal:
    return Metal(name="tongue", mark=mark, points=np.array([at]), reach=reach)


def found(*metal, scan=None, lines=()):
    made = dataclasses.replace(cage(BAR, lines=lines), metal=metal)
    return trims_of(made, scan or tongue(), metal_known(made))


def test_the_area_is_the_circles_segment_with_the_gap_added():
    (trim,) = found()
    r, h = RADIUS + ADDED, 10.0
    # area of a circle below a chord h over its middle: plane geometry
    below = math.pi * r * r - (r * r * math.acos(h / r) - h * math.sqrt(r * r - h * h))
    assert trim.area == pytest.approx(below, rel=0.01)
    assert trim.depth == pytest.approx(RADIUS, abs=1.0)
    assert trim.at == pytest.approx([500.0, 0.0, 0.0], abs=3.0)


def test_its_template_is_flat_and_of_that_size():
    (trim,) = found(scan=tongue(reach=300.0))
    flat = laid_flat(trim.corners, trim.faces, seen_from=INSIDE)
    assert not flat.bent
    (loop,) = flat.loops
    assert np.ptp(loop, axis=0) == pytest.approx([2.0 * (RADIUS + ADDED)] * 2, abs=0.3)


@pytest.mark.parametrize("mark", ["seam", "anchorage", "rail", "pillar"])
def test_marked_metal_is_never_cut(mark):
    (trim,) = found(marked("trimmable"), marked(mark, reach=30.0, at=(500.0, 20.0, 0.0)))
    assert trim.standing == "never"


def test_only_what_is_marked_trimmable_as_a_whole_may_be_cut():
    assert found(marked("trimmable"))[0].standing == "trimmable"
    assert found(marked("trimmable", reach=15.0))[0].standing == "ask first"
    assert found()[0].standing == "ask first"


def test_metal_along_a_measured_pillar_is_the_pillars():
    (trim,) = found(marked("trimmable"), lines=[line("pillar_left", (500, 30, -300), (500, 30, 300))])
    assert (trim.standing, trim.mark) == ("never", "pillar_left")


def test_beside_it_nothing_is_in_the_way():
    assert found(scan=tongue(reach=-40.0)) == ()


def findings(*metal):
    made = dataclasses.replace(cage(BAR), metal=metal)
    scan = tongue(reach=-5.0)  # under the axis, so that the whole tube is on this side of it
    return [f for f in body_findings(made, scan) if f.rule in ("body-clearance", "body-trim")]


def test_the_checks_run_with_trimmable_metal_gone_and_say_so():
    clear, trim = findings(marked("trimmable"))
    assert (clear.rule, clear.verdict) == ("body-clearance", "pass")
    assert (trim.rule, trim.verdict) == ("body-trim", "look at")
    assert "as if it were cut out already" in trim.why


@pytest.mark.parametrize(("metal", "words"), [((), "ask first"), ((marked("seam"),), "never cut")])
def test_of_the_rest_it_is_said_to_move_the_tube_and_nothing_is_hammered(metal, words):
    (cut,) = findings(*metal)
    assert cut.verdict == "fail"
    assert cut.advice.startswith("move bar in by 19 mm")
    assert words in cut.advice
    assert not any(word in cut.advice for word in ("hammer", "dress", "beat"))


@pytest.mark.parametrize("bulge", [0.0, 40.0])
@pytest.mark.parametrize("turned", [False, True])
@pytest.mark.parametrize(("seen_from", "handed"), [((0.0, 0.0, 900.0), 1.0), ((0.0, 0.0, -900.0), -1.0)])
def test_a_template_is_drawn_as_it_is_seen(bulge, turned, seen_from, handed):
    """Seen from above, a car with its front up has its left on the left: from front to left is anticlockwise.

    Seen from below it is clockwise (plain geometry).
    """
    x, y = (v.ravel() for v in np.meshgrid(np.arange(0.0, 90.0, 10.0), np.arange(0.0, 60.0, 10.0)))
    corners = np.stack([x, y, 20.0 - bulge * (y / 60.0) ** 2], axis=1)
    i, j = (v.ravel() for v in np.meshgrid(np.arange(8), np.arange(5)))
    p = j * 9 + i
    faces = np.concatenate([np.stack([p, p + 1, p + 9], axis=1), np.stack([p + 1, p + 10, p + 9], axis=1)])
    flat = laid_flat(corners, faces[:, ::-1] if turned else faces, seen_from=np.array(seen_from))
    front, left = -flat.ways[0], -flat.ways[1]
    assert np.hypot(*front) == pytest.approx(1.0, abs=0.02)
    assert abs(float(front @ left)) < 0.05
    assert handed * (front[0] * left[1] - front[1] * left[0]) > 0.5


def test_a_bent_sheet_is_unrolled_to_its_true_size():
    """A quarter of a cylinder of radius 40 and length 30 unrolls to pi / 2 * 40 by 30 (plane geometry)."""
    a, s = np.meshgrid(np.linspace(0.0, math.pi / 2.0, 25), np.linspace(0.0, 30.0, 13), indexing="ij")
    corners = np.stack([s, 40.0 * np.cos(a), 40.0 * np.sin(a)], axis=2).reshape(-1, 3)
    i, j = (v.ravel() for v in np.meshgrid(np.arange(24), np.arange(12), indexing="ij"))
    p = i * 13 + j
    faces = np.concatenate([np.stack([p, p + 1, p + 13], axis=1), np.stack([p + 1, p + 14, p + 13], axis=1)])
    flat = laid_flat(corners, faces, seen_from=INSIDE)
    assert flat.bent
    assert flat.stretch < 0.01
    (loop,) = flat.loops
    sides = np.hypot(*(loop - np.roll(loop, 1, axis=0)).T)
    assert sides.sum() == pytest.approx(2.0 * (30.0 + 20.0 * math.pi), rel=0.005)


def test_a_piece_of_a_ball_has_to_stretch_and_says_so():
    a, s = np.meshgrid(np.linspace(0.05, 1.2, 16), np.linspace(0.0, 3.0, 32), indexing="ij")
    corners = 50.0 * np.stack([np.sin(a) * np.cos(s), np.sin(a) * np.sin(s), np.cos(a)], axis=2).reshape(
        -1, 3
    )
    i, j = (v.ravel() for v in np.meshgrid(np.arange(15), np.arange(31), indexing="ij"))
    p = i * 32 + j
    faces = np.concatenate([np.stack([p, p + 1, p + 32], axis=1), np.stack([p + 1, p + 33, p + 32], axis=1)])
    assert laid_flat(corners, faces, seen_from=INSIDE).stretch > 0.03
