"""The next size: what the shop stocks, can bend and can cope; the catalogue only where it has none."""

from dataclasses import replace
from pathlib import Path

import pytest

from cagewright.plan.shop import read_job
from cagewright.shape.next_size import NextSize, next_sizes
from cagewright.shape.resolve import resolve
from cagewright.stock.sections import properties, round_section
from cagewright.stock.shop import NO_SHOP, StockLength

EXAMPLES = Path(__file__).parents[3] / "examples"
PLAN, SHOP = read_job(EXAMPLES / "brackwater.yaml")
CAGE = resolve(PLAN)
INCH_PLAN, INCH_SHOP = read_job(EXAMPLES / "brackwater-inch.yaml")
INCH = resolve(INCH_PLAN)
UP = NextSize(od=45.0, wall=2.5, sold="stock")
DOWN = NextSize(od=30.0, wall=2.0, sold="stock")


def of(size: NextSize) -> tuple[float, float]:
    return size.od, size.wall


def test_a_38_bar_goes_up_to_45_and_down_to_30_in_the_demo_shop():
    """By hand, (D3 - d3)/6: 30 x 2.0 1571, 38 x 2.5 3156, 45 x 2.5 4521 mm3."""
    assert next_sizes(CAGE, SHOP, ["backstay_left", "backstay_right"], heavier=True) == (UP,)
    assert next_sizes(CAGE, SHOP, ["front_leg_left", "front_leg_right"], heavier=True) == (UP,)
    assert next_sizes(CAGE, SHOP, ["dash_bar"], heavier=False) == (DOWN,)


def test_a_size_that_cannot_be_coped_is_not_offered():
    """On 38 mm legs only 45 mm of the shop's stock is heavier: the catalogue is asked."""
    found = next_sizes(CAGE, SHOP, ["dash_bar"], heavier=True)
    assert all(s.sold == "catalogue" and s.od <= 38.0 for s in found)
    # a 38 mm roof bar lands on the header
    assert not any(s.od < 38.0 for s in next_sizes(CAGE, SHOP, ["header"], heavier=False))
    # where the legs change with it, nothing stands in the way
    assert UP in next_sizes(CAGE, SHOP, ["dash_bar", "front_leg_left", "front_leg_right"], heavier=True)


def test_a_tube_that_others_land_on_gets_no_narrower_than_they_are():
    down = next_sizes(CAGE, SHOP, ["main_hoop"], heavier=False)
    on_it = {j.branch for j in CAGE.joints if "main_hoop" in j.mains}
    widest = max(m.tube.od for m in CAGE.members if m.name in on_it)
    assert down
    assert all(s.od >= widest for s in down)


def test_the_nearest_by_plastic_modulus_comes_first():
    found = next_sizes(CAGE, NO_SHOP, ["main_hoop"], heavier=True)
    moduli = [properties(round_section(*of(s))).plastic for s in found]
    assert moduli == sorted(moduli)
    assert moduli[0] > properties(round_section(45.0, 2.5)).plastic
    assert {s.sold for s in found} == {"catalogue"}


def test_the_catalogue_is_read_in_the_builders_units():
    mm = next_sizes(CAGE, NO_SHOP, ["main_hoop"], heavier=True)
    inch = next_sizes(INCH, NO_SHOP, ["main_hoop"], heavier=True)
    assert all(s.od == round(s.od) or s.od == 48.3 for s in mm)
    assert not {s.od for s in mm} & {s.od for s in inch}


def test_stock_in_another_steel_or_without_a_die_is_not_offered():
    more = StockLength(od=50.0, wall=2.0, steel="E355+N", length=6000.0)
    other = replace(more, steel="E235+N")
    for shop in (replace(SHOP, stock=(other,)), replace(SHOP, stock=(more,))):
        found = next_sizes(CAGE, shop, ["main_hoop"], heavier=True)
        assert {s.sold for s in found} == {"catalogue"}  # the hoop is bent and there is no die for 50 mm
    wide = replace(SHOP, stock=(more,), dies=(*SHOP.dies, replace(SHOP.dies[0], od=50.0)))
    assert [of(s) for s in next_sizes(CAGE, wide, ["main_hoop"], heavier=True)] == [(50.0, 2.0)]


def test_tubes_of_several_sizes_have_no_next_one():
    with pytest.raises(ValueError, match="one tube"):
        next_sizes(CAGE, SHOP, ["main_hoop", "header"], heavier=True)
