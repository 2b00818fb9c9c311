"""Every cope of the example plans lies on its mains, and on nothing's inside.

Source: the definition of a fitted joint. A point of the cut is at the main's outside radius from the nearest
point of some main's centre line (distance recomputed here by sampling-free closed forms: straight, and circle
in its plane), and at no less from every other member whose tube is not cut away by its own joint there.
"""

from pathlib import Path

import numpy as np
import pytest

from cagewright.plan.read import read_plan
from cagewright.shape.distance import to_piece
from cagewright.shape.resolve import resolve
from cagewright.shape.types import Cope, member_named

PLANS = ["brackwater.yaml", "brackwater-inch.yaml", "roll-bar.yaml"]
ON = 1e-6


@pytest.fixture(scope="module", params=PLANS)
def cage(request):
    return resolve(read_plan(Path(__file__).parents[2] / "examples" / request.param))


def copes(cage):
    return [(m, e.cut) for m in cage.members for e in m.ends if isinstance(e.cut, Cope)]


def spots(member, cope):
    """Points on the outside and on the bore, (2, n, 3) mm."""
    side = np.cross(cope.axis, cope.zero)
    out = np.cos(cope.phi)[:, None] * cope.zero + np.sin(cope.phi)[:, None] * side
    walls = ((member.tube.radius, cope.outside), (member.tube.bore / 2.0, cope.inside))
    return np.array([cope.origin + r * out + w[:, None] * cope.axis for r, w in walls])


def gaps(main, points):
    """From points to a member's outside, mm; negative inside its tube."""
    return np.min([to_piece(points, piece) for piece in main.path.pieces], axis=0) - main.tube.radius


def test_the_plans_have_copes(cage):
    assert len(copes(cage)) >= 4


def test_every_point_is_on_a_main_and_in_none(cage):
    for member, cope in copes(cage):
        away = np.min([gaps(member_named(cage, n), spots(member, cope)) for n in cope.mains], axis=0)
        assert away == pytest.approx(0.0, abs=ON), member.name


def test_nothing_else_stands_in_the_wall_just_above_the_cut(cage):
    # a hair above the cut no other tube may be met either: bar those ends that are themselves cut away there
    for member, cope in copes(cage):
        above = spots(member, cope) + 1e-3 * cope.axis
        for other in cage.members:
            if other.name in {member.name, *cope.mains}:
                continue
            inside = gaps(other, above) < -ON
            if inside.any():
                assert any(
                    isinstance(e.cut, Cope) and {member.name, *cope.mains} & set(e.cut.mains)
                    for e in other.ends
                ), f"{member.name} runs into {other.name}"


def test_weld_lines_are_at_least_the_tubes_round(cage):
    for member, cope in copes(cage):
        assert cope.weld_length > 2.0 * np.pi * member.tube.radius * 0.999
        assert 0.0 < cope.least_bevel <= np.pi / 2.0 + 1e-9


def test_no_end_of_the_demo_hangs_past(cage):
    for member, cope in copes(cage):
        assert (cope.on >= 0).mean() > 0.95, member.name
