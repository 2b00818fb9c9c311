"""The pushes of a cage by name: the usual ones, changed and added to by the plan."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import numpy as np

from cagewright.base.problems import nearest_word
from cagewright.base.vectors import unit
from cagewright.frame.errors import FrameError
from cagewright.frame.push_off import AS_SAID, Off
from cagewright.frame.push_places import load_at, placed
from cagewright.frame.push_rows import PushRow, rows
from cagewright.frame.pushes import Demand, PointLoad, Push
from cagewright.shape.types import AskedPush, Cage

DEFAULT = "front-corner-left"
"""The push where none is named: nose-heavy cars land on a front corner of the roof, the driver's here."""


def push_names(cage: Cage) -> tuple[str, ...]:
    """The names of every push that this cage can be given, the plan's own last."""
    usual = [name for name in rows() if _fits(cage, name)]
    return (*usual, *(a.name for a in cage.pushes if usual_name(a.name) not in rows()))


def usual_name(name: str) -> str:
    """The name as the usual pushes write it: a plan's ``roof_left`` is ``roof-left``."""
    return name.replace("_", "-")


def _fits(cage: Cage, name: str) -> bool:
    try:
        push_named(cage, name)
    except FrameError:
        return False
    return True


def push_named(cage: Cage, name: str, off: Off = AS_SAID) -> Push:
    """The push of that name on this cage.

    Args:
        cage: what is pushed.
        name: of the push.
        off: how far from what the push says it comes.

    Raises:
        FrameError: there is none of that name, or nothing for it to press on.
    """
    asked = next((a for a in cage.pushes if name in (a.name, usual_name(a.name))), None)
    if asked is not None:
        return _asked(cage, asked, off)
    return placed(cage, _row_named(name, cage), off)


def _row_named(name: str, cage: Cage) -> PushRow:
    if name in rows():
        return rows()[name]
    known = [*rows(), *(a.name for a in cage.pushes)]
    near = nearest_word(name, known)
    hint = f"; did you mean '{near}'?" if near else f"; there are {', '.join(known)}"
    raise FrameError([f"there is no push called '{name}'{hint}"])


def _asked(cage: Cage, asked: AskedPush, off: Off) -> Push:
    if asked.entry.kind == "point":
        return _point(cage, asked, off)
    return placed(cage, _changed(_base(cage, asked), asked), off)


def _base(cage: Cage, asked: AskedPush) -> PushRow:
    """The row an asked push starts from: its case's, its namesake's, or a plain one.

    Raises:
        FrameError: its case presses with something else.
    """
    entry = asked.entry
    if entry.case or usual_name(asked.name) in rows():
        row = _row_named(usual_name(entry.case or asked.name), cage)
        if row.kind != entry.kind:
            raise FrameError([f"'{asked.name}' is a {entry.kind}, and its case '{row.name}' is a {row.kind}"])
        return row
    title = f"{entry.kind} as the plan says"
    return PushRow(name=asked.name, title=title, kind=entry.kind, travel=150.0, source="the plan",
               certainty="shop", side=entry.side or ("left" if entry.kind == "pole" else None))  # fmt: skip


def _changed(row: PushRow, asked: AskedPush) -> PushRow:
    entry = asked.entry
    turned: dict[str, Any] = {
        key: math.degrees(value) for key, value in (("pitch", entry.pitch), ("roll", entry.roll))
        if value is not None
    }  # fmt: skip
    given: dict[str, Any] = {
        key: getattr(entry, key)
        for key in ("travel", "side", "size", "diameter", "back")
        if getattr(entry, key) is not None
    }
    changed = replace(row, name=asked.name, demands=(*row.demands, *_wanted(asked)), **given, **turned)
    if changed == replace(row, name=asked.name):
        return changed
    return replace(
        changed, title=f"{row.title}, changed by the plan", source=f"{row.source}; changed by the plan"
    )


def _wanted(asked: AskedPush) -> tuple[Demand, ...]:
    entry = asked.entry
    if entry.target is None and entry.weights is None:
        return ()
    return (
        Demand(
            words="asked for in the plan", weights=entry.weights or 0.0, load=entry.target, whole=False,
            mass="car and driver", within=None, mean=False, source="the plan", certainty="shop",
        ),
    )  # fmt: skip


def _point(cage: Cage, asked: AskedPush, off: Off) -> Push:
    entry = asked.entry
    if asked.point is None or entry.direction is None:
        raise FrameError([f"'{asked.name}' is a point push without a place and a direction"])
    force = off.turned(unit(np.array(entry.direction)))
    load = load_at(cage, asked.point, force, asked.name)
    if asked.member is not None:
        load = PointLoad(member=asked.member, along=asked.along, force=force)
    return Push(
        name=asked.name, title=f"{load.member} pushed at one place", kind="point", press=None,
        point_loads=(load,), travel=entry.travel or 150.0, demands=_wanted(asked), source="the plan",
        certainty="shop",
    )  # fmt: skip
