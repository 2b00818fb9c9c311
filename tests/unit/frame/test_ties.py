"""Springs to the ground that give at their capacity, and joints that give by the interaction rule."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from frame_cases import model_of, portal_data
from scipy.optimize import minimize

from cagewright.frame.assemble import assembly, evaluate
from cagewright.frame.continuation import Steps
from cagewright.frame.kernels_ties import _joint_forces, springs_pass
from cagewright.frame.kernels_turn import move
from cagewright.frame.linear import solve_linear
from cagewright.frame.model import Hinges, Material, Springs, clamped, frame_model, tube_sections
from cagewright.frame.travel import push_pattern, push_point

STEEL = Material(young=210e3, shear=81e3)


def stick(**more):
    """A 200 mm tube along x from a free foot at node 0."""
    nodes = np.array([[0, 0, 0], [100, 0, 0], [200, 0, 0.0]])
    return frame_model(
        nodes=nodes,
        elements=np.array([[0, 1], [1, 2]]),
        sections=tube_sections([45.0] * 2, [2.5] * 2),
        materials=(STEEL,),
        **more,
    )


def test_foot_spring_holds_up_to_its_capacity_then_gives():
    fixed = clamped(3, [0])
    fixed[0, 0] = False
    springs = Springs(
        node=np.array([0]),
        dof=np.array([0]),
        stiffness=np.array([2000.0]),
        capacity=np.array([[5000.0, np.inf]]),
    )
    model = stick(fixed=fixed, springs=springs)
    pushed = push_point(model, node=2, direction=np.array([-1.0, 0, 0]), target=4.0, steps=Steps(size=0.25))
    assert pushed.load.max() == pytest.approx(5000.0, rel=1e-6)
    assert pushed.load[-1] == pytest.approx(5000.0, rel=1e-6)
    assert [e.kind for e in pushed.events] == ["foot"]
    assert pushed.events[0].travel == pytest.approx(2.5, abs=0.26)
    assert pushed.springs[-1, 0] == pytest.approx(5000.0, rel=1e-6)
    # slides 4 mm less what springs back, at 5 kN
    assert pushed.dissipated[-1] == pytest.approx(5000.0 * (4.0 - 2.5), rel=0.02)
    assert pushed.work[-1] == pytest.approx(
        pushed.stored[-1] + pushed.dissipated[-1], rel=0.02
    )  # coarse at the corner
    pulled = push_point(model, node=2, direction=np.array([1.0, 0, 0]), target=4.0, steps=Steps(size=1.0))
    assert pulled.load[-1] > 7900.0
    assert not pulled.events


def test_turning_spring_at_a_foot():
    fixed = clamped(3, [0])
    fixed[0, 4] = False
    springs = Springs(
        node=np.array([0]), dof=np.array([4]), stiffness=np.array([1e7]), capacity=np.full((1, 2), 3e5)
    )
    model = stick(fixed=fixed, springs=springs)
    got = push_point(model, node=2, direction=np.array([0, 0, -1.0]), target=20.0, steps=Steps(size=0.5))
    assert got.reached
    # 200 mm arm that swings down a little as the foot turns
    turned = np.arcsin(20.0 / 200.0)
    assert got.load[-1] == pytest.approx(3e5 / (200.0 * np.cos(turned)), rel=0.01)
    assert abs(got.springs[-1, 0]) == pytest.approx(3e5)


def on_turning_springs():
    """The stick on a foot that is held in place but turns on three unlike springs that never give."""
    fixed = clamped(3, [0])
    fixed[0, 3:] = False
    springs = Springs(
        node=np.zeros(3, int), dof=np.array([3, 4, 5]), stiffness=np.array([2e6, 5e6, 9e6]),
        capacity=np.full((3, 2), np.inf),
    )  # fmt: skip
    return stick(fixed=fixed, springs=springs)


def test_turning_springs_keep_their_energy_through_large_turns():
    """What is put in is stored, however the foot turned: the moment is the gradient of k a2/2 (computed)."""
    model = on_turning_springs()
    pattern = np.zeros((3, 6))
    pattern[2] = [0, 1.0, -1.0, 60.0, 0, 0]
    got = push_pattern(model, pattern=pattern, measure=pattern[:, :3], target=150.0, steps=Steps(size=1.0))
    assert got.reached
    turn = got.turn[-1, 0]
    assert np.arccos((np.trace(turn) - 1.0) / 2.0) > 0.4
    assert got.work[-1] == pytest.approx(got.stored[-1], rel=1e-4)  # straight lines between kept loads


def test_tangent_of_turning_springs_is_the_slope_of_their_moments():
    a = assembly(on_turning_springs())
    x, r = a.model.nodes.copy(), np.tile(np.eye(3), (3, 1, 1))
    turned = np.zeros((3, 6))
    turned[0, 3:] = [0.3, -0.5, 0.4]
    move(x, r, turned)

    def moments(rotations, block):
        force = np.zeros((3, 6))
        springs_pass(a.ties, a.top.slots, a.model.nodes, x, rotations, force, block, True)
        return force[0, 3:]

    own = np.zeros_like(a.diag)
    moments(r, own)
    slope = np.zeros((3, 3))
    for j in range(3):
        side = []
        for step in (1e-6, -1e-6):
            q, little = r.copy(), np.zeros((3, 6))
            little[0, 3 + j] = step
            move(x.copy(), q, little)
            side.append(moments(q, np.zeros_like(a.diag)))
        slope[:, j] = (side[0] - side[1]) / 2e-6
    block = own[a.top.slots.column[0]][3:, 3:]
    assert block == pytest.approx(0.5 * (slope + slope.T), rel=1e-6, abs=1.0)


def jointed(*, capacity=(np.inf, np.inf, np.inf), stiffness=1e9, hardening=1e-3, apart=(0.0, 0.0, 0.0)):
    """The stick built in at node 3, ``apart`` before it, through a joint whose branch axis is the stick."""
    nodes = np.array([[0, 0, 0], [100, 0, 0], [200, 0, 0.0], -np.array(apart)])
    hinges = Hinges(
        ends=np.array([[3, 0]]),
        axes=np.eye(3)[None],
        stiffness=np.array([[1e6, 1e6, 1e6, stiffness, stiffness, stiffness]]),
        capacity=np.array([capacity], float),
        hardening=hardening,
    )
    return frame_model(
        nodes=nodes,
        elements=np.array([[0, 1], [1, 2]]),
        sections=tube_sections([45.0] * 2, [2.5] * 2),
        materials=(STEEL,),
        fixed=clamped(4, [3]),
        hinges=hinges,
    )


def test_stiff_joint_is_no_joint():
    loads = np.zeros((1, 4, 6))
    loads[0, 2] = [300, 200, 100, 1e4, 2e4, 3e4]
    soft = solve_linear(jointed(stiffness=1e12), loads)
    plain = solve_linear(stick(fixed=clamped(3, [0])), loads[:, :3])
    # the joint's own 1e6 N/mm along and across its axes
    assert soft.displacement[0, 1:3] == pytest.approx(plain.displacement[0, 1:3], rel=1e-3, abs=6e-4)
    assert soft.reaction[0, 3] == pytest.approx(plain.reaction[0, 0], rel=1e-6, abs=1e-6)


@pytest.mark.parametrize("apart", [(0.0, 0.0, 0.0), (22.5, 0.0, 0.0)])
@pytest.mark.parametrize(("way", "limit"), [((0, 0, -1.0), 4e5), ((0, -1.0, 0), 3e5)])
def test_joint_gives_at_its_moment_capacity(way, limit, apart):
    """At the branch's own node, wherever its main's axis is."""
    model = jointed(capacity=(1e5, 4e5, 3e5), apart=apart)
    got = push_point(model, node=2, direction=np.array(way), target=15.0, steps=Steps(size=0.5))
    assert got.reached
    moment = np.abs(got.hinges[:, 0, 4:]).max(axis=1)
    # what is left after yield: a thousandth of 1e9 N mm/rad over 0.07 rad
    assert moment.max() == pytest.approx(limit + 1e6 * 15.0 / 200.0, rel=0.02)
    assert 200.0 * got.load.max() == pytest.approx(moment.max(), rel=0.01)
    assert [e.kind for e in got.events] == ["joint"]
    # by straight lines over the corner at the joint's first yield
    assert got.work[-1] == pytest.approx(got.stored[-1] + got.dissipated[-1], rel=0.02)


def test_joint_forces_stay_on_the_interaction_surface():
    model = jointed(capacity=(5e4, 4e5, 3e5), hardening=1e-6)
    pattern = np.zeros((4, 6))
    pattern[2, :3] = [10.0, -0.7, -1.0]
    got = push_pattern(
        model,
        pattern=pattern,
        measure=np.array([[0, 0, 0], [0, 0, 0], [0, -0.7, -1.0], [0, 0, 0]]),
        target=12.0,
        steps=Steps(size=0.25),
    )
    n, mip, mop = (np.abs(got.hinges[:, 0, k]) / c for k, c in ((0, 5e4), (4, 4e5), (5, 3e5)))
    used = n + mip**2 + mop
    assert used.max() == pytest.approx(1.0, abs=2e-3)
    assert (n[-1] > 0.05, mip[-1] > 0.05, mop[-1] > 0.05) == (True, True, True)


def deformed(ties, d, f, k):
    """The first joint's forces and tangent into ``f`` and ``k``."""
    room = (np.empty(3), np.empty(3), np.empty(3), np.empty((3, 3)))
    kept, tried = ties.hinge_set[0]
    _joint_forces(ties.hinge_stiff[0], ties.hinge_cap[0], ties.hinge_left[0, 0], kept, tried, d, f, k, room)


@pytest.mark.parametrize("seed", range(8))
def test_return_to_the_surface_is_the_closest_point(seed):
    """Against scipy's constrained minimiser of the elastic distance (the principle of most plastic work)."""
    rng = np.random.default_rng(seed)
    cap, stiff = np.array([5e4, 4e5, 3e5]), np.array([1e6, 1e8, 2e8])
    model = jointed(capacity=tuple(cap), hardening=1e-9)
    model = replace(model, hinges=replace(model.hinges, stiffness=np.array([[1e6, 1e6, 1e6, 1e8, 1e8, 2e8]])))
    ties = assembly(model).ties
    d = np.zeros(6)
    d[[0, 4, 5]] = rng.standard_normal(3) * 4.0 * cap / stiff
    f, k = np.zeros(6), np.zeros((6, 6))
    deformed(ties, d, f, k)
    trial = stiff * d[[0, 4, 5]]

    def inside(s):
        return 1.0 - (abs(s[0]) + s[1] ** 2 + abs(s[2]))

    if inside(trial / cap) >= 0:
        assert f[[0, 4, 5]] == pytest.approx(trial)
        return
    weight = cap**2 / stiff
    weight = weight / weight.max()
    # split absolute values: signs are those of the trial
    sign = np.sign(trial)
    start = np.abs(trial / cap)
    best = minimize(
        lambda s: 0.5 * (weight * (s - start) ** 2).sum(),
        0.2 * np.ones(3),
        bounds=[(0, None)] * 3,
        constraints={"type": "ineq", "fun": lambda s: 1.0 - (s[0] + s[1] ** 2 + s[2])},
        options={"ftol": 1e-14},
    )
    assert f[[0, 4, 5]] / cap == pytest.approx(sign * best.x, abs=2e-5)


def test_joint_tangent_is_the_derivative_of_its_force():
    model = jointed(capacity=(5e4, 4e5, 3e5))
    a = assembly(model)
    base = np.array([0.02, 0.001, 0.002, 1e-4, 8e-4, 6e-4])
    f, k, away = np.zeros(6), np.zeros((6, 6)), np.zeros((6, 6))
    deformed(a.ties, base, f, k)
    for j in range(6):
        ends = []
        for sign in (1.0, -1.0):
            step = base.copy()
            step[j] += sign * 1e-8
            deformed(a.ties, step, f, away)
            ends.append(f.copy())
        assert k[:, j] == pytest.approx(
            (ends[0] - ends[1]) / 2e-8, rel=1e-4, abs=1e-3 * np.abs(k).max() * 1e-2
        )


@pytest.mark.parametrize("apart", [(0.0, 0.0, 0.0), (15.0, -9.0, 12.0)])
@pytest.mark.parametrize("cap", [(np.inf, np.inf, np.inf), (1e5, 4e5, 3e5)])
def test_whole_tangent_of_a_turned_joint(cap, apart):
    """The branch's node at its main's, or on the main's surface, where the force has an arm."""
    model = jointed(capacity=cap, stiffness=1e6, apart=apart)
    free = replace(model, fixed=np.zeros_like(model.fixed))
    a = assembly(free)

    def placed(step):
        x, r = model.nodes.copy(), np.tile(np.eye(3), (4, 1, 1))
        base = np.zeros((4, 6))
        base[:, 3:] = [0.2, -0.3, 0.4]
        base[3, 3:] = [0.6, 0.1, -0.2]
        base[0, :3] = base[3, :3] = [1.0, 2.0, 3.0]
        move(x, r, base)
        move(x, r, step)
        return x, r

    evaluate(a, *placed(np.zeros((4, 6))))
    want = np.zeros((12, 12))
    at = [(3, k) for k in range(6)] + [(0, k) for k in range(6)]
    stiff = np.zeros((12, 12))
    act = list(a.top.active)
    for s, n in enumerate((3, 0)):
        stiff[6 * s : 6 * s + 6, 6 * s : 6 * s + 6] = a.diag[act.index(n)]
    piece = len(model.elements)
    block = a.off[a.top.slots.block[piece]]
    stiff[:6, 6:] = block.T if a.top.slots.flip[piece] else block
    stiff[6:, :6] = stiff[:6, 6:].T
    for j, (n, k) in enumerate(at):
        ends = []
        for sign in (1.0, -1.0):
            step = np.zeros((4, 6))
            step[n, k] = sign * 1e-6
            evaluate(a, *placed(step), tangent=False)
            ends.append(a.force[[3, 0]].ravel().copy())
        want[:, j] = (ends[0] - ends[1]) / 2e-6
    want = 0.5 * (want + want.T)
    # node 0 also carries a beam, whose own tangent is known to parts in 1e5
    assert np.abs(stiff - want)[3:6, 3:6].max() < 1e-4 * np.abs(want[3:6, 3:6]).max()
    assert np.abs(stiff - want)[:6, 6:].max() < 1e-4 * np.abs(want[:6, 6:]).max()


def test_joint_carries_the_frame_round():
    """Rigid turning of the whole jointed stick costs nothing."""
    model = jointed(capacity=(1e5, 4e5, 3e5), apart=(15.0, -9.0, 12.0))
    free = replace(model, fixed=np.zeros_like(model.fixed))
    a = assembly(free)
    x, r, step = model.nodes.copy(), np.tile(np.eye(3), (4, 1, 1)), np.zeros((4, 6))
    step[:, 3:] = [0.4, -0.3, 0.8]
    move(x, r, step)
    x = model.nodes @ r[0].T + [5.0, 6.0, 7.0]
    evaluate(a, x, r)
    assert np.abs(a.force).max() < 1e-6


def test_yielding_joints_weaken_a_portal():
    strong = model_of(portal_data())
    nodes = np.vstack([strong.nodes, strong.nodes[[10, 22]]])
    ends = strong.elements.copy()
    ends[10, 0], ends[21, 1] = 33, 34  # the top lands on the legs through joints
    axes = np.stack([
        np.array([[0, 1.0, 0], [1, 0, 0], [0, 0, -1.0]]),
        np.array([[0, -1.0, 0], [1, 0, 0], [0, 0, 1.0]]),
    ])
    hinges = Hinges(
        ends=np.array([[10, 33], [22, 34]]),
        axes=axes,
        stiffness=np.tile([1e6, 1e6, 1e6, 1e9, 1e9, 1e9], (2, 1)),
        capacity=np.tile([5e4, 6e5, 6e5], (2, 1)),
        hardening=1e-4,
        names=("left", "right"),
    )
    weak = replace(
        strong,
        nodes=nodes,
        elements=ends,
        fixed=np.vstack([strong.fixed, np.zeros((2, 6), bool)]),
        hinges=hinges,
    )
    one, two = (
        push_point(m, node=22, direction=np.array([0, -1.0, 0]), target=120.0) for m in (strong, weak)
    )
    assert two.reached
    assert two.load.max() < 0.9 * one.load.max()
    assert {e.index for e in two.events if e.kind == "joint"} == {0, 1}
