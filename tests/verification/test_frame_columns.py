"""Columns, section classes and the M-N surface of round tubes.

EN 1993-1-1:2005 6.3.1 and Tables 5.2, 6.1 (formulas and limits second-hand; table values computed by an
independent route); AISC 360-16 E3, F8, Table B4.1 (second-hand; verified value 40.6 / 179.8 for E 29 000 ksi,
Fy 50 ksi). M-N surface: thin ring cos(pi n/2) and exact annulus (computed).
"""

from __future__ import annotations

import pytest

from cagewright.frame import member_checks as mc
from cagewright.stock.tubes import section

CHI = {
    0.4: (0.9701, 0.9528, 0.9261, 0.8973, 0.8504), 0.6: (0.9276, 0.8900, 0.8371, 0.7854, 0.7100),
    0.8: (0.8533, 0.7957, 0.7245, 0.6622, 0.5797), 1.0: (0.7253, 0.6656, 0.5970, 0.5399, 0.4671),
    1.2: (0.5732, 0.5300, 0.4781, 0.4338, 0.3762), 1.4: (0.4461, 0.4179, 0.3817, 0.3492, 0.3055),
    1.6: (0.3520, 0.3332, 0.3079, 0.2842, 0.2512), 2.0: (0.2323, 0.2229, 0.2095, 0.1962, 0.1766),
}  # fmt: skip

COLUMNS = [
    (45, 2.5, 350, 1000, "c", 156.74, 0.86334, 0.62251, 72.727),
    (45, 2.5, 350, 1500, "c", 69.663, 1.2950, 0.39093, 45.672),
    (38, 2.5, 350, 800, "c", 142.95, 0.82624, 0.64569, 63.010),
    (48.3, 3.2, 355, 2000, "a", 60.032, 1.6374, 0.31999, 51.504),
    (48.3, 3.2, 355, 2000, "c", 60.032, 1.6374, 0.27388, 44.083),
    (60.3, 4, 235, 2500, "c", 93.427, 1.3340, 0.37477, 62.309),
]


@pytest.mark.parametrize("slender", CHI)
def test_chi_table(slender):
    got = [mc.ec3_reduction(slender, curve=c) for c in ("a0", "a", "b", "c", "d")]
    assert got == pytest.approx(CHI[slender], abs=6e-5)


def test_stocky_columns_are_not_reduced_and_unknown_curves_are_refused():
    assert mc.ec3_reduction(0.15, curve="d") == 1.0
    with pytest.raises(ValueError, match="no column curve"):
        mc.ec3_reduction(1.0, curve="e")


@pytest.mark.parametrize(
    ("od", "wall", "fy", "length", "curve", "euler", "slender", "chi", "strength"), COLUMNS
)
def test_ec3_columns(od, wall, fy, length, curve, euler, slender, chi, strength):
    s = section(od, wall)
    given = {"inertia": s.inertia, "length": length, "young": 210e3}
    assert mc.euler_load(**given) == pytest.approx(euler * 1e3, rel=5e-5)
    got = mc.ec3_slenderness(area=s.area, fy=fy, **given)
    assert got == pytest.approx(slender, rel=5e-5)
    assert mc.ec3_reduction(got, curve=curve) == pytest.approx(chi, rel=5e-5)
    assert mc.ec3_column(area=s.area, fy=fy, curve=curve, **given) == pytest.approx(strength * 1e3, rel=5e-5)


@pytest.mark.parametrize(("length", "stress", "strength"), [(1000, 252.24, 84.195), (1500, 167.49, 55.906)])
def test_aisc_columns(length, stress, strength):
    s = section(45, 2.5)
    got = mc.aisc_column(area=s.area, inertia=s.inertia, length=length, young=200e3, fy=350)
    assert got == pytest.approx(strength * 1e3, rel=5e-5)
    assert got / s.area == pytest.approx(stress, rel=5e-5)


def test_aisc_long_column_is_elastic():
    s = section(45, 2.5)
    got = mc.aisc_column(area=s.area, inertia=s.inertia, length=3000, young=200e3, fy=350)
    assert got == pytest.approx(0.877 * mc.euler_load(inertia=s.inertia, length=3000, young=200e3), rel=1e-9)


CLASSES = [
    (235, 50.0, 70.0, 90.0),
    (350, 33.57, 47.0, 60.43),
    (450, 26.11, 36.56, 47.0),
    (483, 24.33, 34.06, 43.79),
]


@pytest.mark.parametrize(("fy", "first", "second", "third"), CLASSES)
def test_class_limits(fy, first, second, third):
    for limit, inside in ((first, 1), (second, 2), (third, 3)):
        assert mc.ec3_class(od=100.0, wall=100.0 / (limit - 0.01), fy=fy) == inside
        assert mc.ec3_class(od=100.0, wall=100.0 / (limit + 0.01), fy=fy) == inside + 1


def test_classes_of_cage_tubes():
    assert mc.ec3_class(od=45, wall=2.5, fy=350) == 1
    assert mc.ec3_class(od=50, wall=2.0, fy=483) == 2


@pytest.mark.parametrize(
    ("fy", "compact", "noncompact", "axial"), [(235, 59.6, 263.8, 93.6), (483, 29.0, 128.4, 45.5)]
)
def test_aisc_limits(fy, compact, noncompact, axial):
    assert mc.aisc_bending_limits(young=200e3, fy=fy) == pytest.approx((compact, noncompact), abs=0.06)
    assert mc.aisc_axial_limit(young=200e3, fy=fy) == pytest.approx(axial, abs=0.06)


def test_aisc_limits_in_ksi():
    assert mc.aisc_bending_limits(young=29000, fy=50) == pytest.approx((40.6, 179.8), abs=0.05)


def test_aisc_bending_takes_the_right_formula():
    s = section(45, 2.5)
    assert mc.aisc_bending(od=45, wall=2.5, young=200e3, fy=350) == pytest.approx(s.plastic * 350, rel=1e-9)
    thin = section(100, 1.5)
    want = (0.021 * 200e3 / (100 / 1.5) + 350) * thin.elastic
    assert mc.aisc_bending(od=100, wall=1.5, young=200e3, fy=350) == pytest.approx(want, rel=1e-9)
    thinner = section(100, 0.5)
    assert mc.aisc_bending(od=100, wall=0.5, young=200e3, fy=350) == pytest.approx(
        0.33 * 200e3 / 200 * thinner.elastic, rel=1e-9
    )
    with pytest.raises(ValueError, match="F8"):
        mc.aisc_bending(od=100, wall=0.3, young=200e3, fy=350)


SURFACE = [
    (0.1, 0.98769, 0.98770, 0.98772), (0.2, 0.95106, 0.95111, 0.95118), (0.3, 0.89101, 0.89114, 0.89130),
    (0.4, 0.80902, 0.80926, 0.80955), (0.5, 0.70711, 0.70751, 0.70800), (0.6, 0.58779, 0.58843, 0.58919),
    (0.7, 0.45399, 0.45500, 0.45623), (0.8, 0.30902, 0.31077, 0.31296), (0.9, 0.15643, 0.15938, 0.16163),
]  # fmt: skip


@pytest.mark.parametrize(("n", "thin", "hoop", "thick"), SURFACE)
def test_axial_force_with_bending(n, thin, hoop, thick):
    assert mc.moment_left_thin(n) == pytest.approx(thin, abs=6e-6)
    assert mc.moment_left(n, od=45, wall=2.5) == pytest.approx(hoop, abs=2e-5)
    # the table's thick tube is 1.5 in by 0.120 in, 38.1 x 3.05 to the nearest 0.01 mm
    assert mc.moment_left(n, od=38.1, wall=3.048) == pytest.approx(thick, abs=4e-5)


def test_ends_of_the_surface():
    assert mc.moment_left(0.0, od=45, wall=2.5) == pytest.approx(1.0)
    assert mc.moment_left(1.0, od=45, wall=2.5) == pytest.approx(0.0, abs=1e-9)
    with pytest.raises(ValueError, match="squash"):
        mc.moment_left(1.01, od=45, wall=2.5)


def test_torque_takes_from_bending():
    assert mc.shear_reduced(350.0, torque_part=0.6) == pytest.approx(280.0)
    with pytest.raises(ValueError, match="torque"):
        mc.shear_reduced(350.0, torque_part=1.1)
