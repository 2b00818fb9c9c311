import pytest

from cagewright.stock.benders import Die
from cagewright.stock.catalogue import sizes, steels
from cagewright.stock.shop import NO_SHOP, Shop, die_for
from cagewright.stock.tubes import round_tube


def test_every_row_bears_its_source_and_certainty():
    rows = [*steels().values(), *sizes()]
    assert len(rows) > 20
    assert all(len(row.source) > 10 for row in rows)
    assert {row.certainty for row in rows} <= {"read", "second-hand", "computed", "memory"}
    assert all("memory" in row.source for row in rows if row.certainty == "memory")
    parts = [p for s in steels().values() for p in (s.softening, s.typical) if p]
    assert all("memory" in p.source for p in parts if p.certainty == "memory")
    assert all(len(p.source) > 10 for p in parts)


def test_astm_a513_is_welded_tube_and_never_seamless():
    """Type 1 as welded, type 5 drawn over a mandrel after welding."""
    rows = {name: s for name, s in steels().items() if name.startswith("A513")}
    assert len(rows) == 5
    assert not any("seamless" in s.forms for s in rows.values())
    assert {s.is_sold("seamless") for s in rows.values()} == {False}
    drawn = {name: s.is_sold("seamless", "drawn") for name, s in rows.items()}
    assert drawn == {name: name.startswith("A513-5") for name in rows}


def test_a_steel_sold_several_ways_cannot_be_told_apart():
    assert steels()["E355+N"].is_sold("seamless") is None
    assert steels()["R8"].is_sold("seamless") is None


def test_a_name_of_the_rule_books_without_figures_has_none():
    r8 = steels()["R8"]
    assert (r8.yield_strength, r8.tensile, r8.elongation, r8.typical) == (None, None, None, None)


def test_a_wall_thicker_than_the_tube_is_refused():
    with pytest.raises(ValueError, match="cannot have a wall"):
        round_tube(od=20, wall=11, steel=steels()["E355+N"])


def test_the_die_is_found_by_tube_and_radius():
    tube = round_tube(od=45, wall=2.5, steel=steels()["E355+N"])
    die = Die(name="45 at 135", od=45, clr=135, least_straight=60, grip=120, tail=40)
    shop = Shop(name="test", dies=(die,))
    assert die_for(shop, tube, 135.2) is die
    assert die_for(shop, tube, 140) is None
    assert die_for(NO_SHOP, tube, 135) is None
