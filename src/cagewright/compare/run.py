"""A study run: every case under every push, on whatever does the work, with progress."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from concurrent.futures import Executor, as_completed
from dataclasses import replace
from functools import partial
from typing import Any

from cagewright.base.problems import Problem, ProblemsFound, nearest_word
from cagewright.compare.cases import ChangedCase, cases_of, where_in_case
from cagewright.compare.pool import cores
from cagewright.compare.ranking import DrawnPushes
from cagewright.compare.resolution import other_meshes, resolution_of
from cagewright.compare.study import Bill, Comparison, Outcome, PushOutcome, same_travel
from cagewright.compare.task import BillTask, DrawsTask, PushTask, Task, Told, done
from cagewright.frame.choices import Choices
from cagewright.frame.draws import drawn
from cagewright.frame.push_names import DEFAULT, push_names
from cagewright.plan.alternatives import Alternatives, place_in
from cagewright.plan.types import Plan, where_of
from cagewright.shape.resolve import resolve, revision
from cagewright.shape.types import Cage
from cagewright.stock.shop import NO_SHOP, Shop

Step = Callable[[str, float], None]


def no_progress(doing: str, share: float) -> None:
    """Take no notice of progress."""


def compare(
    plan: Plan,
    alternatives: Alternatives,
    shop: Shop = NO_SHOP,
    *,
    draws: int = 0,
    bars: bool = True,
    executor: Executor | None = None,
    step: Step = no_progress,
) -> Comparison:
    """The plan and its alternatives under the study's pushes.

    Args:
        plan: as read; stays as it is.
        alternatives: as read.
        shop: prices the tube.
        draws: how many times each case is pushed with what is not known drawn, the same for every case.
        bars: work out which bars to buy; without it there are no costs.
        executor: does the work; all cores of this machine by default.
        step: told what was done and the share done.

    Raises:
        ProblemsFound: a change cannot be made, the plan cannot be built, or a push is not known.
    """
    cases = cases_of(plan, alternatives)
    cage = resolve(plan, partial(where_of, plan))
    pushes = _pushes(cage, cases, alternatives)
    choices = choices_of(alternatives)
    tasks = _tasks(cases, pushes, alternatives, shop, bars=bars)
    ranked = _draw_tasks(cases, pushes, alternatives, draws)
    tasks += [task for _, task in ranked]
    if executor is None:
        with cores() as own:
            found = _all_done(tasks, own, step)
    else:
        found = _all_done(tasks, executor, step)
    width = len(pushes) + 1
    parts = found[len(found) - len(ranked) :]
    again = found[len(cases) * width : len(found) - len(ranked)]
    outcomes = tuple(
        _outcome(plan, alternatives, changed, found[i * width : (i + 1) * width])
        for i, changed in enumerate(cases)
    )
    return Comparison(
        title=alternatives.title,
        question=alternatives.question,
        plan=plan.title,
        revision=revision(plan),
        units=plan.units,
        currency=shop.currency,
        pushes=pushes,
        choices=choices,
        outcomes=outcomes,
        resolution=_resolution(outcomes, again),
        draws=draws,
        drawn=_drawn([key for key, _ in ranked], parts),
    )


def choices_of(alternatives: Alternatives) -> Choices:
    """The strength model's simplifications that the study asks for."""
    model = alternatives.model
    return Choices(
        joints=model.joints,
        feet=model.feet,
        softened=model.softened,
        strength=model.strength,
        mesh=model.mesh,
    )


def _pushes(cage: Cage, cases: Sequence[ChangedCase], alternatives: Alternatives) -> tuple[str, ...]:
    """The study's pushes by name, the default where it names none.

    Raises:
        ProblemsFound: one is not known.
    """
    known = (*push_names(cage), *(n for c in cases for n in c.case.plan.pushes))
    problems = [
        Problem(
            code="unknown-push",
            where=place_in(alternatives, ("pushes", i)),
            found=f"'{name}' is no push of this cage",
            wanted=f"wanted one of {', '.join(dict.fromkeys(known))}",
            nearest=nearest_word(name, known),
        )
        for i, name in enumerate(alternatives.pushes)
        if name not in known
    ]
    if problems:
        raise ProblemsFound(problems)
    return alternatives.pushes or (DEFAULT,)


def _tasks(
    cases: Sequence[ChangedCase],
    pushes: Sequence[str],
    alternatives: Alternatives,
    shop: Shop,
    *,
    bars: bool,
) -> list[tuple[str, Task]]:
    """Every piece of work with its words: each case's bill and pushes, then the other meshes."""
    choices = choices_of(alternatives)
    pushed = partial(PushTask, travel=alternatives.travel)
    tasks: list[tuple[str, Task]] = []
    for changed in cases:
        case = changed.case
        tasks.append((f"{case.name}: weight and bars", BillTask(plan=case.plan, shop=shop, bars=bars)))
        for p in pushes:
            tasks.append((f"{case.name}: {p}", pushed(plan=case.plan, push=p, choices=choices)))
    base = cases[0].case.plan
    for p in pushes:
        for mesh in other_meshes(choices):
            task = pushed(plan=base, push=p, choices=mesh)
            tasks.append((f"mesh of {mesh.mesh:g} mm: {p}", task))
    return tasks


AT_ONCE = 4
"""Draws of one piece of work: few, so that all cores are busy to the end and progress is told."""
DRAWN_MESH = 120.0
"""Draws are pushed on elements so long, mm, where the study's are not longer: docs/theory/alternatives.md."""


def _draw_tasks(
    cases: Sequence[ChangedCase], pushes: Sequence[str], alternatives: Alternatives, count: int
) -> list[tuple[tuple[str, str], tuple[str, Task]]]:
    """The draws of every case and push in small pieces, each under its case and push."""
    if count == 0:
        return []
    choices, every = choices_of(alternatives), drawn(count)
    coarse = replace(choices, mesh=max(choices.mesh, DRAWN_MESH))
    made: list[tuple[tuple[str, str], tuple[str, Task]]] = []
    for start in range(0, count, AT_ONCE):
        some = every[start : start + AT_ONCE]
        for changed in cases:
            name, plan = changed.case.name, changed.case.plan
            for p in pushes:
                task = DrawsTask(plan=plan, push=p, choices=coarse, draws=some, travel=alternatives.travel)
                made.append(((name, p), (f"{name}: {p}, draw {start + 1} of {count}", task)))
    return made


def _drawn(keys: Sequence[tuple[str, str]], parts: Sequence[Any]) -> dict[tuple[str, str], DrawnPushes]:
    told: dict[tuple[str, str], list[Told]] = {}
    for key, part in zip(keys, parts, strict=True):
        told.setdefault(key, []).extend(part or ())
    return {
        key: DrawnPushes(curves=tuple(c for c, _ in rows), kinds=tuple(kind for _, kind in rows))
        for key, rows in told.items()
        if rows
    }


def _all_done(tasks: Sequence[tuple[str, Task]], executor: Executor, step: Step) -> list[Any]:
    """What came of each task, in order; the longest are started first."""
    order = sorted(range(len(tasks)), key=lambda i: _weight(tasks[i][1]))
    futures = {executor.submit(done, tasks[i][1]): i for i in order}
    found: list[Any] = [None] * len(tasks)
    for count, future in enumerate(as_completed(futures), start=1):
        i = futures[future]
        found[i] = future.result()
        step(tasks[i][0], count / len(tasks))
    return found


def _weight(task: Task) -> float:
    return 0.0 if isinstance(task, BillTask) else task.choices.mesh


def _outcome(plan: Plan, alternatives: Alternatives, changed: ChangedCase, found: Sequence[Any]) -> Outcome:
    case, (bill, *answers) = changed.case, found
    if not isinstance(bill, Bill):
        problems = _why(plan, alternatives, changed)
        return Outcome(name=case.name, note=case.note, bill=None, answers=(), problems=problems)
    pushed = tuple(a for a in answers if isinstance(a, PushOutcome))
    return Outcome(name=case.name, note=case.note, bill=bill, answers=pushed)


def _why(plan: Plan, alternatives: Alternatives, changed: ChangedCase) -> tuple[Problem, ...]:
    """Why a case cannot be built, each problem at the change or the line of the plan it comes from."""
    try:
        resolve(changed.case.plan, partial(where_in_case, plan, alternatives, changed))
    except ProblemsFound as found:
        return found.problems
    return ()


def _resolution(outcomes: Sequence[Outcome], again: Sequence[Any]) -> dict[tuple[str, str], float | None]:
    other = [a for a in again if isinstance(a, PushOutcome)]
    found: dict[tuple[str, str], float | None] = {}
    for answer in outcomes[0].answers:
        mine = [a for a in other if a.push == answer.push]
        found |= resolution_of(answer, mine, same_travel(outcomes, answer.push))
    return found
