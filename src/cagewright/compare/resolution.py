"""How fine a difference the model can tell, found from the cage itself.

The plan as it is is solved again on elements of three quarters and of one and a half times the length. A
figure that changes by d when nothing but the mesh does carries an error of about d: an error that goes with
the square of the element's length is 0.8 of the change to the longer one. Two such figures are subtracted, so
their difference carries the square root of 2 times as much. The larger of the two counts, for by chance
one may be small.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from cagewright.compare.figures import FIGURES, Figure, cut_short, value_of
from cagewright.compare.study import PushOutcome
from cagewright.frame.choices import Choices
from cagewright.frame.results import Results

MESHES = (0.75, 1.5)
"""Lengths of element, as parts of the study's, that the plan is solved again with."""


def other_meshes(choices: Choices) -> tuple[Choices, ...]:
    """The choices with each other mesh, within what is allowed."""
    return tuple(replace(choices, mesh=min(max(choices.mesh * part, 5.0), 500.0)) for part in MESHES)


def resolution_of(
    base: PushOutcome, again: Sequence[PushOutcome], same: float | None
) -> dict[tuple[str, str], float | None]:
    """By push and figure, the least difference that can be told, inside units; None for cannot tell.

    ``same`` mm is the travel by which all cases are compared.
    """
    runs = [base.results, *(a.results for a in again)]
    return {(base.push, f.key): _of_figure([_whole(f, r, base.results, same) for r in runs]) for f in FIGURES}


def _whole(figure: Figure, results: Results | None, base: Results | None, same: float | None) -> float | None:
    """The figure; None where it could only be more had this mesh been followed as far as the plan's own."""
    if figure.grows and results is not None and cut_short(results) and not (base and cut_short(base)):
        return None
    return value_of(figure, results, same)


def _of_figure(values: Sequence[float | None]) -> float | None:
    known = [v for v in values if v is not None]
    if len(known) < len(values) or len(known) < 2:
        return None
    return 2.0**0.5 * max(abs(v - known[0]) for v in known[1:])
