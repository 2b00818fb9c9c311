"""Bends of a resolved member against the plane geometry of a fillet, and the thinning rule of thumb.

Sources: arc = R theta and set-back = R tan(theta / 2) at the centreline (plane geometry; figures computed).
Outer wall after bending from constant volume with the neutral axis on the centreline, a rule of thumb of
benders (second-hand): t R / (R + D/2), so 14.29 % is lost at a radius of three diameters.
"""

import math

import pytest

from cagewright.shape.resolve import resolve
from cagewright.stock.benders import inner_wall, outer_wall
from small_plans import plan

ROWS = [  # od, clr, angle, arc, set-back (mm)
    (45.0, 135.0, 90, 212.058, 135.000),
    (44.45, 152.4, 90, 239.389, 152.400),
    (38.0, 114.0, 60, 119.381, 65.818),
    (44.45, 133.35, 45, 104.733, 55.235),
]


def elbow(od, clr, angle):
    """A member of two 400 mm legs with one bend, on two feet."""
    turned = math.radians(angle)
    far = [400 * math.sin(turned), 0, 400 + 400 * math.cos(turned)]
    return resolve(
        plan(
            {"elbow": ("own", [{"foot": "a"}, [0, 0, 400], {"foot": "b"}])},
            feet={
                "a": [0, 0, 0],
                "b": {
                    "at": far,
                    "on": "rigid",
                    "plate": [80, 80, 3],
                    "normal": [-math.sin(turned), 0, -math.cos(turned)],
                },
            },
            tubes={"own": {"od": od, "wall": 2.5, "steel": "E355+N", "clr": clr}},
        )
    ).members[0]


@pytest.mark.parametrize(("od", "clr", "angle", "arc", "setback"), ROWS)
def test_arc_and_setback(od, clr, angle, arc, setback):
    member = elbow(od, clr, angle)
    bend = member.bends[0]
    assert bend.stop - bend.start == pytest.approx(arc, abs=6e-4)
    assert 400.0 - bend.start == pytest.approx(setback, abs=6e-4)
    assert member.path.length == pytest.approx(2 * (400 - setback) + arc, abs=2e-3)
    assert math.degrees(bend.angle) == pytest.approx(angle)


@pytest.mark.parametrize(("od", "clr", "lost"), [(45.0, 135.0, 14.29), (44.45, 152.4, 12.73)])
def test_outer_wall(od, clr, lost):
    tube = elbow(od, clr, 90).tube
    assert 100 * (1 - outer_wall(tube, clr) / tube.wall) == pytest.approx(lost, abs=6e-3)


def test_inner_wall_at_three_diameters():
    tube = elbow(45.0, 135.0, 90).tube
    assert inner_wall(tube, 135.0) / tube.wall == pytest.approx(1.2)
