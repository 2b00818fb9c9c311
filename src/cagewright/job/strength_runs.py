"""A push as the Strength page shows it: the answer, the cage at many moments, and the switches offered."""

from __future__ import annotations

from dataclasses import dataclass, fields
from datetime import UTC, datetime
from typing import Any, cast

from cagewright.frame.choices import Choices
from cagewright.frame.errors import FrameError
from cagewright.frame.push_names import DEFAULT, push_named, push_names
from cagewright.frame.results import Results
from cagewright.frame.run import answered
from cagewright.frame.warm import warm_up
from cagewright.job.opening import Job, Step
from cagewright.job.strength import push_answer
from cagewright.job.strength_moments import Moments, Run, TubePoint, moments_of, places_of
from cagewright.job.strength_types import PushAnswer
from cagewright.shape.types import Cage

SWITCHES: tuple[tuple[str, str, tuple[tuple[str, str], ...]], ...] = (
    ("joints", "Joints", (
        ("both", "give and do not give: the worse counts"), ("yield", "give at their strength"),
        ("report", "stay whole, and are reported on"),
    )),
    ("feet", "Feet", (("shell", "stand on the shell's sheet"), ("rigid", "stand on what does not give"))),
    ("softened", "Steel beside welds", (
        ("steel", "softens as that steel does"), ("cautious", "softens as the most careful source says"),
        ("none", "does not soften"),
    )),
    ("strength", "Yield strength", (
        ("least", "the least the standard promises"), ("typical", "what is mostly delivered"),
    )),
)  # fmt: skip
"""Switches of the strength model that the page offers: key, words, and each word's meaning."""
MOST_PUSHES = 40
WARM, PUSHED = 0.1, 0.98
"""Shares of the work done when the solver is ready, and when all is pushed."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PushShown(PushAnswer):
    """A push that was run, with its pictures.

    Attributes:
        at: where each of ``happened`` is; None where nothing is to be pointed at.
        moments: the cage at many moments.
        when: it was run, ISO 8601 in UTC.
    """

    at: tuple[TubePoint | None, ...]
    moments: Moments
    when: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Refusal:
    """A push that could not be run, and why."""

    name: str
    words: str


def run_pushes(
    job: Job, asked: dict[str, Any], step: Step
) -> tuple[tuple[PushShown, ...], tuple[Refusal, ...]]:
    """Each push asked for, and those that the cage refuses.

    Args:
        job: the plan.
        asked: ``pushes``: names; ``choices``: switches.
        step: told the push that is being solved.

    Raises:
        ValueError: the list is no list of names.
    """
    names, choices = _names(job.cage, asked), choices_of(asked)
    warm_up(lambda done, parts, doing: step(doing, WARM * done / parts))
    ran: list[PushShown] = []
    refused: list[Refusal] = []
    for i, name in enumerate(names):
        step(f"pushing {name}", WARM + (PUSHED - WARM) * i / len(names))
        try:
            run, results = _run(job.cage, name, choices)
        except FrameError as wrong:
            refused.append(Refusal(name=name, words="; ".join(wrong.messages)))
            continue
        ran.append(shown_push(run, results))
    step("done", 1.0)
    return tuple(ran), tuple(refused)


def shown_push(run: Run, results: Results) -> PushShown:
    """The push as the page shows it."""
    answer, at = push_answer(run.model.cage, results), places_of(run, results)
    return PushShown(
        **{f.name: getattr(answer, f.name) for f in fields(answer)},
        at=tuple(at.get(h.words) for h in answer.happened),
        moments=moments_of(run),
        when=datetime.now(UTC).isoformat(timespec="seconds"),
    )


def _names(cage: Cage, asked: dict[str, Any]) -> list[str]:
    """The pushes asked for that this cage can be given; the default one where none is named.

    Raises:
        ValueError: the list is no list of names.
    """
    wanted = asked.get("pushes") or [DEFAULT]
    if not isinstance(wanted, list) or len(cast("list[Any]", wanted)) > MOST_PUSHES:
        raise ValueError("pushes is no list of names")
    known = push_names(cage)
    return [name for name in dict.fromkeys(map(str, cast("list[Any]", wanted))) if name in known]


def choices_of(asked: dict[str, Any]) -> Choices:
    """The strength model's switches as asked; what is not asked for, or not known, as usual."""
    given = asked.get("choices")
    given = cast("dict[str, Any]", given) if isinstance(given, dict) else {}
    known = {key: {value for value, _ in words} for key, _, words in SWITCHES}
    right: dict[str, Any] = {key: given[key] for key in known if given.get(key) in known[key]}
    return Choices(**right)


def _run(cage: Cage, name: str, choices: Choices) -> tuple[Run, Results]:
    push = push_named(cage, name)
    found = answered(cage, push, choices)
    return Run(model=found.model, push=push, solution=found.solution), found.results
