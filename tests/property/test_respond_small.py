"""What any answer has to keep, for tees of any size pushed any way."""

import json

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from cagewright.base.plain import plain
from cagewright.frame.choices import Choices
from cagewright.frame.foot_use import foot_forces
from cagewright.frame.idealise import idealise
from cagewright.frame.members import plastic_use
from cagewright.frame.respond import respond, solve
from cases import cases
from push_cages import on_sill, point_push, tee

WAYS = st.tuples(*[st.floats(-1, 1)] * 3).filter(lambda v: np.linalg.norm(v) > 0.2)


@settings(
    max_examples=cases(15), deadline=None, derandomize=True, suppress_health_check=[HealthCheck.too_slow]
)
@given(
    force=WAYS,
    normal=WAYS.filter(lambda v: v[1] < -0.4 * np.linalg.norm(v)),
    seat=st.sampled_from(["floor", "turret", "sill", "rigid"]),
    joints=st.sampled_from(["report", "yield"]),
    along=st.floats(60, 460),
)
def test_any_push_of_any_tee(force, normal, seat, joints, along):
    """Feet carry what pushes; work in is work held and spent; travel and work never fall; JSON-ready."""
    foot = on_sill((0, 500, 0), normal, seat=seat)
    model = idealise(tee(foot=foot), Choices(joints=joints), {"bar": (along,)})
    push = point_push("bar", along, force, travel=8.0)
    answer = solve(model, push)
    feet = sum(foot_forces(model, answer, p)[:, :3] for p in model.feet)
    way = np.array(force) / np.linalg.norm(force)
    size = max(float(answer.load.max()), 1.0)
    assert feet == pytest.approx(-np.outer(answer.load, way), abs=2e-3 * size)
    held = answer.stored + answer.dissipated
    # trapezoids of load over steps of up to 1 mm against exact energies
    assert held == pytest.approx(answer.work, rel=0.03, abs=0.02 * float(answer.work.max()) + 1.0)
    found = respond(model, push, answer)
    json.dumps(plain(found), allow_nan=False)
    assert all(u.most >= 0.0 for u in (*found.joints, *found.members))
    assert [h.travel for h in found.order] == sorted(h.travel for h in found.order)
    assert (found.counted.kind == "cannot tell") == (not found.reached)


@settings(max_examples=cases(200), deadline=None)
@given(n=st.floats(-3, 3), m=st.floats(0, 3), scale=st.floats(0.1, 10))
def test_plastic_use_grows_with_the_forces(n, m, scale):
    one = plastic_use(np.array([n]), np.array([m]))[0]
    more = plastic_use(np.array([scale * n]), np.array([scale * m]))[0]
    assert more == pytest.approx(scale * one, rel=1e-4, abs=1e-9)
    assert one >= max(abs(n), m) - 1e-9
