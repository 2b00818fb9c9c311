"""The shop's papers with their drawings."""

from dataclasses import replace

import pytest

import handmade
from cagewright.base.names import shown
from cagewright.make.drawn import cage_sheet, drawn_sheets, from_the_end
from cagewright.make.sheets import sheets
from cagewright.make.work import work_out
from cagewright.stock.shop import NO_SHOP, Shop, StockLength

SHOP = Shop(
    name="s",
    stock=tuple(StockLength(od=od, wall=2.5, steel="E355+N", length=6000.0) for od in (38.0, 45.0)),
)


@pytest.fixture(scope="module")
def work():
    return work_out(handmade.cage(), SHOP)


def test_the_papers_are_those_of_the_shop_after_the_views(work):
    made = drawn_sheets(work)
    assert made[0].kind == "cage"
    assert [s.name for s in made[1:]] == [s.name for s in sheets(work)]
    assert [s.tables for s in made[1:]] == [s.tables for s in sheets(work)]


def test_each_tube_s_bars_are_drawn(work):
    (nesting,) = [s for s in drawn_sheets(work) if s.kind == "nesting"]
    assert len(nesting.drawings) == 2
    words = " ".join(t.text for d in nesting.drawings for t in d.labels)
    assert all(shown(m.name) in words for m in work.cage.members)


def test_without_stock_there_are_no_bars_to_draw():
    (nesting,) = [s for s in drawn_sheets(work_out(handmade.cage(), NO_SHOP)) if s.kind == "nesting"]
    assert nesting.drawings == ()


def test_every_bend_sheet_has_its_sketch(work):
    bends = [s for s in drawn_sheets(work) if s.kind == "bend sheet"]
    assert [s.member for s in bends] == ["main_hoop", "front_leg_left", "front_leg_right"]
    for sheet in bends:
        assert [d.name for d in sheet.drawings] == [f"sketch_{sheet.member}_{v}" for v in ("side", "along_A")]


def test_three_views_and_a_key():
    sheet = cage_sheet(handmade.cage())
    assert [d.name for d in sheet.drawings] == ["cage_side", "cage_front", "cage_plan"]
    assert len(sheet.tables[0].rows) == len(handmade.cage().members)


def test_members_bent_from_their_end_are_named(work):
    turned = replace(work, bends=(replace(work.bends[0], starts_at="end"), *work.bends[1:]))
    assert from_the_end(turned) == {"main_hoop"}
    assert (
        from_the_end(replace(work, bends=tuple(replace(b, starts_at="start") for b in work.bends)))
        == frozenset()
    )
