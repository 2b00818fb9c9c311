"""A comparison as the Alternatives page shows it: cells with their differences, curves, notes."""

from __future__ import annotations

from typing import Any

import numpy as np

from cagewright.compare.differences import answer_to, differences
from cagewright.compare.figures import FIGURES
from cagewright.compare.study import Comparison, Outcome
from cagewright.compare.table import NO_DIFFERENCE, SHOWN, cell, end_words, notes_of, tables
from cagewright.make.plots import letter

SHOWN_FIGURES = tuple(f for f in FIGURES if f.key in SHOWN)


def told_comparison(comparison: Comparison) -> dict[str, Any]:
    """The comparison, JSON-ready."""
    return {
        "title": comparison.title,
        "question": comparison.question,
        "revision": comparison.revision,
        "banded": comparison.banded,
        "bills": _bills(comparison),
        "pushes": [_push(comparison, push) for push in comparison.pushes],
        "notes": list(notes_of(comparison)),
    }


def _bills(comparison: Comparison) -> dict[str, Any]:
    """Weight and bars to buy: a row for each case, each cell with what it differs by."""
    whole = tables(comparison)[0]
    rows = [
        {"letter": row[0], "name": row[1], "cells": [_pair(row[2], row[3]), _pair(row[4], row[5])]}
        for row in whole.rows
    ]
    heads = [_head("mass", "kg"), _head("bars to buy", "")]
    return {"title": whole.title, "heads": heads, "rows": rows}


def _pair(value: str, difference: str) -> dict[str, str]:
    same = difference == NO_DIFFERENCE
    state = "no difference" if same else "difference" if difference else ""
    return {"value": value, "difference": difference, "told": state, "why": ""}


def _head(head: str, unit: str) -> str:
    return f"{head}, {unit}" if unit else head


def _push(comparison: Comparison, push: str) -> dict[str, Any]:
    return {
        "name": push,
        "title": _title(comparison, push),
        "upto": round(comparison.upto[push], 1),
        "heads": [_head(f.head, f.unit) for f in SHOWN_FIGURES],
        "rows": [_row(comparison, push, i, o) for i, o in enumerate(comparison.outcomes)],
        "curves": [c for i, o in enumerate(comparison.outcomes) if (c := _curve(o, push, i))],
    }


def _title(comparison: Comparison, push: str) -> str:
    answer = answer_to(comparison.outcomes[0], push)
    return answer.results.push.title if answer and answer.results else push


def _row(comparison: Comparison, push: str, number: int, outcome: Outcome) -> dict[str, Any]:
    found = {d.figure: d for d in differences(comparison, outcome, push)}
    cells: list[dict[str, str]] = []
    for figure in SHOWN_FIGURES:
        difference = found[figure.key]
        value, _, change = cell(figure, difference, alone=number == 0).partition("\n")
        state, why = ("", "") if number == 0 else (difference.told, difference.why)
        cells.append({"value": value, "difference": change, "told": state, "why": why})
    return {
        "letter": letter(number),
        "name": outcome.name,
        "cells": cells,
        "end": end_words(comparison, outcome, push),
    }


def _curve(outcome: Outcome, push: str, number: int) -> dict[str, Any] | None:
    answer = answer_to(outcome, push)
    if answer is None or answer.results is None:
        return None
    return {
        "letter": letter(number),
        "name": outcome.name,
        "travel": np.round(answer.results.travel, 2).tolist(),
        "load": np.round(answer.results.load, 0).tolist(),
        "cut_short": not answer.results.reached,
    }
