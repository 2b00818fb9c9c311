"""A push written for another program, and read back."""

import json

import numpy as np
import pytest

from cagewright.frame.choices import Choices
from cagewright.frame.export import export_push, frame_text
from cagewright.frame.idealise import idealise
from cagewright.frame.neutral import parse_frame
from cagewright.frame.push_names import push_named
from cagewright.frame.respond import solve, steps_for
from cagewright.frame.travel import push_point
from push_cages import demo, hoop_cage, point_push, tee

PLAIN = Choices(joints="report", flexibility=0.0, feet="rigid", bends=False, softened="none", stubs=False)


def test_without_losses_both_answer_alike():
    """A cage with nothing the neutral frame cannot say: the same curve within what its rounding leaves."""
    push = point_push("hoop", 900.0, (0.2, 1.0, -0.5), travel=20.0)
    model = idealise(hoop_cage(), PLAIN, {"hoop": (900.0,)})
    exported = export_push(model, push)
    assert exported.lost == ()
    frame, pushed = parse_frame(frame_text(exported))
    again = push_point(
        frame, node=pushed.node, direction=pushed.direction, target=pushed.target, steps=steps_for(push)
    )
    own = solve(model, push)
    at = np.linspace(1.0, 20.0, 20)
    # 0.2 %: a joint called rigid has a stiffness for all that
    assert np.interp(at, again.travel, again.load) == pytest.approx(
        np.interp(at, own.travel, own.load), rel=2e-3
    )


def test_rigid_pieces_stay_stiff():
    push = point_push("bar", 250.0, (0, 0, -1.0), travel=1.0)
    choices = Choices(joints="report", flexibility=0.0, feet="rigid", softened="none")
    model = idealise(tee(), choices, {"bar": (250.0,)})
    exported = export_push(model, push)
    assert "rigid pieces" in exported.lost[0]
    frame, pushed = parse_frame(frame_text(exported))
    again = push_point(frame, node=pushed.node, direction=pushed.direction, target=0.5)
    own = solve(model, push, travel=0.5)
    assert again.load[-1] == pytest.approx(own.load[-1], rel=0.01)


def test_what_is_lost_is_said_in_the_file():
    model = idealise(demo())
    exported = export_push(model, push_named(demo(), "roof-left"))
    text = frame_text(exported)
    notes = json.loads(text)["notes"]
    assert any("touches first" in n for n in notes)
    assert any("shell under the feet" in n for n in notes)
    frame, push = parse_frame(text)
    assert push.target == 150
    # 216a attitude, left: inboard and down, a little back
    assert push.direction == pytest.approx([0.0790, 0.4226, -0.9029], abs=1e-4)
    # the bend at the top of the left front leg is the first thing a roof platen meets
    assert frame.nodes[push.node][:2] == pytest.approx([1000, -530], abs=40)


def test_a_pole_and_loads_together():
    model = idealise(demo())
    side = export_push(model, push_named(demo(), "side-left"))
    node = np.array(side.frame["nodes"][side.frame["load"]["node"]])
    assert node[1] < -600
    assert side.frame["load"]["direction"] == [0, 1, 0]
    together = export_push(model, push_named(demo(), "harness"))
    assert any("only the largest" in n for n in together.lost)
