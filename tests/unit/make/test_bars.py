"""Bars drawn to scale: every piece is where the nesting says."""

import numpy as np
import pytest

import handmade
from cagewright.base.drawing import label_corners
from cagewright.base.names import shown
from cagewright.make.bars import bars_drawing
from cagewright.make.nesting import RoughPiece, nest
from cagewright.stock.shop import Offcut, Shop, StockLength

TUBE = handmade.BAR
SHOP = Shop(
    name="s", kerf=2.0, stock=(StockLength(od=38.0, wall=2.5, steel="E355+N", length=6000.0, price=81.0),),
    offcuts=(Offcut(name="B1", od=38.0, wall=2.5, steel="E355+N", length=1200.0),),
)  # fmt: skip
PIECES = [
    RoughPiece(name=f"tube_{i}", length=length)
    for i, length in enumerate((1800, 1500, 1200.5, 900, 700, 640, 90))
]
PLAN = nest(TUBE, PIECES, SHOP)


def boxes(drawing):
    """Outlines as rows of x0, y0, x1, y1, mm."""
    outlines = [s.points for s in drawing.strokes if s.layer == "tube"]
    return np.array([[*p.min(axis=0), *p.max(axis=0)] for p in outlines])


def test_pieces_stand_to_scale_where_they_are_cut():
    drawing = bars_drawing(PLAN)
    expected = [(p.at, p.at + p.length) for bar in PLAN.bars for p in (*bar.pieces,)]
    drawn = boxes(drawing)[:, [0, 2]] / drawing.scale
    for a, b in expected:
        assert np.abs(drawn - [a, b]).max(axis=1).min() < 1e-6
    for bar in PLAN.bars:
        assert np.abs(drawn - [0.0, bar.length]).max(axis=1).min() < 1e-6


def test_every_name_and_length_is_told_once():
    told = " ".join(t.text for t in bars_drawing(PLAN).labels)
    for piece in PIECES:
        assert told.count(f"{shown(piece.name)} {piece.length:.1f}") == 1


def test_bars_are_told_with_what_is_left():
    told = [t.text for t in bars_drawing(PLAN).labels if t.text.startswith("Bar")]
    assert len(told) == len(PLAN.bars)
    assert any("offcut B1" in t for t in told)
    kept = [b for b in PLAN.bars if b.rest >= 300.0]
    assert sum("keep" in t for t in told) == len(kept)


def test_drawing_is_as_wide_as_asked_and_holds_its_words():
    drawing = bars_drawing(PLAN, width=150.0)
    assert drawing.box[2] - drawing.box[0] == pytest.approx(150.0)
    cloud = np.concatenate([label_corners(t) for t in drawing.labels])
    assert cloud[:, 0].max() <= drawing.box[2]
    assert cloud[:, 1].min() >= drawing.box[1]


def test_no_bars_is_a_mistake():
    empty = nest(TUBE, [], SHOP)
    with pytest.raises(ValueError, match="no bars"):
        bars_drawing(empty)
