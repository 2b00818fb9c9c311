"""Platens and poles: where they touch, what they carry, and that they agree with point pushes."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest
from frame_cases import model_of, portal_data

from cagewright.frame.assemble import assembly, evaluate
from cagewright.frame.contact import Platen, Pole, _tool, contact_points, first_touch, push_with
from cagewright.frame.continuation import Steps
from cagewright.frame.kernels_contact import press_on
from cagewright.frame.kernels_turn import move
from cagewright.frame.neutral import parse_frame
from cagewright.frame.travel import push_pattern

DATA = Path(__file__).resolve().parents[2] / "data" / "frame"
DOWN = np.array([0, 0, -1.0])


def posts():
    """A portal whose legs stand 80 mm above its top."""
    data = portal_data()
    k = len(data["nodes"])
    data["nodes"] += [[0, -600, 1040], [0, -600, 1080], [0, 600, 1040], [0, 600, 1080]]
    data["elements"] += [[10, k, 45, 2.5], [k, k + 1, 45, 2.5], [22, k + 2, 45, 2.5], [k + 2, k + 3, 45, 2.5]]
    return model_of(data), [k + 1, k + 3]


def flat_platen(**more):
    given = {
        "centre": np.array([0, 0, 1200.0]),
        "normal": DOWN,
        "along": np.array([0, 1.0, 0]),
        "length": 1829.0,
        "width": 762.0,
        **more,
    }
    return Platen(**given)


def test_first_touch_is_the_clearance_to_the_tube():
    model, _ = posts()
    assert first_touch(model, flat_platen()) == pytest.approx(1200.0 - 1080.0 - 22.5, abs=1e-5)


def test_platen_on_two_posts_equals_two_point_pushes():
    model, tops = posts()
    pattern = np.zeros((len(model.nodes), 6))
    pattern[tops, 2] = -1.0
    points = push_pattern(
        model, pattern=pattern, measure=0.5 * pattern[:, :3], target=6.0, steps=Steps(size=0.05)
    )
    platen = push_with(model, press=flat_platen(), target=6.0, steps=Steps(size=0.05))
    assert points.reached
    assert platen.reached
    assert set(platen.touching[1:]) == {2}
    at = np.linspace(0.5, 5.9, 20)
    # the penalty springs sink in by load/(2 x 2e5 N/mm), and by half the soft start
    sunk = np.interp(at, platen.travel, platen.load / 4e5 + 0.01)
    both = 2.0 * np.interp(at - sunk, points.travel, points.load)
    assert np.interp(at, platen.travel, platen.load) == pytest.approx(both, rel=2e-3)
    reaction = platen.reaction[-1, [0, 32], 2]
    assert reaction.sum() == pytest.approx(platen.load[-1], rel=1e-4)
    assert reaction[0] == pytest.approx(reaction[1], rel=1e-6)


def test_stiffer_contact_closes_on_the_rigid_answer():
    model, _ = posts()
    loads = [
        push_with(model, press=flat_platen(), target=1.0, steps=Steps(size=0.5), stiffness=k).load[-1]
        for k in (1e5, 1e6, 1e7)
    ]
    assert loads[0] < loads[1] < loads[2]
    assert loads[2] - loads[1] < 0.2 * (loads[1] - loads[0])


def test_energy_and_balance_of_a_platen_push():
    frame = json.loads((DATA / "cage-roof.json").read_text())["frame"]
    frame["shear"] = True
    model, push = parse_frame(json.dumps(frame))
    normal = np.array([0.0790, -0.4226, -0.9029])
    centre = model.nodes[push.node] - 200.0 * normal
    got = push_with(
        model,
        press=Platen(centre=centre, normal=normal, along=np.array([1.0, 0, 0]), length=1829.0, width=762.0),
        target=60.0,
        steps=Steps(size=1.0),
    )
    assert got.reached
    assert got.touching.max() >= 2
    assert got.work[-1] == pytest.approx(got.stored[-1] + got.dissipated[-1], rel=5e-3)
    # frictionless and flat: the ground's total push is along the face's normal
    pushed = got.reaction[-1, :, :3].sum(axis=0)
    unit = normal / np.linalg.norm(normal)
    assert pushed @ unit == pytest.approx(-got.load[-1], rel=1e-3)
    assert np.linalg.norm(pushed - (pushed @ unit) * unit) < 1e-3 * got.load[-1]


def test_either_side_mirrors():
    model, _ = posts()
    tilt = np.array([0, 0.3, -1.0])
    loads = []
    for hand in (1.0, -1.0):
        flip = np.array([1.0, hand, 1.0])
        press = Platen(
            centre=np.array([0, -500.0, 1400.0]) * flip,
            normal=tilt * flip,
            along=np.array([1.0, 0, 0]),
            length=800.0,
            width=800.0,
        )
        loads.append(push_with(model, press=press, target=20.0).load)
    assert loads[0] == pytest.approx(loads[1], rel=1e-6)
    assert loads[0].max() > 1000.0


def test_small_platen_presses_between_nodes_by_its_edge():
    data = portal_data()
    data["nodes"] = [n for n in data["nodes"] if n[1] in (-600, 600) or n[1] in (-200, 200)]
    count = len(data["nodes"])
    data["elements"] = [[i, i + 1, 45, 2.5] for i in range(count - 1)]
    data["fixed"], data["load"] = [0, count - 1], {"node": 5, "direction": [0, 0, -1], "target": 10}
    model = model_of(data)
    got = push_with(model, press=flat_platen(length=120.0, width=120.0), target=10.0, steps=Steps(size=1.0))
    assert got.reached
    touched = contact_points(model)
    assert (touched.part > 0).sum() == 3 * len(model.elements)
    assert got.touching[-1] >= 1
    assert got.load[-1] > 1000.0


def test_pole_bends_the_bar_it_meets_and_is_stopped_by_its_own_radius():
    model, _ = posts()
    pole = Pole(
        centre=np.array([400.0, 30.0, 900.0]),
        axis=np.array([0, 0, 1.0]),
        length=1500.0,
        radius=152.5,
        way=np.array([-1.0, 0, 0]),
    )
    # it meets the top bar midway between nodes 16 and 17
    assert first_touch(model, pole) == pytest.approx(400.0 - 152.5 - 22.5, abs=0.5)
    got = push_with(model, press=pole, target=120.0)
    assert got.reached
    near = got.displacement[-1, 16]
    assert near[0] == pytest.approx(-120.0, abs=4.0)
    # tangent at first: two points from the ball spacing; later it wraps round the pole
    assert got.work[-1] == pytest.approx(got.stored[-1] + got.dissipated[-1], rel=5e-3)


def test_tool_that_never_meets_the_frame():
    model, _ = posts()
    with pytest.raises(ValueError, match="never meets"):
        push_with(model, press=flat_platen(centre=np.array([9e3, 0, 1200.0])), target=5.0)
    with pytest.raises(ValueError, match="direction"):
        push_with(model, press=flat_platen(normal=np.zeros(3)), target=5.0)


@pytest.mark.parametrize("kind", ["face", "edge", "corner", "pole"])
def test_contact_tangent_is_the_derivative_of_its_force(kind):
    model, tops = posts()
    a = assembly(model)
    x, r = model.nodes.copy(), np.tile(np.eye(3), (len(model.nodes), 1, 1))
    evaluate(a, x, r)
    bare_force, bare = a.force.copy(), a.diag.copy()
    top = model.nodes[tops[1]]
    if kind == "pole":
        press = Pole(
            centre=top + np.array([170.0, 3.0, -20.0]),
            axis=np.array([0.1, 0.2, 1.0]),
            length=900.0,
            radius=152.0,
            way=np.array([-1.0, 0, 0]),
        )
    else:
        shift = {"face": [0, 0, 22.0], "edge": [0, 60.0, 10.0], "corner": [60.0, 60.0, 5.0]}[kind]
        press = Platen(
            centre=top + shift,
            normal=np.array([0, 0, -1.0]),
            along=np.array([0, 1.0, 0]),
            length=100.0,
            width=100.0,
        )
    a.tool, a.points = _tool(press, 2e5), contact_points(model)
    evaluate(a, x, r)
    assert a.pressed[2] >= 1
    c = a.top.slots.column[tops[1]]
    stiff = (a.diag[c] - bare[c])[:3, :3]
    assert np.abs(stiff).max() > 1e4
    out = np.zeros((3, 3))
    for dof in range(3):
        ends = []
        for sign in (1.0, -1.0):
            x2, r2, step = x.copy(), r.copy(), np.zeros((len(x), 6))
            step[tops[1], dof] = sign * 1e-5
            move(x2, r2, step)
            a.tool = None
            evaluate(a, x2, r2, tangent=False)
            plain = a.force.copy()
            a.tool = _tool(press, 2e5)
            evaluate(a, x2, r2, tangent=False)
            ends.append((a.force - plain)[tops[1], :3])
        out[:, dof] = (ends[0] - ends[1]) / 2e-5
    assert np.abs(bare_force).max() < 1e-6
    assert stiff == pytest.approx(out, abs=1e-4 * np.abs(out).max())


@pytest.mark.parametrize(("aside", "kept"), [(0.2, 0.2), (1.0, 0.3)])
def test_a_tube_sticks_to_what_presses_until_friction_is_used_up(aside, kept):
    """A round cantilever is as stiff across as down: dragged aside by s of what it is pressed down, it pulls
    back with s of the normal force, or with friction's part of it where that is less and it slides."""
    data = {"nodes": [[x, 0, 0] for x in range(0, 501, 100)], "fixed": [0], "E": 210e3, "nu": 0.3, "fy": 1500,
            "elements": [[i, i + 1, 45, 2.5] for i in range(5)],
            "load": {"node": 5, "direction": [0, 0, -1], "target": 1.0}}  # fmt: skip
    platen = flat_platen(
        centre=np.array([500.0, 0, 60.0]), along=np.array([1.0, 0, 0]), length=10.0, width=400.0,
        way=np.array([0, aside, -1.0]), friction=0.3,
    )  # fmt: skip
    got = push_with(model_of(data), press=platen, target=8.0, steps=Steps(size=0.1))
    assert got.reached
    across, down = np.abs(got.reaction[-1, 0, 1]), np.abs(got.reaction[-1, 0, 2])
    # 5 %: what it sinks in, how far it gives before it slides, and a grip that is a step behind
    assert across / down == pytest.approx(kept, rel=0.05)
    assert got.work[-1] == pytest.approx(got.stored[-1] + got.dissipated[-1], rel=0.01)
    assert (got.dissipated[-1] > 0.1 * got.work[-1]) == (aside > 0.3)


def test_a_dent_and_a_grip_come_to_their_new_strength_with_the_step_and_one_without_a_limit_at_once():
    points = contact_points(model_of(portal_data()))
    points.law[:, 0], points.law[:, 2] = [10.0, 0.5, np.inf], [30.0, 0.9, 50.0]
    points.grip[:, 0], points.grip[:, 2] = 4.0, 8.0
    for share, law, grip in ((0.25, [15.0, 0.6, 50.0], 5.0), (3.0, [30.0, 0.9, 50.0], 8.0)):
        press_on(points, share)
        assert points.law[:, 1] == pytest.approx(np.tile(law, (len(points.law), 1)))
        assert points.grip[:, 1] == pytest.approx(grip)
