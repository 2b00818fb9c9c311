"""The ready studies in full on the demo car: orders that must hold whatever the exact figures are.

A prototype of another cage lost 24.9 % of roof peak and 45.5 % of roof energy with its pillar brace
(computed, second-hand); that is orientation and is not asserted.
"""

import pytest

from cagewright.compare.differences import differences
from cagewright.compare.run import compare
from cagewright.plan.alternatives import read_alternatives
from pushed import EXAMPLES, demo

pytestmark = pytest.mark.slow


def study(name):
    plan, shop, _ = demo()
    return compare(plan, read_alternatives(EXAMPLES / "studies" / f"{name}.yaml"), shop, bars=False)


def figure(made, number, push, key):
    return next(d for d in differences(made, made.outcomes[number], push) if d.figure == key)


def test_without_the_pillar_brace_the_front_corner_carries_less():
    made = study("pillar-brace")
    for key in ("peak_N", "first_yield_N", "stiffness_N_per_mm", "margin_mm"):
        found = figure(made, 1, "front-corner-left", key)
        assert (found.told, found.change < 0.0) == ("difference", True), key
    assert figure(made, 1, "front-corner-left", "peak_N").share < -0.1
    assert made.outcomes[1].bill.mass < made.outcomes[0].bill.mass


def test_more_doorbars_never_take_up_less():
    made = study("doorbars")
    two, three, four = (figure(made, i, "side-left", "energy_J").value for i in (1, 0, 2))
    assert two < three < four
    masses = [made.outcomes[i].bill.mass for i in (1, 0, 2)]
    assert masses == sorted(masses)


def test_a_plate_on_the_doors_never_softens_the_cage():
    made = study("door-plate")
    for push in made.pushes:
        for number in (1, 2):
            assert (
                figure(made, number, push, "stiffness_N_per_mm").change
                > -made.resolution[push, "stiffness_N_per_mm"]
            )


def test_posts_carried_to_the_sill_hold_a_pole_harder():
    """They carry more and let it come less far; the count ends sooner then, so their energy may be less."""
    made = study("door-posts")
    names = [o.name for o in made.outcomes]
    for name in names:
        if not name.endswith("down to the sill"):
            continue
        bare = names.index(name.removesuffix(", down to the sill")) if not name.startswith("in line") else 0
        values = [figure(made, i, "side-left", "gives_way_N").value for i in (bare, names.index(name))]
        assert values[1] > 1.1 * values[0], name


def test_narrow_on_the_floor_leaves_less_room_beside_the_driver():
    made = study("wide-or-narrow")
    found = figure(made, 1, "side-left", "margin_mm")
    assert (found.told, found.change < 0.0) == ("difference", True)


def test_a_weld_left_open_never_helps_beyond_what_can_be_told():
    made = study("open-welds")
    for push in made.pushes:
        for number in range(1, 4):
            found = figure(made, number, push, "energy_J")
            assert found.told != "difference" or found.change < 0.0, (push, made.outcomes[number].name)
