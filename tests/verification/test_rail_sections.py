"""Section properties of rails against handbook rows and closed forms.

Sources: EN 10219-2 Table B.3 (square and rectangular hollow sections, corners 2 t outside) and EN 10056-1
(angles with their root radius), rows as steel tables print them, from memory; three figures, so 0.5 % of
rounding, 1 % where two are printed. Torsion of a flat bar: Prandtl's series (S. Timoshenko and J. N. Goodier,
Theory of Elasticity, 3rd ed., art. 109, from memory, summed here). Fully plastic torque: A. Nadai's heap of
sand on a rectangle.
"""

import math

import pytest

from cagewright.stock.sections import Section, properties, round_section

HOLLOW = [  # b, h, t, A cm2, Iy, Iz cm4, Wely, Welz, Wply, Wplz cm3, It cm4
    (40, 40, 3, 4.21, 9.32, 9.32, 4.66, 4.66, 5.72, 5.72, 15.8),
    (40, 60, 3, 5.41, 25.4, 13.4, 8.46, 6.72, 10.5, 7.94, 29.3),
]


@pytest.mark.parametrize(("b", "h", "t", "a", "iy", "iz", "ey", "ez", "py", "pz", "it"), HOLLOW)
def test_hollow_sections(b, h, t, a, iy, iz, ey, ez, py, pz, it):
    shape = "square" if b == h else "rectangle"
    s = properties(Section(shape=shape, width=b, depth=h, wall=t, corner=2.0 * t))
    got = (s.area / 1e2, s.inertia / 1e4, s.minor / 1e4, s.elastic / 1e3, s.elastic_minor / 1e3)
    assert got == pytest.approx((a, iy, iz, ey, ez), rel=5e-3)
    assert (s.plastic / 1e3, s.plastic_minor / 1e3, s.torsion / 1e4) == pytest.approx((py, pz, it), rel=5e-3)
    assert s.centroid == pytest.approx((0.0, 0.0), abs=1e-9)
    assert s.shear_centre == (0.0, 0.0)


ANGLES = [  # legs, t, root, A cm2, centroid from the backs cm, Iu, Iv cm4, tan of the turn
    (40, 40, 4, 6, 3.08, 1.12, 1.12, 7.09, 1.86, 1.0),
    (50, 50, 5, 7, 4.80, 1.40, 1.40, 17.4, 4.55, 1.0),
    (40, 60, 5, 6, 4.79, 0.972, 1.96, 19.7, 3.54, 0.434),
]


@pytest.mark.parametrize(("b", "h", "t", "root", "a", "cx", "cy", "iu", "iv", "tan"), ANGLES)
def test_angles(b, h, t, root, a, cx, cy, iu, iv, tan):
    s = properties(Section(shape="angle", width=b, depth=h, wall=t, corner=root))
    assert (s.area / 1e2, s.inertia / 1e4, s.minor / 1e4) == pytest.approx((a, iu, iv), rel=5e-3)
    backs = ((s.centroid[0] + b / 2) / 10, (s.centroid[1] + h / 2) / 10)
    assert backs == pytest.approx((cx, cy), rel=6e-3)
    assert math.tan(abs(s.turn)) == pytest.approx(tan, rel=5e-3)


def test_a_sharp_angle_by_two_rectangles():
    """50 x 40 x 4: sums over the two legs by hand (parallel axes)."""
    b, h, t = 50.0, 40.0, 4.0
    s = properties(Section(shape="angle", width=b, depth=h, wall=t))
    legs = [(b * t, b / 2, t / 2, b * t**3 / 12, t * b**3 / 12),
            ((h - t) * t, t / 2, t + (h - t) / 2, t * (h - t) ** 3 / 12, (h - t) * t**3 / 12)]  # fmt: skip
    area = sum(leg[0] for leg in legs)
    cx, cy = (sum(leg[0] * leg[k] for leg in legs) / area for k in (1, 2))
    ix = sum(i + a * (y - cy) ** 2 for a, _, y, i, _ in legs)
    iy = sum(i + a * (x - cx) ** 2 for a, x, _, _, i in legs)
    ixy = sum(a * (x - cx) * (y - cy) for a, x, y, _, _ in legs)
    spread = math.hypot((ix - iy) / 2, ixy)
    assert s.area == pytest.approx(area)
    assert (s.inertia, s.minor) == pytest.approx(((ix + iy) / 2 + spread, (ix + iy) / 2 - spread))


@pytest.mark.parametrize("b", [6.0, 12.0, 30.0, 60.0])
def test_torsion_of_a_flat_bar_against_prandtl(b):
    t = 6.0
    series = sum(math.tanh(n * math.pi * b / (2 * t)) / n**5 for n in range(1, 200, 2))
    exact = b * t**3 / 3.0 * (1.0 - 192.0 / math.pi**5 * t / b * series)
    got = properties(Section(shape="flat", width=b, depth=t, wall=t)).torsion
    assert got == pytest.approx(exact, rel=3e-3)


def test_a_flat_bar_in_closed_form():
    s = properties(Section(shape="flat", width=40.0, depth=6.0, wall=6.0))
    assert (s.area, s.inertia, s.minor) == pytest.approx((240.0, 32000.0, 720.0))
    assert (s.plastic, s.plastic_minor) == pytest.approx((40.0**2 * 6.0 / 4.0, 40.0 * 6.0**2 / 4.0))
    assert s.twist == pytest.approx(6.0**2 / 6.0 * (3.0 * 40.0 - 6.0))


def test_round_tube_between_outlines_is_the_closed_form():
    """A square with corners of half its side is round tube, and comes to the same by the other way."""
    of = properties(round_section(45.0, 2.5))
    s = properties(Section(shape="square", width=45.0, depth=45.0, wall=2.5, corner=22.5))
    names = ("area", "inertia", "elastic", "plastic", "twist")
    assert [getattr(s, n) for n in names] == pytest.approx([getattr(of, n) for n in names], rel=5e-3)
    assert s.area == pytest.approx(of.area, rel=1e-3)


@pytest.mark.parametrize(
    ("shape", "width", "depth", "wall", "said"),
    [
        ("square", 40, 40, 21, "cannot have a wall"),
        ("angle", 40, 30, 16, "an angle of 40 x 30 mm cannot have a wall of 16"),
        ("flat", 6, 40, 40, "at least as wide as thick"),
        ("round", 20, 20, 11, "a tube of 20 mm"),
        ("rectangle", 40, 0, 2, "more than 0"),
    ],
)
def test_what_cannot_be_is_refused(shape, width, depth, wall, said):
    with pytest.raises(ValueError, match=said):
        Section(shape=shape, width=width, depth=depth, wall=wall)
