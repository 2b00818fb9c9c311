"""How fine a difference the model can tell, found from the cage itself.

The plan as it is is solved again on elements of three quarters and of half the length. A figure that changes
by d when nothing but the mesh does carries an error of about d; two such figures are subtracted, so their
difference carries the square root of 2 times as much. The larger of the two meshes' d counts, for by chance
one may be small.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from cagewright.compare.figures import FIGURES, value_of
from cagewright.compare.study import Answer
from cagewright.frame.choices import Choices

FINER = (0.75, 0.5)
"""Lengths of element, as parts of the study's, that the plan is solved again with."""


def finer(choices: Choices) -> tuple[Choices, ...]:
    """The choices with each finer mesh, none finer than is allowed."""
    return tuple(replace(choices, mesh=max(choices.mesh * part, 5.0)) for part in FINER)


def resolution_of(base: Answer, again: Sequence[Answer], upto: float) -> dict[tuple[str, str], float | None]:
    """By push and figure, the least difference that can be told, inside units; None for cannot tell."""
    runs = [base.results, *(a.results for a in again)]
    return {(base.push, f.key): _of_figure([value_of(f, r, upto) for r in runs]) for f in FIGURES}


def _of_figure(values: Sequence[float | None]) -> float | None:
    known = [v for v in values if v is not None]
    if len(known) < len(values) or len(known) < 2:
        return None
    return 2.0**0.5 * max(abs(v - known[0]) for v in known[1:])
