"""Rigid bodies in free fall, spinning, sliding and bouncing against closed forms (textbooks, derived).

The body carries four stiff legs that weigh a millionth of it, so that it moves as a rigid body does.
"""

from __future__ import annotations

import numpy as np
import pytest

import motions
from cagewright.frame.follow import follow
from cagewright.frame.moving import Pace

FREE = Pace(longest=1e-3, error=1e-3)


def test_a_thrown_body_falls_by_half_g_t_squared():
    c, m = motions.loosed(motions.sled(), motions.body_of(), pace=FREE)
    start = motions.thrown(m.mass, c.a.model.nodes, velocity=np.array([3e3, 0, 1e3]), spin=np.zeros(3))
    got = follow(m, start, until=0.2).solution
    t = got.travel[-1] * 1e-3
    want = [3e3 * t, 0.0, 1e3 * t - 0.5 * motions.G * t**2]
    assert got.displacement[-1, -1] == pytest.approx(want, abs=1e-6)


@pytest.mark.slow
def test_a_spinning_top_without_a_support_turns_about_its_momentum():
    # axisymmetric, torque-free: its axis goes round the momentum at L/I1 and the body round its axis at
    # (1 - I3/I1) w3 (Euler; any textbook), for more than one whole turn
    radii, spin = (500.0, 500.0, 800.0), np.array([4.0, 0.0, 7.0])
    body = motions.body_of(radii=radii)
    c, m = motions.loosed(motions.sled(), body, pace=Pace(longest=5e-4), gravity=0.0)
    start = motions.thrown(m.mass, c.a.model.nodes, velocity=np.zeros(3), spin=spin)
    run = follow(m, start, until=1.0)
    one, three = body.inertia[0, 0], body.inertia[2, 2]
    momentum = body.inertia @ spin
    about, own = momentum / one, (1.0 - three / one) * spin[2] * motions.UP
    t = run.solution.travel * 1e-3
    for k in (len(t) // 3, 2 * len(t) // 3, len(t) - 1):
        want = turned(about * t[k]) @ turned(own * t[k])
        assert np.abs(run.solution.turn[k, -1] - want).max() < 2e-3
    turn = run.solution.turn[:, -1]
    held = np.einsum("kij,jl,kl->ki", turn, body.inertia, run.velocity[:, -1, 3:])
    assert np.abs(held - momentum).max() < 1e-3 * np.linalg.norm(momentum)


def turned(vector: np.ndarray) -> np.ndarray:
    """The rotation matrix of a rotation vector (Rodrigues)."""
    angle = np.linalg.norm(vector)
    x, y, z = vector / angle
    skew = np.array([[0, -z, y], [z, 0, -x], [-y, x, 0]])
    return np.eye(3) + np.sin(angle) * skew + (1.0 - np.cos(angle)) * skew @ skew


@pytest.mark.parametrize("friction", [0.2, 0.6])
def test_a_sled_slides_as_far_as_friction_lets_it(friction):
    # v2 / (2 mu g), and all of its motion is lost to friction
    c, m = motions.loosed(motions.sled(), motions.body_of(), friction=friction, pace=Pace(longest=1e-3))
    speed = 1500.0
    start = motions.thrown(m.mass, c.a.model.nodes, velocity=np.array([speed, 0, 0]), spin=np.zeros(3))
    stop = speed / (friction * motions.G)
    run = follow(m, start, until=1.3 * stop)
    slid = run.solution.displacement[-1, -1, 0]
    assert slid == pytest.approx(speed**2 / (2.0 * friction * motions.G), rel=0.01)
    assert run.account.friction[-1] == pytest.approx(0.5 * speed**2, rel=0.01)


@pytest.mark.slow
def test_without_loss_it_bounces_back_to_where_it_came_from():
    _, m = motions.loosed(
        motions.sled(), motions.body_of(), friction=0.0, level=-120.0, pace=Pace(longest=1e-4)
    )
    start = np.zeros_like(m.mass)
    fall = np.sqrt(2.0 * 100.0 / motions.G)
    run = follow(m, start, until=2.05 * fall)
    height = run.solution.displacement[:, -1, 2]
    assert height.min() < -100.0
    assert height[-1] == pytest.approx(0.0, abs=1.0)
    assert np.abs(run.account.gap).max() < 0.002 * run.account.given


def test_a_wrong_share_of_damping_is_refused():
    with pytest.raises(ValueError, match="0 to 1"):
        motions.loosed(motions.sled(), motions.body_of(), pace=Pace(rho=1.2))
