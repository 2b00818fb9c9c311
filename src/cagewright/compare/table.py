"""The table and the curves of a comparison, for people; and the whole of it as plain values, for programs."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from cagewright.base.drawing import Drawing
from cagewright.base.plain import plain
from cagewright.base.sheet import Column, Table
from cagewright.compare.differences import Difference, answer_to, differences
from cagewright.compare.figures import FIGURES, Figure, told
from cagewright.compare.study import Comparison, Outcome
from cagewright.frame.results import CAUTIONS
from cagewright.make.cells import money_cell
from cagewright.make.plots import curves_drawing, letter
from cagewright.make.strength_drawing import LOAD, TRAVEL, curve_of

NO_DIFFERENCE = "no difference"
SHOWN = ("gives_way_N", "peak_N", "energy_J", "margin_mm", "drop_mm", "joint_N")
"""Figures of the table; the rest are in the values for programs."""


def tables(comparison: Comparison) -> tuple[Table, ...]:
    """Weight and cost first, then one table for each push: a row for each case."""
    return (_bills(comparison), *(_pushed(comparison, push) for push in comparison.pushes))


def _bills(comparison: Comparison) -> Table:
    columns = (
        Column(head=""), Column(head="alternative"), Column(head="mass", unit="kg", align="right"),
        Column(head="difference", align="right"), Column(head="bars to buy", align="right"),
        Column(head="difference", align="right"),
    )  # fmt: skip
    rows = tuple(
        (letter(i), o.name, *_mass(comparison, o), *_cost(comparison, o))
        for i, o in enumerate(comparison.outcomes)
    )
    return Table(title=f"{comparison.title}: weight and cost", columns=columns, rows=rows)


def _mass(comparison: Comparison, outcome: Outcome) -> tuple[str, str]:
    base = comparison.outcomes[0].bill
    if outcome.bill is None or base is None:
        return "cannot be built", ""
    change = outcome.bill.mass - base.mass
    word = (
        ""
        if outcome is comparison.outcomes[0]
        else NO_DIFFERENCE
        if abs(change) < 0.005
        else f"{change:+.2f}"
    )
    return f"{outcome.bill.mass:.2f}", word


CENT = 0.005
"""Half of the least coin: sums nearer than this are the same."""


def _cost(comparison: Comparison, outcome: Outcome) -> tuple[str, str]:
    base, bill = comparison.outcomes[0].bill, outcome.bill
    if bill is None or bill.cost is None:
        return "–", ""
    most = "≤ " if bill.doubt > CENT else ""
    cell = most + money_cell(bill.cost, comparison.currency)
    if base is None or base.cost is None or outcome is comparison.outcomes[0]:
        return cell, ""
    change = bill.cost - base.cost
    return cell, NO_DIFFERENCE if abs(change) <= bill.doubt + base.doubt + CENT else f"{change:+.2f}"


def _pushed(comparison: Comparison, push: str) -> Table:
    figures = [f for f in FIGURES if f.key in SHOWN]
    heads = [Column(head=f.head, unit=f.unit, align="right") for f in figures]
    columns = (Column(head=""), Column(head="alternative"), *heads, Column(head="how it ended"))
    rows = tuple(
        (letter(i), o.name, *_cells(comparison, o, push, figures), end_words(comparison, o, push))
        for i, o in enumerate(comparison.outcomes)
    )
    title = f"{comparison.title}: {push}, over {comparison.upto[push]:.0f} mm"
    return Table(title=title, columns=columns, rows=rows)


def _cells(comparison: Comparison, outcome: Outcome, push: str, figures: list[Figure]) -> tuple[str, ...]:
    found = {d.figure: d for d in differences(comparison, outcome, push)}
    first = outcome is comparison.outcomes[0]
    return tuple(cell(f, found[f.key], alone=first) for f in figures)


def cell(figure: Figure, found: Difference, *, alone: bool) -> str:
    """The value, and under it the difference or ``no difference``; ``alone`` leaves the difference out."""
    if found.value is None:
        return found.absent or "cannot tell"
    value = f"{'≥ ' if found.least else ''}{found.value * figure.scale:.{figure.places}f}"
    if alone:
        return value
    if found.told != "difference" or found.change is None:
        return f"{value}\n{found.told}"
    share = "" if found.share is None else f" ({_percent(found.share)})"
    return f"{value}\n{found.change * figure.scale:+.{figure.places}f}{share}"


def _percent(share: float) -> str:
    return f"{100.0 * share:+.{1 if abs(share) < 0.0995 else 0}f} %"


def end_words(comparison: Comparison, outcome: Outcome, push: str) -> str:
    """How an alternative's push ended, or why that cannot be told."""
    answer = answer_to(outcome, push)
    if answer is None:
        return "cannot be built"
    if answer.results is None:
        return f"cannot tell: {answer.refused}"
    short = not told(answer.results, comparison.upto[push])
    return f"{answer.results.end}: cannot tell" if short else answer.results.end


def notes_of(comparison: Comparison) -> tuple[str, ...]:
    """What to say beside the table: resolution, memory rows, refused alternatives, cautions."""
    notes = [*CAUTIONS, _resolution_words(comparison)]
    for push in comparison.pushes:
        answer = answer_to(comparison.outcomes[0], push)
        if answer and answer.results and answer.results.push.certainty == "memory":
            notes.append(f"{push} is from memory: {answer.results.push.source}.")
    notes += [f"{o.name} cannot be built: {p}" for o in comparison.outcomes for p in o.problems]
    return tuple(notes)


def _resolution_words(comparison: Comparison) -> str:
    parts = [_of_push(comparison, push) for push in comparison.pushes]
    band = (
        " A difference must also hold with the typical yield strength." if comparison.banded else
        " Whether a difference holds with the typical yield strength was not looked at."
    )  # fmt: skip
    said = "'No difference' is what the model cannot tell, found by solving again on other meshes"
    return f"{said}: {'; '.join(parts)}.{band}"


def _of_push(comparison: Comparison, push: str) -> str:
    said = [
        f"{f.head} {value * f.scale:.{f.places + 1}f} {f.unit}"
        for f in FIGURES
        if f.key in SHOWN and (value := comparison.resolution.get((push, f.key))) is not None
    ]
    return f"{push}: {', '.join(said) or 'not known'}"


def curves(comparison: Comparison, push: str) -> Drawing | None:
    """Load over travel of every case under the push, lettered as in the table; None where none was solved."""
    drawn = tuple(
        replace(curve_of(answer.results, o.name), letter=letter(i))
        for i, o in enumerate(comparison.outcomes)
        if (answer := answer_to(o, push)) is not None and answer.results is not None
    )
    if not drawn:
        return None
    name = f"compare_{push.replace('-', '_')}"
    return curves_drawing(drawn, name=name, title=f"{comparison.title}: {push}", x=TRAVEL, y=LOAD)


def values_of(comparison: Comparison) -> dict[str, Any]:
    """The comparison as JSON-ready values in inside units; null is "cannot tell" or "none"."""
    return {
        "title": comparison.title,
        "question": comparison.question,
        "plan": comparison.plan,
        "revision": comparison.revision,
        "currency": comparison.currency,
        "choices": plain(comparison.choices),
        "compared_over_mm": comparison.upto,
        "resolution": {
            push: {f.key: comparison.resolution.get((push, f.key)) for f in FIGURES}
            for push in comparison.pushes
        },
        "alternatives": [_outcome(comparison, o) for o in comparison.outcomes],
        "notes": list(notes_of(comparison)),
    }


def _outcome(comparison: Comparison, outcome: Outcome) -> dict[str, Any]:
    bill = outcome.bill
    return {
        "name": outcome.name,
        "note": outcome.note,
        "mass_kg": bill.mass if bill else None,
        "cost": bill.cost if bill else None,
        "cost_doubt": bill.doubt if bill else None,
        "problems": [str(p) for p in outcome.problems],
        "pushes": {push: _answer(comparison, outcome, push) for push in comparison.pushes},
    }


def _answer(comparison: Comparison, outcome: Outcome, push: str) -> dict[str, Any]:
    answer = answer_to(outcome, push)
    results = answer.results if answer else None
    return {
        "end": results.end if results else None,
        "reached": bool(results and results.reached),
        "refused": answer.refused if answer else "cannot be built",
        "figures": {d.figure: plain(d) for d in differences(comparison, outcome, push)},
        "travel_mm": results.travel.tolist() if results else [],
        "load_N": results.load.tolist() if results else [],
    }
