"""A post so short that its foot end is cut on the tube it carries still stands on its foot."""

import numpy as np
import pytest

from cagewright.frame.foot_use import foot_forces
from cagewright.frame.idealise import idealise
from cagewright.frame.respond import solve
from cagewright.shape.resolve import resolve
from push_cages import on_sill, point_push, rigid
from small_plans import plan


def pressed(gap, part=0.5):
    """A bar across on held feet with a post under its middle, ``gap`` mm from its axis to the sill."""
    members = {
        "bar": {"role": "main rollbar", "tube": "hoop", "path": [{"foot": "left"}, {"foot": "right"}]},
        "post": {"role": "cage reinforcement", "tube": "bar",
                 "path": [{"foot": "low"}, {"on": "bar", "part": part}]},
    }  # fmt: skip
    feet = {"left": rigid((0, -500, 900), (0, 1, 0)), "right": rigid((0, 500, 900), (0, -1, 0)),
            "low": on_sill((0, 0, 900 - gap))}  # fmt: skip
    cage = resolve(plan(members, feet=feet))
    model = idealise(cage, None, {"bar": (250.0,)})
    answer = solve(model, point_push("bar", 250.0, (0, 0.3, -1.0), travel=10.0))
    assert answer.reached, answer.end
    return cage, model, answer


@pytest.mark.parametrize("gap", [23.5, 40.0])
def test_its_foot_carries_and_the_length_changes_little(gap):
    _, _, long = pressed(120.0)
    cage, model, short = pressed(gap)
    assert {j.name for j in cage.joints} == {"post.start", "post.end"}  # both its ends are cut on the bar
    assert [p.joint.name for p in model.joints] == ["post.end"]
    low = next(p for p in model.feet if p.foot.name == "low")
    assert np.abs(foot_forces(model, short, low)[-1, 2]) > 0.2 * short.load[-1]
    # 6 %: between them lie 80 to 96 mm of post on a sill that gives
    assert short.load[-1] == pytest.approx(long.load[-1], rel=0.06)
    assert any("post.start" in note for note in model.notes)


def test_a_slanted_one_too():
    _, model, answer = pressed(40.0, part=0.53)
    assert "low" in {p.foot.name for p in model.feet}
    assert answer.load[-1] == pytest.approx(pressed(120.0, part=0.53)[2].load[-1], rel=0.06)
