"""Is a ranking said to hold where it must, and to be a toss-up where it is one?

The roll bar pushed rearwards at its top: without backstays it has only its own feet to stand on. And pressed
straight down: a diagonal that runs the other way is the mirror of the plan, so that it must take up as much.
"""

from functools import partial

from cagewright.compare.pool import Here
from cagewright.compare.ranking import ahead
from cagewright.compare.run import compare
from cagewright.compare.study import Comparison
from cagewright.plan.alternatives import read_alternatives_text
from cagewright.plan.load_types import PushEntry
from cagewright.plan.places import OnMember
from pushed import roll_bar

SEED = 20090512  # of frame/draws.py: the draws are those that every study has
SMALL, FULL = 12, 64
"""Draws of each alternative."""
STUDY = """
cagewright_alternatives: 2
title: What is known and what is not
pushes: [PUSH]
travel: 30
model: {mesh: 100}
alternatives:
  - CASE
"""
BARE = "{name: no backstays, changes: [{remove: [backstay_left]}]}"
MIRRORED = (
    "{name: diagonal the other way, changes: ["
    "{move: {members: diagonal, places: start, to: {on: main_hoop, side: left, up: 260}}}, "
    "{move: {members: diagonal, places: end, to: {on: main_hoop, across: 255}}}]}"
)


def compared(push: str, case: str, draws: int) -> Comparison:
    """The roll bar beside one alternative."""
    plan, shop, _ = roll_bar()
    top = OnMember(on="main_hoop", across=0.0)
    rearward = PushEntry(kind="point", at=top, direction=(1.0, 0.0, 0.0), travel=30.0)
    asked = plan.model_copy(update={"pushes": {"rearward": rearward}})
    text = STUDY.replace("PUSH", push).replace("CASE", case)
    return compare(asked, read_alternatives_text(text), shop, draws=draws, bars=False, executor=Here())


def figures(size: int, seed: int) -> dict[str, float]:
    """In how many draws the plan takes up more than without backstays, and than mirrored."""
    ask = partial(compared, draws=size)
    found: dict[str, float] = {"draws": size}
    for name, made in (
        ("backstays", ask("rearward", BARE)),
        ("mirrored", ask("main-hoop-down", MIRRORED)),
    ):
        (push,) = made.pushes
        plan, other = (made.drawn[o.name, push] for o in made.outcomes)
        one = ahead(plan, other)
        found |= {f"{name}_more": one.more, f"{name}_less": one.less}
        found[f"{name}_median_J"] = round(one.middle or 0.0, 2)
    return found


def check(found: dict[str, float]) -> None:
    """Hold what the study is to show.

    Raises:
        AssertionError: it does not.
    """
    assert found["backstays_more"] == found["draws"]
    assert 0.9 * found["draws"] > found["mirrored_more"] > 0.1 * found["draws"]
