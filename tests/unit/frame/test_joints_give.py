"""Joints that give against joints that only report: less at every travel, never past strength, parted."""

from dataclasses import replace

import numpy as np
import pytest

from cagewright.frame.choices import Choices
from cagewright.frame.idealise import idealise
from cagewright.frame.joint_strength import chord_factor
from cagewright.frame.joint_use import joint_share, joint_uses
from cagewright.frame.joint_walls import main_factors, parting
from cagewright.frame.push_names import push_named
from cagewright.frame.respond import marks_of, solve, steps_for
from cagewright.frame.run import answered, ways_of
from push_cages import demo, hoop_cage, point_push, tee

SHORT = 60.0
"""mm: the first joints of the demo have parted by then."""


@pytest.fixture(scope="module")
def both():
    push = replace(push_named(demo(), "front-corner-left"), travel=SHORT)
    steps = replace(steps_for(push), first=True)
    models = [idealise(demo(), Choices(joints=j), marks_of([push])) for j in ("report", "yield")]
    return models, [solve(m, push, steps=steps) for m in models]


@pytest.mark.slow
def test_a_cage_whose_joints_give_carries_less_at_every_travel(both):
    _, (report, give) = both
    assert report.reached
    travel = np.arange(3.0, float(give.travel[-1]), 3.0)
    load = [np.interp(travel, s.travel, s.load) for s in (report, give)]
    assert (load[1] <= 1.002 * load[0]).all()
    assert (load[1][travel > 20.0] < 0.9 * load[0][travel > 20.0]).all()


def test_no_joint_that_gives_carries_more_than_its_strength_with_its_main_pushed(both):
    """Hinge and report count the same strength; the report's forces are those at the main's surface."""
    (_, model), (_, give) = both
    tubes, hinges = model.model.hinges.tubes, model.model.hinges
    factors = np.minimum.accumulate(main_factors(tubes, model.model.sections, give.forces))
    assert factors.min() < 0.6
    strength = np.minimum(tubes.wall * factors[..., None], hinges.capacity[tubes.row])
    use = joint_share(np.abs(give.hinges[:, tubes.row][..., [0, 4, 5]]) / strength)
    gave = [e.index for e in give.events if e.kind == "joint" and e.index < len(tubes.row)]
    assert len(gave) > 5
    # the strength follows its main's push a step behind, so that it is passed while that push grows fast
    assert use[-1].max() < 1.02
    assert use.max() < 1.25
    assert use.max(axis=0)[gave].min() > 0.99
    assert max(u.most for u in joint_uses(model, give, len(give.travel) - 1)) < 1.25


def test_the_first_joint_parts_at_its_limit_and_ends_what_is_followed(both):
    (_, model), (_, give) = both
    (loss,) = give.losses
    assert loss.kind == "joint"
    assert loss.part.name in model.model.hinges.names
    assert not give.reached
    assert give.travel[-2] <= loss.travel <= give.travel[-1]


def test_what_the_main_carries_lowers_its_joints_by_kp():
    """One element of 45 x 2.5 on each side: bending over W, less the smaller push, over fy (by hand)."""
    model = idealise(tee(), Choices())
    tubes, sections = model.model.hinges.tubes, model.model.sections
    forces = np.zeros((len(model.model.elements), 6))
    left, right = tubes.mains[0]
    forces[left, 0], forces[right, 0] = -20e3, -50e3
    forces[left, 4 if tubes.part[0, 0] else 2] = 3e5
    stress = 3e5 / (np.pi / 64 * (45**4 - 40**4) / 22.5) + 20e3 / (np.pi / 4 * (45**2 - 40**2))
    fy = float(tubes.main_yield[0])
    assert main_factors(tubes, sections, forces)[0] == pytest.approx(chord_factor(stress, fy))
    forces[[left, right], 0] = 2e5
    assert main_factors(tubes, sections, forces)[0] == 1.0


def test_a_joint_parts_by_pull_and_turns_together_and_not_by_push():
    tubes = idealise(tee(), Choices()).model.hinges.tubes
    deform = np.zeros((1, 6))
    deform[0, 0] = 0.6 * tubes.limit[0, 0]
    deform[0, 4] = -0.8 * tubes.limit[0, 1]
    assert parting(tubes, deform)[0] == pytest.approx(1.0)
    deform[0, 0] = -5.0
    assert parting(tubes, deform)[0] == pytest.approx(0.8)


def test_every_way_of_the_joints_is_solved_and_the_worst_is_the_answer():
    push = point_push("hoop", 900.0, (0.2, 1.0, -0.5), travel=15.0)
    found = answered(hoop_cage(), push, Choices(feet="rigid")).results
    ways = {(b.joints, b.rigid): b for b in found.bounds}
    assert set(ways) == {("yield", False), ("yield", True), ("report", False)}
    assert found.counted.energy == pytest.approx(min(b.counted.energy for b in found.bounds))
    assert ways["yield", True].stiffness > ways["yield", False].stiffness
    assert ways["report", False].stiffness == pytest.approx(ways["yield", False].stiffness, rel=1e-3)
    alone = ways_of(Choices(joints="report"))
    assert [(w.joints, w.flexibility) for w in alone] == [("report", 1.0), ("report", 0.0)]
