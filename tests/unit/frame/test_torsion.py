"""Torsional stiffness against a closed form."""

import math
from dataclasses import replace

import pytest

from cagewright.base.say import scale_of
from cagewright.frame.choices import Choices
from cagewright.frame.model import SHEAR_PART
from cagewright.frame.torsion import torsion_of
from cagewright.shape.resolve import resolve
from cagewright.stock.sections import properties, round_section
from push_cages import beam, demo, rigid
from small_plans import plan

HALF, WIDE = 700.0, 1100.0


def ladder():
    """Two rails from front to rear feet, joined at their middles by one tube across."""
    rail = {"role": "longitudinal member", "tube": "hoop", "mirror": "rail_right"}
    path = [{"foot": "front_left"}, {"foot": "rear_left"}]
    across = [{"on": "rail_left", "part": 0.5}, {"on": "rail_right", "part": 0.5}]
    members = {
        "rail_left": {**rail, "path": path},
        "across": {"role": "transverse member", "tube": "bar", "path": across},
    }
    feet = {
        "front_left": {**rigid((-HALF, -WIDE / 2, 0), (1, 0, 0)), "mirror": "front_right"},
        "rear_left": {**rigid((HALF, -WIDE / 2, 0), (-1, 0, 0)), "mirror": "rear_right"},
    }
    return resolve(plan(members, feet=feet))


def test_two_rails_and_one_tube_across():
    """The tube across is twisted by 2 a P, the rails bend as two cantilevers of length a: by statics.

    The front foot moves 2 theta a + 2 P a3/(3 E I) + 2 P a/(G As), theta = a P b/(G J) half the twist.
    """
    rail, bar = properties(round_section(45, 2.5)), properties(round_section(38, 2.5))
    young, shear = 210e3, 210e3 / 2.6
    theta = HALF * WIDE / (shear * bar.torsion)
    bend = HALF**3 / (3 * young * rail.inertia) + HALF / (shear * SHEAR_PART * rail.area)
    moved = 2 * theta * HALF + 2 * bend
    expected = WIDE / (2 * moved / WIDE) * math.pi / 180 * 1e-3
    found = torsion_of(ladder(), Choices(stubs=False, joints="report", flexibility=0.0))
    assert found is not None
    # 0.2 %: a joint called rigid has a stiffness for all that
    assert found.stiffness == pytest.approx(expected, rel=2e-3)
    assert (found.front, found.rear) == (("front_left", "front_right"), ("rear_left", "rear_right"))


def test_foot_pounds():
    """1 ft lb is 0.3048 m x 0.45359237 kg x 9.80665 m/s2 (exact definitions)."""
    assert scale_of("moment", "in").size == pytest.approx(0.3048 * 0.45359237 * 9.80665 * 1e3)


def test_a_cage_without_four_feet_has_none():
    assert torsion_of(beam()) is None


def test_seat_mounts_are_left_out_and_members_add():
    found = torsion_of(demo())
    assert found is not None
    assert found.rear == ("stay_left", "stay_right")
    bars = [m for m in demo().members if m.name != "diagonal_rear"]
    without = replace(
        demo(), members=tuple(bars), joints=tuple(j for j in demo().joints if j.branch != "diagonal_rear")
    )
    less = torsion_of(without)
    assert less is not None
    assert less.stiffness < found.stiffness
