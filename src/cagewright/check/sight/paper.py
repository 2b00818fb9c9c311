"""What the cage hides from the driver, as a paper: the view ahead and what stands in it."""

from __future__ import annotations

import math

from cagewright.base.names import shown
from cagewright.base.say import say_length
from cagewright.base.sheet import Column, Sheet, Table
from cagewright.check.sight.findings import CAUTION
from cagewright.check.sight.panorama import hidden_runs, panorama
from cagewright.check.sight.seen import Obstruction, moved_outward, sight
from cagewright.make.panorama import panorama_drawing
from cagewright.shape.types import Cage, driver_body

STEP_OUT = 10.0
"""How far a leg is moved outward to show what that gains, mm."""


def sight_sheet(cage: Cage) -> Sheet | None:
    """The paper of what the cage hides; None where the plan has no driver."""
    if driver_body(cage) is None:
        return None
    view = panorama(cage)
    picture = panorama_drawing(
        silhouettes=view.silhouettes, lines=view.lines, hidden=hidden_runs(view.both, view.step, view.corner)
    )
    share = f"{said_share(view.share_both)} of the picture is hidden from both eyes"
    return Sheet(
        name="sight",
        title="What the driver sees",
        kind="sight",
        tables=(_table(cage),),
        drawings=(picture,),
        notes=(
            CAUTION,
            f"{share}; {said_share(view.share_either)} from one eye or both. Eyes: {view.source}.",
        ),
    )


def said_share(share: float) -> str:
    """A share of the picture as it is read."""
    return f"{100.0 * share:.1f} %"


def _table(cage: Cage) -> Table:
    heads = (
        "what",
        "kind",
        "side",
        "hidden from both eyes",
        "from one eye",
        f"moved {say_length(STEP_OUT, cage.units, places=0)} outward",
    )
    rows = tuple(
        (
            shown(seen.name),
            seen.kind,
            seen.side,
            _degrees(seen.both),
            _degrees(seen.one_eye),
            _gain(cage, seen),
        )
        for seen in sight(cage)
    )
    columns = tuple(Column(head=h, align="right" if i > 2 else "left") for i, h in enumerate(heads))
    return Table(title="Angles hidden, head turned to each", columns=columns, rows=rows)


def _gain(cage: Cage, seen: Obstruction) -> str:
    if seen.kind != "member":
        return "–"
    moved = moved_outward(cage, seen.name, STEP_OUT, side=seen.side)
    return (
        "–"
        if moved is None
        else f"{math.degrees(moved.alone if moved.together is None else moved.together):+.2f}°"
    )


def _degrees(angle: float) -> str:
    return f"{math.degrees(max(angle, 0.0)):.1f}°"
