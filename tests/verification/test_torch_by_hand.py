"""Torch access on cases whose answer is known: a T joint in free air, and in the corner of two plates.

Source: computed by hand, docs/theory/torch.md. A branch of radius r stands square on a main tube of radius R,
k = r/R. Round the branch at angle a from the back (b = a from across) the weld point, the two outward normals
and so the line that halves the angle between the surfaces are

    p = (r cos a, r sin a, sqrt(R2 - r2 sin2 a)),
    n1 = (cos a, sin a, 0),  n2 = (0, k sin a, sqrt(1 - k2 sin2 a)),
    t = (n1 + n2) / sqrt(2 + 2 k sin2 a).

A straight torch of one radius q and one pose reaches out to p + T t, so it meets a plate at y = c where
    r sin a + T sin a (1 + k) / sqrt(2 + 2 k sin2 a) + q > c,
and one square to the main at x = d where  r cos a + T cos a / sqrt(2 + 2 k sin2 a) + q > d.
Joint perimeters of 38 on 45: 127.949, 137.950 and 155.115 mm at 90, 60 and 45 degrees (computed).
"""

import math

import numpy as np
import pytest

from body_cages import tee
from cagewright.check.torch.access import torch_access
from cagewright.check.torch.poses import TORCH, Torch
from cagewright.check.torch.stages import Stage
from cagewright.check.torch.weld_points import closed_angle, weld_lines
from cagewright.shape.cloud import cloud_of
from cagewright.shape.mesh import mesh_of
from cagewright.shape.scan import Scan
from cagewright.shape.shell import shell_of

SMALL, BIG = 19.0, 22.5
K = SMALL / BIG
RADIUS = 8.0
STRAIGHT = Torch(
    nozzle=2 * RADIUS, nozzle_length=100.0, stickout=20.0, neck=2 * RADIUS, neck_length=40.0, neck_angle=0.0,
    handle=2 * RADIUS, handle_length=40.0, room=0.0, angles=1, turns=1,
)  # fmt: skip
REACH = 20.0 + 100.0 + 40.0 + 40.0
FINE = 720
IN_PLACE = Stage(name="in place", members=("main", "branch"), body=True, feet=False)


def across(a: float) -> float:
    """How far across the torch reaches at angle a, mm."""
    s = math.sin(a)
    return SMALL * s + REACH * s * (1.0 + K) / math.sqrt(2.0 + 2.0 * K * s * s) + RADIUS


def back(a: float) -> float:
    """How far along the main tube the torch reaches at angle a, mm."""
    s, c = math.sin(a), math.cos(a)
    return SMALL * c + REACH * c / math.sqrt(2.0 + 2.0 * K * s * s) + RADIUS


def plates(*squares: tuple[str, float]) -> Scan:
    """Large plates square to x or y, as a scan."""
    corners, faces = [], []
    for axis, at in squares:
        for u, v in ((-400.0, -200.0), (400.0, -200.0), (400.0, 500.0), (-400.0, 500.0)):
            corners.append([at, u, v] if axis == "x" else [u, at, v])
        n = len(corners)
        faces += [[n - 4, n - 3, n - 2], [n - 4, n - 2, n - 1]]
    mesh = mesh_of(np.array(corners), np.array(faces))
    return Scan(name="plates", mesh=mesh, cloud=cloud_of(mesh), watertight=False, residuals=(), notes=())


def reached(scan: Scan | None, torch: Torch = STRAIGHT):
    made = tee(points=FINE)
    (access,) = torch_access(made, shell_of(made, scan), stages=(IN_PLACE,), torch=torch, each=FINE)
    return access


def expected_share(blocked: list[tuple[float, float]]) -> float:
    """Share of the weld's length outside the blocked arcs (degrees), by fine quadrature of the saddle."""
    a = np.radians(np.linspace(0.0, 360.0, 200_001))
    w = np.sqrt(BIG**2 - (SMALL * np.sin(a)) ** 2)
    step = np.hypot(SMALL * np.diff(a), np.diff(w))
    middle = np.degrees((a[:-1] + a[1:]) / 2.0)
    lost = np.zeros(len(step), dtype=bool)
    for start, stop in blocked:
        lost |= (middle - start) % 360.0 < (stop - start)
    return 1.0 - float(step[lost].sum() / step.sum())


# In the test's T joint phi runs from -x toward -y, so the plates stand at x = -d and y = -c.


@pytest.mark.parametrize("angle", [90, 75, 60, 50, 45])
def test_in_free_air_all_of_it(angle):
    made = tee(angle=math.radians(angle))
    (access,) = torch_access(made, shell_of(made, None))
    assert access.ever == 1.0
    assert access.arcs == ()


def test_the_figures_of_the_derivation():
    assert across(math.radians(40.0)) == pytest.approx(164.58, abs=0.005)
    assert back(math.radians(30.0)) == pytest.approx(135.74, abs=0.005)


def test_one_plate_hides_the_arc_that_the_formula_gives():
    access = reached(plates(("y", -across(math.radians(40.0)))))
    (arc,) = access.arcs
    # half a degree between points, and the plate is known to about a millimetre, 0.4 degrees here
    assert (math.degrees(arc.start), math.degrees(arc.stop)) == pytest.approx((40.0, 140.0), abs=1.0)
    assert access.last == pytest.approx(expected_share([(40.0, 140.0)]), abs=0.006)


def test_a_corner_of_two_plates_hides_both_arcs():
    scan = plates(("y", -across(math.radians(40.0))), ("x", -back(math.radians(30.0))))
    access = reached(scan)
    spans = sorted((round(math.degrees(arc.start)), round(math.degrees(arc.stop))) for arc in access.arcs)
    assert spans == [pytest.approx((40, 140), abs=1), pytest.approx((330, 390), abs=1)]
    assert access.last == pytest.approx(expected_share([(40.0, 140.0), (330.0, 390.0)]), abs=0.01)


def test_plates_just_out_of_reach_hide_nothing():
    scan = plates(("y", -across(math.radians(90.0)) - 3.0), ("x", -back(0.0) - 3.0))
    assert reached(scan).last == 1.0


def test_the_sharper_plate_hides_more():
    shares = [reached(plates(("y", -across(math.radians(a))))).last for a in (70.0, 50.0, 30.0)]
    assert shares[0] > shares[1] > shares[2]


def test_room_to_lean_never_hides_more():
    scan = plates(("y", -across(math.radians(40.0))))
    stiff = reached(scan).last
    leaning = reached(scan, Torch(**{**_fields(STRAIGHT), "angles": 5})).last
    assert leaning > stiff + 0.02


def _fields(torch: Torch) -> dict[str, float]:
    return {name: getattr(torch, name) for name in Torch.__dataclass_fields__}


@pytest.mark.parametrize(("angle", "perimeter"), [(90, 127.949), (60, 137.950), (45, 155.115)])
def test_the_points_stand_for_the_whole_perimeter(angle, perimeter):
    (line,) = weld_lines(tee(angle=math.radians(angle)))
    assert float(line.run.sum()) == pytest.approx(perimeter, rel=2e-3)  # chords of 72 points


@pytest.mark.parametrize("angle", [90, 60, 45])
def test_the_angle_between_the_surfaces_at_heel_and_crotch(angle):
    """In the plane of both axes: the joint's angle at the crotch, what is left of 180 at the heel."""
    (line,) = weld_lines(tee(angle=math.radians(angle)))
    found = np.degrees(closed_angle(line))
    assert found[0] == pytest.approx(180.0 - angle)
    assert found[len(found) // 2] == pytest.approx(angle)


def test_the_round_mouth_goes_in_down_to_the_angle_that_geometry_allows():
    """sin(angle/2) (wire + radius) = radius + room: 40.5 degrees for the default torch held in one pose."""
    least = 2.0 * math.degrees(math.asin((8.0 + TORCH.room) / (TORCH.stickout + 8.0)))
    assert least == pytest.approx(40.5, abs=0.05)
    stiff = Torch(**{**_fields(TORCH), "angles": 1})
    for off, all_round in ((0.05, True), (-0.05, False)):
        made = tee(angle=math.radians(least + off))
        (access,) = torch_access(made, shell_of(made, None), torch=stiff)
        assert (access.ever == 1.0) == all_round
