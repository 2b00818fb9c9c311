"""Twenty alternatives of the demo cage under a roof and a side push: time on all cores, beside one at a time.

Run: ``python benchmarks/compare_alternatives.py [--full | --draws]``. Budget: 10 s on two cores, with the
workers started; what starting them takes is told apart. The peers, in the same run: the same pushes one after
the other in this process, and of those the solving alone. Processor seconds of the one process are told too:
on a machine that others use, half of them is what two cores of its own would take. ``--full`` adds the bars
to buy. ``--draws`` pushes three of them 64 times instead, in this process, beside the same pushes without
draws: budget 60 s on two cores.
"""

from __future__ import annotations

import os
import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

from cagewright.compare.cases import cases_of
from cagewright.compare.pool import Here, cores
from cagewright.compare.run import compare
from cagewright.frame.choices import Choices
from cagewright.frame.idealise import idealise
from cagewright.frame.push_names import push_named
from cagewright.frame.respond import marks_of, solve, steps_to_count
from cagewright.frame.warm import warm_up
from cagewright.plan.alternatives import Alternatives, read_alternatives_text
from cagewright.plan.shop import read_job
from cagewright.shape.resolve import resolve

ROOT = Path(__file__).parents[1]
PUSHES = ("roof-left", "side-left")
BUDGET = 10.0
DRAWS, BUDGET_DRAWS = 64, 60.0


def study() -> Alternatives:
    """Twenty alternatives: posts and braces moved, walls changed, tubes left out."""
    posts = "members: [doorbar_post_upper_left, doorbar_post_lower_left], places: [start, end]"
    moves = [f"move: {{{posts}, by: [{step}, 0, 0]}}" for step in (-200, -150, -100, -50, 50, 100, 150, 200)]
    braces = [
        f"move: {{members: pillar_brace_left, places: end, by: [{step}, 0, 0]}}"
        for step in (-60, -30, 30, 60)
    ]
    walls = [f"size: {{tube: {tube}, wall: {wall}}}" for tube in ("bar", "hoop") for wall in (2.0, 2.25, 3.0)]
    gone = ["remove: pillar_brace_left", "remove: {names: dash_bar, dependents: true}"]
    rows = [
        f"  - {{name: '{i}', changes: [{{{c}}}]}}" for i, c in enumerate([*moves, *braces, *walls, *gone])
    ]
    head = f"cagewright_alternatives: 2\ntitle: twenty\npushes: [{', '.join(PUSHES)}]\nalternatives:\n"
    return read_alternatives_text(head + "\n".join(rows))


def timed(work: Callable[[], Any]) -> tuple[float, Any]:
    """Seconds and the answer."""
    start = time.perf_counter()
    found = work()
    return time.perf_counter() - start, found


def solving(plan: Any, alternatives: Alternatives) -> float:
    """Seconds of the solves alone, one after the other."""
    spent = 0.0
    for changed in cases_of(plan, alternatives):
        cage = resolve(changed.case.plan)
        for name in PUSHES:
            push = push_named(cage, name)
            model = idealise(cage, Choices(), marks_of([push]))
            spent += timed(
                lambda model=model, push=push: solve(model, push, steps=steps_to_count(model, push))
            )[0]
    return spent


def in_draws() -> None:
    """Three alternatives 64 times under both pushes, processor seconds, beside pushes followed to the end."""
    plan, shop = read_job(ROOT / "examples" / "brackwater.yaml")
    every = study()
    few = every.model_copy(update={"alternatives": every.alternatives[:3]})
    warm_up()
    start = time.process_time()
    made = compare(plan, few, shop, executor=Here(), bars=False)
    whole = time.process_time() - start
    compare(plan, few, shop, draws=1, executor=Here(), bars=False)
    start = time.process_time()
    compare(plan, few, shop, draws=DRAWS, executor=Here(), bars=False)
    spent = time.process_time() - start - whole
    pushes = DRAWS * len(PUSHES) * len(made.outcomes)
    each = whole / (len(PUSHES) * (len(made.outcomes) + 2))
    print(f"{DRAWS} draws of 3 alternatives and the plan under {len(PUSHES)} pushes: {pushes} pushes")
    print(f"processor time                           {spent:7.2f} s   {spent / 2:5.2f} s a core on two")
    print(f"    a push                               {spent / pushes:7.3f} s   to its end {each:6.3f} s")
    print("Within the budget." if spent / 2 <= BUDGET_DRAWS else f"Over: {spent / 2 / BUDGET_DRAWS:.2f} x.")


def main() -> None:
    if "--draws" in sys.argv:
        in_draws()
        return
    full = "--full" in sys.argv
    plan, shop = read_job(ROOT / "examples" / "brackwater.yaml")
    alternatives = study()
    warm_up()
    run = {"bars": full}
    count = len(os.sched_getaffinity(0))
    begin = time.perf_counter()
    with cores() as pool:
        small = alternatives.model_copy(update={"alternatives": alternatives.alternatives[:1], "travel": 5.0})
        compare(plan, small, shop, executor=pool, **run)
        started = time.perf_counter() - begin
        spread, made = timed(lambda: compare(plan, alternatives, shop, executor=pool, **run))
    spent = time.process_time()
    alone, _ = timed(lambda: compare(plan, alternatives, shop, executor=Here(), **run))
    spent = time.process_time() - spent
    bare = solving(plan, alternatives)
    pushed = sum(len(o.answers) for o in made.outcomes)
    rows = len(made.outcomes) - 1
    print(f"{rows} alternatives and the plan, {pushed} pushes and {2 * len(PUSHES)} on other meshes")
    print(f"start of {count} workers with their first push  {started:7.2f} s")
    print(f"the study on {count} cores                      {spread:7.2f} s   budget {BUDGET:g} s")
    print(f"the study one at a time                  {alone:7.2f} s   {alone / spread:5.2f} x")
    print(f"    its processor time                   {spent:7.2f} s   {spent / 2:5.2f} s a core on two")
    print(f"its {pushed} pushes solved, nothing else       {bare:7.2f} s   {bare / spread:5.2f} x")
    if not full:
        print("Within the budget." if spread <= BUDGET else f"Over the budget: {spread / BUDGET:.2f} x.")


if __name__ == "__main__":
    main()
