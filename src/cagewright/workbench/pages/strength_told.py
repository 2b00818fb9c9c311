"""A push's answer as the Strength page shows it: figures in words, what happened in order, tables."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

import numpy as np

from cagewright.base.say import say_length
from cagewright.base.sheet import Table
from cagewright.base.units import LengthUnit
from cagewright.frame.results import CAUTIONS, Event, JointUse, Results
from cagewright.make.strength_sheet import (
    demands_table,
    drop_cell,
    energy_cell,
    feet_table,
    figures_table,
    first_yield_cell,
    joints_table,
    margin_cell,
    members_table,
    peak_cell,
    weights_cell,
)
from cagewright.shape.types import Cage
from cagewright.workbench.pages.strength_moments import Run, moments_of, place_on

COMPARE_FIRST = "Compare alternatives before trusting any figure by itself."
"""Stands beside every figure of the page."""


def told(run: Run, results: Results) -> dict[str, Any]:
    """Everything the page shows of one push, JSON-ready: lengths mm, loads N."""
    push, units = results.push, run.model.cage.units
    return {
        "name": push.name,
        "title": push.title,
        "kind": push.kind,
        "source": push.source,
        "certainty": push.certainty,
        "revision": results.revision,
        "choices": asdict(results.choices),
        "band": results.band is not None,
        "reached": results.reached,
        "end": end_words(results),
        "tiles": tiles(results, units),
        "curve": {"travel": _list(results.travel, 2), "load": _list(results.load, 0)},
        "marks": curve_marks(results),
        "happened": happened(run, results),
        "members": [
            {"name": m.member, "use": round(m.most, 4), "where": m.spot.words, "hinges": m.hinges}
            for m in results.members
        ],
        "tables": [table_of(t) for t in _tables(results, units) if t.rows],
        "room": room_words(results, units),
        "band_words": results.band.words if results.band else "",
        "notes": list(results.notes),
        "cautions": cautions(results),
        "moments": moments_of(run),
    }


def summary_of(whole: dict[str, Any]) -> dict[str, Any]:
    """What the list of pushes that were run shows of one."""
    keys = ("name", "title", "revision", "choices", "band", "reached", "end", "tiles", "certainty", "when")
    return {key: whole.get(key) for key in keys}


def _list(values: Any, places: int) -> list[float]:
    return np.round(np.asarray(values, float), places).tolist()


def _tables(results: Results, units: LengthUnit) -> tuple[Table, ...]:
    return (
        figures_table(results, units), demands_table(results), joints_table(results), feet_table(results),
        members_table(results),
    )  # fmt: skip


def table_of(table: Table) -> dict[str, Any]:
    """The table as values: title, heads with their units and sides, rows of text."""
    heads = [
        {"text": f"{c.head}, {c.unit}" if c.unit else c.head, "right": c.align == "right"}
        for c in table.columns
    ]
    return {"title": table.title, "heads": heads, "rows": [list(row) for row in table.rows]}


def end_words(results: Results) -> str:
    """How the push ended; a stalled one says what cannot be told."""
    return results.end if results.reached else f"{results.end}: cannot tell what comes after"


def cautions(results: Results) -> list[str]:
    """The cautions, and a sentence more where the push is from memory or stalled."""
    said: list[str] = [*CAUTIONS]
    if results.push.certainty == "memory":
        said.append(f"This push is from memory, read the source before use: {results.push.source}.")
    if not results.reached:
        said.append("The solver stalled: what rests on the rest of the push is 'cannot tell'.")
    return said


def room_words(results: Results, units: LengthUnit) -> str:
    """The survival space in a sentence."""
    room = results.room
    if room is None:
        return "The plan has no driver, so what is left to his helmet cannot be told."
    doubt = say_length(room.doubt, units, places=0)
    where = f"The head's place: {room.source}"
    where += f", good to {doubt}." if room.doubt >= 0.5 else "."
    if room.touched is not None:
        return f"{room.by} touches the survival space at {say_length(room.touched, units, places=0)}. {where}"
    if not results.reached:
        return f"Not touched as far as the push was followed; cannot tell what comes after. {where}"
    return f"{say_length(room.least, units, places=0)} are left, nearest {room.by}. {where}"


def tiles(results: Results, units: LengthUnit) -> list[dict[str, str]]:
    """The figures to read first, each with a sentence under it."""
    peak, drop = results.peak, results.drop
    rising = " and was still rising: the true peak is more" if peak and not peak.passed else ""
    return [
        _tile("first yield", first_yield_cell(results), "kN", _first_yield_words(results)),
        _tile("largest load", peak_cell(results), "kN",
              f"at {say_length(peak.travel, units, places=0)}{rising}" if peak else "the push stalled"),
        _tile("times the weight", weights_cell(results), "x", "of car and driver"),
        _tile("energy taken up", energy_cell(results), "J", "over the whole push"),
        _tile("left to the helmet", margin_cell(results, units), "", _room_line(results)),
        _tile("drop it stands for", drop_cell(results, units), "",
              f"until {drop.until}" if drop else _no_drop(results)),
    ]  # fmt: skip


def _tile(label: str, value: str, unit: str, words: str) -> dict[str, str]:
    return {"label": label, "value": value, "unit": unit if value[-1:].isdigit() else "", "words": words}


def _first_yield_words(results: Results) -> str:
    first = results.first_yield
    if first is None:
        return "nothing yields" if results.reached else "the push stalled"
    return first.spot.words if first.spot else first.words


def _room_line(results: Results) -> str:
    room = results.room
    if room is None:
        return "the plan has no driver"
    return f"nearest: {room.by}" if room.touched is None else f"{room.least:.0f} mm at the worst"


def _no_drop(results: Results) -> str:
    if results.push.kind in ("pole", "static", "point"):
        return "only a push from above stands for a drop"
    return "the car's mass is not known" if results.weight is None else "the push stalled"


# --- what happened


def curve_marks(results: Results) -> list[dict[str, Any]]:
    """What is marked along the curve beside what happened: the peak, and the survival space touched."""
    out: list[dict[str, Any]] = []
    if results.peak is not None:
        out.append({"travel": round(results.peak.travel, 2), "kind": "peak", "words": "largest load"})
    if results.room is not None and results.room.touched is not None:
        words = f"{results.room.by} touches the survival space"
        out.append({"travel": round(results.room.touched, 2), "kind": "room", "words": words})
    return out


def happened(run: Run, results: Results) -> list[dict[str, Any]]:
    """What gave way and which joint came to its strength, in order of travel, each with its place."""
    found = [_happening(run, h) for h in results.order]
    if results.choices.joints == "report":
        found += [_joint(run.model.cage, j) for j in results.joints if j.over is not None]
    return sorted(found, key=lambda row: row["travel"])


def _happening(run: Run, happening: Event) -> dict[str, Any]:
    at = place_on(run, happening.spot) if happening.spot else _foot_place(run.model.cage, happening.words)
    return _row(happening.kind, happening.travel, happening.load, _bare(happening.words), at)


def _bare(words: str) -> str:
    """The words without the travel and load that stand beside them."""
    return words.rpartition(" at ")[0] if words.endswith(" kN") else words


def _foot_place(cage: Cage, words: str) -> dict[str, Any] | None:
    """The end of the tube that stands on the foot that the words speak of."""
    for member in cage.members:
        for which, end in zip(("start", "end"), member.ends, strict=True):
            if end.foot and f" {end.foot} " in f"{words} ":
                return {"member": member.name, "end": which}
    return None


def _joint(cage: Cage, use: JointUse) -> dict[str, Any]:
    joint = next((j for j in cage.joints if j.name == use.joint), None)
    at = {"member": joint.branch, "end": joint.which} if joint else None
    words = f"{use.words} comes to its strength ({use.governs})"
    return _row("strength", use.over or 0.0, use.over_load or 0.0, words, at)


def _row(kind: str, travel: float, load: float, words: str, at: dict[str, Any] | None) -> dict[str, Any]:
    return {
        "kind": kind, "travel": round(travel, 2), "load": round(load), "words": words, "at": at,
    }  # fmt: skip
