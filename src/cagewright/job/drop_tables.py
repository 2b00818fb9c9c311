"""The drop answer laid out as tables, the same for the command, the page and the paper."""

from __future__ import annotations

from collections.abc import Sequence

from cagewright.base.names import shown
from cagewright.base.sheet import Column, Table
from cagewright.base.units import LengthUnit
from cagewright.frame.drop_results import DropResults
from cagewright.job.drop_types import EnergyLine
from cagewright.job.strength_types import Happened, PushFigure

MOST_ROWS = 20
"""Rows of what gave way; the answer itself has them all."""
MOST_USED = 6
"""Rows of each kind of what was used most."""


def tables_of(
    r: DropResults,
    units: LengthUnit,
    *,
    figures: Sequence[PushFigure],
    energy: Sequence[EnergyLine],
    happened: Sequence[Happened],
) -> tuple[Table, ...]:
    """Figures, energy, what gave way in order, and what was used most."""
    gave = [h for h in happened if h.number]
    order = [(str(h.number), h.travel.said, h.load.said, h.words) for h in gave[:MOST_ROWS]]
    if len(gave) > MOST_ROWS:
        order.append(("", "", "", f"and {len(gave) - MOST_ROWS} more places after these"))
    made = (
        _table("The drop", (" ", ""), [(f.label, f"{f.value.said} {f.words}".strip()) for f in figures],
               left=" "),
        _table("Where the energy went", ("", "energy", "of all there was"),
               [(e.label, e.value.said, e.share.said) for e in energy], left=""),
        _table("What gives, in order", ("No", "after first touch", "ground presses with", "what gives"),
               order, left="what gives"),
        _table("Used most", ("what", "used", "where or how"), _used(r), left="what|where or how"),
    )  # fmt: skip
    return tuple(t for t in made if t.rows)


def _used(r: DropResults) -> list[tuple[str, ...]]:
    """The tubes, joints and feet that were used most, over the whole drop; 1 is all they have."""
    joints = sorted(r.joints, key=lambda j: -j.most)
    feet = [f for f in r.feet if f.most is not None]
    return [
        *((shown(m.member), f"{m.most:.2f}", shown(m.spot.words.removeprefix(f"{m.member} ")))
          for m in r.members[:MOST_USED]),
        *((f"joint {shown(j.words)}", f"{j.most:.2f}", j.governs) for j in joints[:MOST_USED]),
        *((f"foot {shown(f.foot)}", f"{f.most or 0.0:.2f}", f.governs) for f in feet[:MOST_USED]),
    ]  # fmt: skip


def _table(title: str, heads: Sequence[str], rows: Sequence[Sequence[str]], *, left: str) -> Table:
    words = left.split("|")
    columns = tuple(Column(head=h.strip(), align="left" if h in words else "right") for h in heads)
    return Table(title=title, columns=columns, rows=tuple(tuple(row) for row in rows))
