"""A study from file to figures on a four-member roll bar; the same on cores and on a cluster."""

import numpy as np
import pytest

from cagewright.base.problems import ProblemsFound
from cagewright.compare.pool import Here, cluster, cores
from cagewright.compare.run import compare
from cagewright.plan.alternatives import read_alternatives, read_alternatives_text
from pushed import EXAMPLES, demo, roll_bar

STUDY = """
cagewright_alternatives: 1
title: Diagonal or none
pushes: [main-hoop-down]
travel: 20
model: {mesh: 120}
alternatives:
  - {name: no diagonal, changes: [{remove: diagonal}]}
  - {name: thicker, changes: [{size: {tube: hoop, wall: 3}}]}
  - {name: too short, changes: [{move: {members: diagonal, places: end, across: -900}}]}
"""


@pytest.fixture(scope="module")
def found():
    plan, shop, _ = roll_bar()
    said = []
    made = compare(
        plan, read_alternatives_text(STUDY), shop, executor=Here(), step=lambda d, s: said.append((d, s))
    )
    return made, said


def test_every_case_is_pushed_weighed_and_priced(found):
    made, said = found
    base, bare, thick, broken = made.outcomes
    assert base.bill.mass - bare.bill.mass == pytest.approx(3.1, abs=0.7)  # 1.4 m of 38 x 2.5 tube
    assert thick.bill.mass > base.bill.mass
    assert base.bill.cost >= bare.bill.cost > 0.0
    assert [a.results.reached for a in (*base.answers, *bare.answers, *thick.answers)] == [True] * 3
    assert all(a.results.travel[-1] == pytest.approx(20.0) for a in base.answers)
    assert said[-1][1] == 1.0
    assert broken.bill is None


def test_a_thicker_hoop_carries_more(found):
    made, _ = found
    base, _, thick, _ = (o.answers[0].results if o.answers else None for o in made.outcomes)
    assert thick.load.max() > base.load.max()
    assert thick.stiffness > base.stiffness


def test_an_alternative_that_cannot_be_built_says_why_at_its_line(found):
    problem = found[0].outcomes[3].problems[0]
    assert (problem.where.file, problem.where.line) == ("alternatives", 10)
    assert problem.found


def test_an_unknown_push_is_told_with_the_nearest():
    text = STUDY.replace("main-hoop-down", "main-hop-down")
    with pytest.raises(ProblemsFound) as wrong:
        compare(roll_bar()[0], read_alternatives_text(text), executor=Here())
    assert wrong.value.problems[0].nearest == "main-hoop-down"
    assert wrong.value.problems[0].where.line == 4


def test_a_push_that_an_alternative_makes_impossible_is_refused_there_only():
    text = STUDY.replace("main-hoop-down", "side-left").replace(
        "remove: diagonal", "remove: {names: doorbar_top_left, dependents: yes}"
    )
    plan, shop, _ = demo()
    text = text.split("  - {name: thicker")[0].replace(
        "doorbar_top_left", "[doorbar_top_left, doorbar_mid_left, doorbar_low_left]"
    )
    made = compare(plan, read_alternatives_text(text), shop, executor=Here(), bars=False)
    base, bare = made.outcomes
    assert base.answers[0].results is not None
    assert bare.answers[0].results is None
    assert bare.answers[0].refused


def same(one, other):
    for a, b in zip(one.outcomes, other.outcomes, strict=True):
        assert (a.name, a.bill) == (b.name, b.bill)
        for x, y in zip(a.answers, b.answers, strict=True):
            assert np.array_equal(x.results.load, y.results.load)
    assert one.resolution == other.resolution


@pytest.mark.slow  # each worker starts afresh
def test_two_cores_give_the_same_as_one(found):
    plan, shop, _ = roll_bar()
    with cores(2) as pool:
        same(compare(plan, read_alternatives_text(STUDY), shop, executor=pool), found[0])


@pytest.mark.slow
def test_a_cluster_gives_the_same(found):
    plan, shop, _ = roll_bar()
    with cluster() as pool:
        same(compare(plan, read_alternatives_text(STUDY), shop, executor=pool), found[0])


@pytest.mark.slow
@pytest.mark.parametrize("path", sorted((EXAMPLES / "studies").glob("*.yaml")), ids=lambda p: p.stem)
def test_the_ready_studies_run(path):
    """Every alternative of every ready study is built and pushed a little way on a coarse mesh."""
    plan, shop, _ = demo()
    study = read_alternatives(path)
    study = study.model_copy(
        update={
            "travel": 6.0,
            "model": study.model.model_copy(update={"mesh": 200.0}),
            "pushes": study.pushes[:1],
        }
    )
    made = compare(plan, study, shop, executor=Here(), bars=False)
    for o in made.outcomes:
        assert not o.problems, o.problems
        assert all(a.results is not None and a.results.reached for a in o.answers), o.name
