"""Stock and offcuts: counted, used up by cut lists, put back; never below nothing."""

import pytest

from cagewright.base.problems import ProblemsFound
from cagewright.job.rack import cut_by
from cagewright.make.nesting import RoughPiece as Rough
from cagewright.make.nesting import nest
from cagewright.records.opening import Record
from cagewright.records.rack import ledger, offcut_named, on_hand, put, use_up
from cagewright.records.types import StockPiece
from cagewright.stock.shop import Offcut, Shop, StockLength
from cagewright.stock.steels import Steel
from cagewright.stock.tubes import round_tube

SIZE = {"od": 38.0, "wall": 2.5, "steel": "E355+N"}
TUBE = round_tube(
    od=38.0,
    wall=2.5,
    steel=Steel(name="E355+N", tensile=490.0, source="made up for a test", certainty="memory"),
)


def bars(count: int) -> StockPiece:
    return StockPiece(kind="stock", length=6000.0, count=count, **SIZE)


def left(name: str, length: float = 900.0) -> StockPiece:
    return StockPiece(kind="offcut", name=name, length=length, **SIZE)


def test_what_came_and_went_is_counted(record: Record):
    put(record, [bars(3), left("R1")], by="Ann")
    put(record, [bars(2)], by="Bea")
    use_up(record, "BW1", [bars(4)], [left("BW1-1", 1200.0)], by="Ann")
    assert on_hand(record) == (bars(1), left("BW1-1", 1200.0), left("R1"))
    assert [m.piece.count for m in ledger(record)] == [3, 1, 2, -4, 1]


def test_no_more_is_taken_than_there_is(record: Record):
    put(record, [bars(1), left("R1")], by="Ann")
    for taken in ([bars(2)], [bars(1), bars(1)], [left("R2")], [left("R1"), left("R1")], [left("R1", 901.0)]):
        with pytest.raises(ProblemsFound, match="not-there"):
            use_up(record, "BW1", taken, by="Ann")
    assert on_hand(record) == (bars(1), left("R1"))


def test_all_of_a_cut_list_or_none(record: Record):
    put(record, [bars(1)], by="Ann")
    with pytest.raises(ProblemsFound, match="1 of offcut R9"):
        use_up(record, "BW1", [bars(1), left("R9")], by="Ann")
    assert on_hand(record) == (bars(1),)


def test_names_of_offcuts_are_free_again_once_used(record: Record):
    put(record, [left("R1")], by="Ann")
    with pytest.raises(ProblemsFound, match="name-in-use"):
        put(record, [left("R1", 500.0)], by="Ann")
    with pytest.raises(ProblemsFound, match="name-in-use"):
        put(record, [left("R2"), left("R2", 500.0)], by="Ann")
    use_up(record, "BW1", [left("R1")], [left("R1", 400.0)], by="Ann")
    assert on_hand(record) == (left("R1", 400.0),)
    assert offcut_named(record, "R1").length == 400.0
    with pytest.raises(ProblemsFound, match="not-there"):
        offcut_named(record, "R3")


@pytest.mark.parametrize(
    "piece",
    [
        StockPiece(kind="stock", od=38.0, wall=20.0, steel="E355+N", length=6000.0),
        StockPiece(kind="stock", od=-38.0, wall=2.5, steel="E355+N", length=6000.0),
        StockPiece(kind="stock", od=38.0, wall=2.5, steel="E355+N", length=float("nan")),
        StockPiece(kind="stock", od=38.0, wall=2.5, steel="", length=6000.0),
        StockPiece(kind="stock", od=38.0, wall=2.5, steel="E355+N", length=6000.0, count=0),
        StockPiece(kind="stock", name="R1", od=38.0, wall=2.5, steel="E355+N", length=6000.0),
        StockPiece(kind="offcut", od=38.0, wall=2.5, steel="E355+N", length=600.0),
        StockPiece(kind="offcut", name="R1", od=38.0, wall=2.5, steel="E355+N", length=600.0, count=2),
    ],
)
def test_pieces_that_cannot_be_are_refused(record: Record, piece: StockPiece):
    with pytest.raises(ProblemsFound):
        put(record, [piece], by="Ann")
    assert ledger(record) == ()


def test_a_cut_list_takes_the_rack_first_and_gives_its_rests_back(record: Record):
    """By hand: 850 fits the 900 offcut (46 and the kerf left, waste); 4000 takes a bar and leaves 1998."""
    shop = Shop(
        name="test", kerf=2.0, stock=(StockLength(length=6000.0, **SIZE),),
        offcuts=(Offcut(name="R1", length=900.0, **SIZE),),
    )  # fmt: skip
    plan = nest(TUBE, [Rough(name="a", length=850.0), Rough(name="b", length=4000.0)], shop)
    taken, back = cut_by([plan], "BW1")
    assert set(taken) == {left("R1"), bars(1)}
    assert back == (left("BW1-1", 1998.0),)
    put(record, [left("R1"), bars(1)], by="Ann")
    use_up(record, "BW1", taken, back, by="Ann")
    assert on_hand(record) == (left("BW1-1", 1998.0),)
