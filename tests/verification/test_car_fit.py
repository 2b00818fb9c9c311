"""Drafts and fits on bodies that nobody tuned to, their gaps measured by python-fcl.

Source: distances and collisions of python-fcl, a general collision library (run here), against meshes.
"""

from functools import cache
from pathlib import Path

import pytest

from cagewright.draft.fit import Freedom, fit
from cagewright.job.fit import HUGS
from cagewright.plan.places import AtCoordinates
from cagewright.shape.resolve import resolve
from cagewright.shape.shell import shell_of
from car_bodies import CARS, random_car

pytest.importorskip("fcl")
from car_fits import SHOP, TUBES, Stood, shorts, stood, told_of
from car_gaps import Gaps

PAGE = (Path(__file__).parents[2] / "docs" / "survey.md").read_text(encoding="utf-8")
STAGES = ("draft", "then fit, no scan", "then fit on the scan")
LEAST, ROUNDED = 5.0, 1.3
"""A gap may come out so much under the least: places are in whole mm, stations 20 mm apart."""


@cache
def body(name: str) -> Stood:
    return stood(CARS[name])


@cache
def on_scan(name: str):
    """The plan fitted on the scan, what is told of it, and its gaps."""
    plan, told = body(name).fitted(scan=True)
    return plan, told, body(name).gaps(plan)


@cache
def of_three(name: str) -> dict[str, tuple[Gaps, ...]]:
    """The gaps of hoop and legs after each stage."""
    return {**by_tape(body(name)), STAGES[2]: on_scan(name)[2]}


def by_tape(shell: Stood) -> dict[str, tuple[Gaps, ...]]:
    return {STAGES[0]: shell.gaps(shell.first), STAGES[1]: shell.gaps(shell.fitted(scan=False)[0])}


@pytest.mark.slow  # three fits and python-fcl for 1 500 places: some 15 s a body
@pytest.mark.parametrize("name", CARS)
def test_on_a_clean_scan_nothing_is_penetrated_and_most_lies_as_wanted(name):
    for tube, gaps in zip(TUBES, of_three(name)[STAGES[2]], strict=True):
        assert gaps.gap.min() >= LEAST - ROUNDED, tube
    # the dented saloon's hoop has to come down from two braces and in from a bracket
    hoop, left, right = (g.share for g in of_three(name)[STAGES[2]])
    assert hoop >= (0.5 if name == "dented saloon" else 0.9)
    assert min(left, right) >= 0.75


@pytest.mark.slow
@pytest.mark.parametrize("name", CARS)
def test_what_a_tube_lacks_is_named_and_brings_what_is_told(name):
    """Source: the tube with that freedom, measured by python-fcl on the mesh."""
    plan, told, lies = on_scan(name)
    for short in shorts(body(name), plan, told, lies):
        assert short.lack is not None, short.tube
        assert short.then is not None, (short.tube, short.lack.freed)
        assert short.kept, (short.tube, str(short.now), str(short.then), short.lack.then.share)
        proud = told_of(short.tube, told, plan).passes
        assert short.then.share >= 0.9 or any(one.beside > one.gap + HUGS for one in proud), short.tube


@pytest.mark.slow
def test_a_bend_that_is_named_brings_it_in_the_plan_too():
    """The builder's own way: the bend written into the plan where it is told, and fitted again."""
    shell = body("dented saloon")
    plan, told, lies = on_scan("dented saloon")
    short = next(s for s in shorts(shell, plan, told, lies) if s.tube == "front_leg_left")
    assert short.lack is not None
    assert short.lack.freed == "bends"
    (a, b), *_ = short.lack.between
    leg = plan.members[short.tube]
    at = short.lack.tube.places[a].round()
    path = (*leg.path[:a], AtCoordinates(at=tuple(at.tolist())), *leg.path[b - 1 :])
    members = {**plan.members, short.tube: leg.model_copy(update={"path": path})}
    bent = plan.model_copy(update={"members": members})
    only = Freedom(members=frozenset({short.tube}))
    last, _ = fit(bent, shell_of(resolve(bent), shell.scan), only, SHOP)
    assert shell.gaps(last)[1].share >= short.then.share - 0.03


@pytest.mark.slow
@pytest.mark.parametrize("name", CARS)
def test_a_fit_without_a_scan_does_no_harm(name):
    for tube, was, now in zip(TUBES, of_three(name)[STAGES[0]], of_three(name)[STAGES[1]], strict=True):
        assert now.gap.min() >= min(was.gap.min(), LEAST) - ROUNDED, tube
        assert now.share >= was.share - 0.03, tube


@pytest.mark.slow
def test_the_page_gives_what_is_measured():
    for name in CARS:
        for stage, gaps in of_three(name).items():
            assert f"| {name}, {stage} | {' | '.join(map(str, gaps))} |" in PAGE


@pytest.mark.slow  # some 10 s a body
@pytest.mark.parametrize("seed", [3, 9])
def test_from_the_tape_no_leg_runs_into_the_metal_and_a_hoop_only_where_a_post_ends(seed):
    for stage, every in by_tape(stood(random_car(seed))).items():
        hoop, left, right = (gaps.gap.min() for gaps in every)
        assert min(left, right) > 0.0, stage
        # no mark tells how far up a door post keeps its depth: of 30 seeds 9 and 28 are the worst
        assert hoop > -1.0, stage
