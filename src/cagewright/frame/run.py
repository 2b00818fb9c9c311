"""One push answered in every way its joints may behave, and the worst of them kept as the answer.

Joints that give carry less than joints that are only reported on; what nobody knows is how far a cage's
joints move before that, for they are stiffer than the range of the published formulas. So a push is solved
with joints that give, as flexible as the formula at its range's edge and rigid, and with joints that do not.
The way that takes up least energy as far as it counts is the answer; the others are told beside it. Which of
the two flexibilities is worse cannot be known before: rigid joints carry more at a travel, but part sooner.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from cagewright.frame.choices import Choices
from cagewright.frame.idealise import Idealised, idealise
from cagewright.frame.model import Solution
from cagewright.frame.push_names import DEFAULT, push_named
from cagewright.frame.pushes import Push
from cagewright.frame.respond import marks_of, respond, solve, steps_as_counted, steps_to_count
from cagewright.frame.results import CAUTIONS, Bound, Results, Summary
from cagewright.frame.torsion import torsion_of
from cagewright.shape.types import Cage

Progress = Callable[[str, float], None]
"""Told what is being done and the share done, 0 to 1."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Answered:
    """A push answered: the frame that answers worst, its solution, and the results with every bound."""

    model: Idealised
    solution: Solution
    results: Results


def ways_of(choices: Choices) -> tuple[Choices, ...]:
    """The ways to solve a push, the one that is most often the worst first."""
    both = choices.joints == "both"
    soft = replace(choices, joints="yield" if both else choices.joints, flexibility=1.0)
    ways = (soft, replace(soft, flexibility=0.0))
    return (*ways, replace(soft, joints="report")) if both else ways


def answered(cage: Cage, push: Push, choices: Choices) -> Answered:
    """The push in every way, the worst kept.

    The first is followed a stretch past where it stops counting, the others to there; where one of those is
    worse it is followed further too.

    Raises:
        FrameError: the frame cannot stand, in the builder's words.
    """
    ways = ways_of(choices)
    found = [_one(cage, push, way, whole=way is ways[0]) for way in ways]
    bounds = tuple(_bound(one.results) for one in found)
    least = min(range(len(ways)), key=lambda k: bounds[k].counted.energy)
    kept = found[0] if least == 0 else _one(cage, push, ways[least], whole=True)
    return replace(kept, results=replace(kept.results, bounds=bounds))


def _one(cage: Cage, push: Push, choices: Choices, *, whole: bool) -> Answered:
    model = idealise(cage, choices, marks_of([push]))
    steps = steps_as_counted if whole else steps_to_count
    solution = solve(model, push, steps=steps(model, push))
    return Answered(model=model, solution=solution, results=respond(model, push, solution))


def _bound(results: Results) -> Bound:
    first = results.first_yield
    return Bound(
        joints="report" if results.choices.joints == "report" else "yield",
        rigid=results.choices.flexibility == 0.0,
        counted=results.moments[0],
        stiffness=results.stiffness,
        first_yield=None if first is None else first.load,
        peak=results.peak.load,
    )


def run(
    cage: Cage,
    names: Sequence[str] = (),
    choices: Choices | None = None,
    progress: Progress | None = None,
) -> Summary:
    """The cage under the named pushes, the default one where none is named, each the worst of its ways.

    Args:
        cage: what is built.
        names: of pushes; see ``push_names``.
        choices: which simplifications are made.
        progress: told before each push.

    Raises:
        FrameError: no such push, or the frame cannot stand, in the builder's words.
    """
    choices = choices or Choices()
    pushes = [push_named(cage, name) for name in names or (DEFAULT,)]
    results: list[Results] = []
    for i, push in enumerate(pushes):
        if progress:
            progress(push.name, i / len(pushes))
        results.append(answered(cage, push, choices).results)
    if progress:
        progress("done", 1.0)
    return Summary(
        title=cage.title,
        revision=cage.revision,
        torsion=torsion_of(cage, choices),
        results=tuple(results),
        cautions=CAUTIONS,
    )
