"""One piece of work that any process can do by itself: a plan pushed once, or weighed and priced."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache

from cagewright.base.problems import ProblemsFound
from cagewright.compare.study import Bill, PushOutcome
from cagewright.frame.brief import followed
from cagewright.frame.choices import Choices
from cagewright.frame.counted import CountedCurve
from cagewright.frame.draws import Draw, with_draw
from cagewright.frame.errors import FrameError
from cagewright.frame.idealise import Idealised, idealise
from cagewright.frame.push_names import push_named
from cagewright.frame.push_off import AS_SAID, Off
from cagewright.frame.pushes import Push
from cagewright.frame.respond import marks_of, respond, solve, steps_to_count
from cagewright.frame.results import Results
from cagewright.make.nesting import nest_cage
from cagewright.make.weights import weigh
from cagewright.plan.types import Plan
from cagewright.shape.resolve import resolve
from cagewright.shape.types import Cage
from cagewright.stock.shop import Shop


@dataclass(frozen=True, slots=True, kw_only=True)
class PushTask:
    """One plan under one push.

    Attributes:
        plan: without its sources.
        push: by name.
        choices: simplifications.
        travel: how far, mm; None for the push's own.
    """

    plan: Plan
    push: str
    choices: Choices
    travel: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class DrawsTask:
    """One plan under one push in some of the draws, each followed only as far as it counts."""

    plan: Plan
    push: str
    choices: Choices
    draws: tuple[Draw, ...]
    travel: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class BillTask:
    """One plan to be weighed and priced; ``bars`` makes the cutting plan, without which there is no cost."""

    plan: Plan
    shop: Shop
    bars: bool


Task = PushTask | BillTask | DrawsTask
Told = tuple[CountedCurve | None, str]
"""One draw's curve as far as it counts (None where refused), and what ended the count."""


def done(task: Task) -> PushOutcome | Bill | tuple[Told, ...] | None:
    """What comes of the task; None where the plan cannot be built (resolve it to hear why)."""
    key = _Same(task.plan)
    cage = _resolved(key)
    if cage is None:
        return None
    if isinstance(task, BillTask):
        return bill_of(cage, task.shop, bars=task.bars)
    if isinstance(task, DrawsTask):
        return tuple(_in_draw(key, cage, task, draw) for draw in task.draws)
    return _pushed(key, cage, task)


class _Same:
    """A plan as a key: equal where the plans say the same, so that a process resolves each one once."""

    def __init__(self, plan: Plan) -> None:
        self.plan = plan
        self._text = plan.model_dump_json()

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Same) and other._text == self._text

    def __hash__(self) -> int:
        return hash(self._text)


@lru_cache(maxsize=8)
def _resolved(key: _Same) -> Cage | None:
    try:
        return resolve(key.plan)
    except ProblemsFound:
        return None


def _pushed(key: _Same, cage: Cage, task: PushTask) -> PushOutcome:
    try:
        push = _placed(cage, task)
        results = _answered(key, push, task.choices)
    except FrameError as wrong:
        return PushOutcome(push=task.push, results=None, refused=str(wrong))
    return PushOutcome(push=task.push, results=results)


def _in_draw(key: _Same, cage: Cage, task: DrawsTask, draw: Draw) -> Told:
    try:
        push = _placed(cage, task, draw.off)
        upto, curve = followed(with_draw(_framed_for(key, push, task.choices), draw), push)
    except FrameError:
        return None, "refused"
    return curve, upto.kind


def _placed(cage: Cage, task: PushTask | DrawsTask, off: Off = AS_SAID) -> Push:
    """The task's push on this cage, to the task's travel, as far off as ``off`` has it.

    Raises:
        FrameError: no such push, or nothing for it to press on.
    """
    push = push_named(cage, task.push, off)
    return push if task.travel is None else replace(push, travel=task.travel)


def _answered(key: _Same, push: Push, choices: Choices) -> Results:
    """As far as the push counts: what comes after that is compared with nothing."""
    model = _framed_for(key, push, choices)
    return respond(model, push, solve(model, push, steps=steps_to_count(model, push)))


def _framed_for(key: _Same, push: Push, choices: Choices) -> Idealised:
    return _framed(key, choices, tuple(sorted(marks_of([push]).items())))


@lru_cache(maxsize=4)
def _framed(key: _Same, choices: Choices, marks: tuple[tuple[str, tuple[float, ...]], ...]) -> Idealised:
    """The plan as a frame, the same one for all pushes that need no nodes of their own.

    Raises:
        FrameError: it cannot stand.
        ValueError: the plan cannot be built.
    """
    cage = _resolved(key)
    if cage is None:
        raise ValueError("a plan that cannot be built has no frame")
    return idealise(cage, choices, dict(marks))


def bill_of(cage: Cage, shop: Shop, *, bars: bool = True) -> Bill:
    """What the cage weighs, and costs in bars to buy."""
    nests = nest_cage(cage, shop, rests=False) if bars and shop.stock else ()
    known = bool(nests) and all(n.cost is not None and not n.unplaced for n in nests)
    costs = [float(n.cost or 0.0) for n in nests]
    doubt = sum(c * float(n.gap) for c, n in zip(costs, nests, strict=True))
    return Bill(mass=weigh(cage).mass, cost=sum(costs) if known else None, doubt=doubt)
