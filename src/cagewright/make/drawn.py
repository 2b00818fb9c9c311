"""The shop's papers with their drawings: views of the cage, bars to scale, bend sketches."""

from __future__ import annotations

from dataclasses import replace

from cagewright.base.sheet import Sheet
from cagewright.make.bars import bars_drawing
from cagewright.make.sheets import sheets
from cagewright.make.views import cage_view, key_table
from cagewright.make.work import Work
from cagewright.shape.types import Cage


def drawn_sheets(work: Work) -> tuple[Sheet, ...]:
    """Every paper of the shop but the wraps, in the order they are needed, each with its drawings."""
    bars = tuple(bars_drawing(plan, units=work.cage.units) for plan in work.nests if plan.bars)
    made = (replace(s, drawings=bars) if s.kind == "nesting" else s for s in sheets(work))
    return (cage_sheet(work.cage), *made)


def cage_sheet(cage: Cage) -> Sheet:
    """The cage from three sides, its members numbered to a key."""
    views = (cage_view(cage, "side", box=(178.0, 108.0)), cage_view(cage, "front", box=(178.0, 108.0)))
    return Sheet(
        name="cage",
        title="The cage",
        kind="cage",
        tables=(key_table(cage),),
        drawings=(*views, cage_view(cage, "plan", box=(178.0, 108.0))),
    )


def from_the_end(work: Work) -> frozenset[str]:
    """Names of the members whose end goes into the bender first: their bends are numbered from there."""
    return frozenset(b.member for b in work.bends if b.starts_at == "end")
