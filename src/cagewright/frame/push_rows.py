"""The usual pushes as sourced rows."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass, replace
from functools import cache
from importlib.resources import files
from typing import Any, Literal, cast

from cagewright.frame.pushes import Demand, Kind
from cagewright.stock.steels import Certainty

Side = Literal["left", "right"]


@dataclass(frozen=True, slots=True, kw_only=True)
class PushRow:
    """One push before it is placed on a cage; angles in degrees as in the source.

    Attributes:
        name: with its side.
        title: in words, with its side.
        kind: what presses.
        side: of the car, or None.
        travel: mm.
        source: where it is from.
        certainty: of its least sure figure.
        demands: what the source wants; a demand for the whole load has 0 weights and no load.
        pitch: of a platen, degrees nose down.
        roll: of a platen, degrees outer side down.
        size: of a platen, length and width, mm.
        ahead: mm from a platen's front edge back to its first touch; None for the middle.
        along: which way a platen's length lies.
        wider: a platen is longer by the width of what stands there, as in ``on``.
        on: what it is centred on: ``main``, ``front``, ``belts``, ``seat``; empty for the first touch.
        diameter: of a pole, mm.
        above_door: mm from the door's bottom up to a pole's lower end; None for a pole as high as the car.
        back: where a pole stands, mm; None for the middle of the doorbars.
        weights: static loads back, across (outward-in), up, as multiples of the weight of car and driver.
        forces: the same in N.
        belts: N on each shoulder, lap and crotch mount.
        pair: a belt kind's N is shared by its mounts.
        seat_weights: static load, forward, as a multiple of the seat's weight.
    """

    name: str
    title: str
    kind: Kind
    travel: float
    source: str
    certainty: Certainty
    side: Side | None = None
    demands: tuple[Demand, ...] = ()
    pitch: float = 0.0
    roll: float = 0.0
    size: tuple[float, float] = (3000.0, 3000.0)
    ahead: float | None = None
    along: Literal["back", "across"] = "back"
    wider: str = ""
    on: str = ""
    diameter: float = 305.0
    above_door: float | None = None
    back: float | None = None
    weights: tuple[float, float, float] | None = None
    forces: tuple[float, float, float] | None = None
    belts: tuple[float, float, float] = (0.0, 0.0, 0.0)
    pair: bool = False
    seat_weights: float = 0.0


@cache
def rows() -> dict[str, PushRow]:
    """Every row by name, sides written out, in the order of the file."""
    text = files("cagewright.frame").joinpath("data", "pushes.toml").read_text(encoding="utf-8")
    return {row.name: row for data in tomllib.loads(text)["push"] for row in _sides(data)}


def _sides(data: dict[str, Any]) -> list[PushRow]:
    row = _row(data)
    if not data.get("sides"):
        return [row]
    return [
        replace(row, name=f"{row.name}-{side}", title=f"{row.title}, {side}", side=side)
        for side in cast("tuple[Side, Side]", ("left", "right"))
    ]


_OWN = ("demand", "sides", "shoulder", "lap", "crotch")
"""Keys of a row that do not name an attribute."""


def _row(data: dict[str, Any]) -> PushRow:
    given: dict[str, Any] = {key: value for key, value in data.items() if key not in _OWN}
    lists: dict[str, Any] = {key: tuple(value) for key, value in given.items() if isinstance(value, list)}
    shoulder, lap, crotch = (float(data.get(kind, 0.0)) for kind in ("shoulder", "lap", "crotch"))
    demands = tuple(_demand(d) for d in data.get("demand", ()))
    return PushRow(**(given | lists), belts=(shoulder, lap, crotch), demands=demands)


def _demand(data: dict[str, Any]) -> Demand:
    return Demand(
        words=data["words"],
        weights=float(data.get("weights", 0.0)),
        load=data.get("load"),
        whole=data.get("whole", False),
        mass=data["mass"],
        within=data.get("within"),
        mean=data.get("mean", False),
        source=data["source"],
        certainty=data["certainty"],
    )
