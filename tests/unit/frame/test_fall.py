"""A frame that gives way at once under a tool: where it comes to rest, and what is said of it.

Two bars in a flat arch pressed at their top, exact by statics: with the top at height h over its feet and
bars of rest length L on a half span b, P(h) = 2 EA (L - l)/L h/l, l2 = b2 + h2. A spring below adds its own.
A springy post between tool and top adds P/k to the tool's travel, so that the path turns back in travel.
"""

import numpy as np
import pytest
from scipy.optimize import brentq

from cagewright.frame.assemble import assembly
from cagewright.frame.contact import Platen, Pole, _tool, contact_points, push_with
from cagewright.frame.continuation import Steps, at_rest, continuation
from cagewright.frame.fall import HeldTravel, StandingTool, come_to_rest
from cagewright.frame.kernels_contact import _clear, _gap, _stand
from cagewright.frame.model import Bars, Material, Springs, frame_model, tube_sections

HALF, RISE, AREA, YOUNG = 400.0, 60.0, 100.0, 210e3
POST = 1000.0
LONG = float(np.hypot(HALF, RISE))


def arch(post: float, under: float = 0.0):
    """Two bars from feet to a top, a spring of ``under`` N/mm there, and on it a post of ``post`` N/mm."""
    nodes = np.array([[-HALF, 0, 0], [HALF, 0, 0], [0, 0, RISE], [0, 0, RISE + POST]])
    fixed = np.ones((4, 6), np.bool_)
    fixed[2:, 2] = False
    section = tube_sections([20.0], [2.0])
    soft = Material(young=post * POST / float(section.area[0]), shear=1e3)
    return frame_model(
        nodes=nodes, elements=np.array([[2, 3]]), sections=section, fixed=fixed,
        materials=(soft, Material(young=YOUNG, shear=81e3)),
        bars=Bars(ends=np.array([[0, 2], [1, 2]]), area=np.full(2, AREA), material=np.ones(2, int),
                  slack=np.zeros(2, np.bool_)),
        springs=Springs(node=np.array([2]), dof=np.array([2]), stiffness=np.array([max(under, 1e-9)]),
                        capacity=np.full((1, 2), np.inf)),
    )  # fmt: skip


def force(height: float, under: float = 0.0) -> float:
    long = np.hypot(HALF, height)
    return 2.0 * YOUNG * AREA * (LONG - long) / LONG * height / long + under * (RISE - height)


def slope(height: float, under: float = 0.0) -> float:
    return (force(height + 1e-4, under) - force(height - 1e-4, under)) / 2e-4


def platen() -> Platen:
    return Platen(centre=np.array([0, 0, RISE + POST + 40.0]), normal=np.array([0, 0, -1.0]),
                  along=np.array([1.0, 0, 0]), length=100.0, width=100.0)  # fmt: skip


SINK = 2e5
"""N/mm of the one contact."""


def tool_at(height: float, post: float, under: float) -> float:
    """Travel of the tool with the top at ``height``: its own way, the post's and the contact's sinking in."""
    load = force(height, under)
    return RISE - height + load / post + load / SINK + 0.01


def test_a_fall_under_a_tool_ends_on_the_branch_that_goes_on():
    """The load drops at one travel to the next balance, which still pushes, and follows statics after."""
    post, under = 300.0, 600.0
    got = push_with(arch(post, under), press=platen(), target=300.0, steps=Steps(size=3.0, smallest=1e-5))
    assert got.reached
    assert got.falls
    assert (np.diff(got.travel) > 0.0).all()
    fell = int(np.argmin(np.diff(got.load)))
    assert got.travel[fell + 1] - got.travel[fell] < 0.1
    # it holds to where the path turns back: where the arch falls as steeply as the post springs
    turn = brentq(lambda h: slope(h, under) - post * SINK / (post + SINK), 0.1, RISE)
    assert got.travel[fell] == pytest.approx(tool_at(turn, post, under), abs=0.2)
    assert got.load[fell] == pytest.approx(force(turn, under), rel=0.01)
    back = brentq(lambda h: slope(h, under) - post * SINK / (post + SINK), -RISE, -0.1)
    for travel, load in zip(got.travel[fell + 1 :], got.load[fell + 1 :], strict=True):
        rest = brentq(lambda h, t=travel: tool_at(h, post, under) - t, -6.0 * RISE, back)
        assert load == pytest.approx(force(rest, under), rel=1e-3)
    assert got.load[fell + 1] < 0.95 * got.load[fell]
    # what the fall shook out is counted as spent
    assert got.work[-1] == pytest.approx(got.stored[-1] + got.dissipated[-1], rel=1e-3)
    assert got.dissipated[-1] > 0.0


def test_an_arch_that_leaps_off_the_tool_carries_nothing_until_it_is_met_again():
    """A stiff post: the arch passes flat, leaps through, and waits as far below as it stood above."""
    got = push_with(arch(1e5), press=platen(), target=150.0, steps=Steps(size=3.0, smallest=1e-5))
    assert got.reached
    flying = (got.travel > RISE + 2.0) & (got.travel < 2.0 * RISE - 2.0)
    assert flying.any()
    assert np.abs(got.load[flying]).max() < 1e-6 * got.load.max()
    met = [(t, p) for t, p in zip(got.travel, got.load, strict=True) if t > 2.0 * RISE + 1.0]
    assert len(met) > 5
    for travel, load in met:
        # pulled down past its rest the arch pushes back as strongly as statics says
        rest = brentq(lambda h, t=travel: tool_at(h, 1e5, 0.0) - t, -3.0 * RISE, -RISE)
        assert load == pytest.approx(force(rest), rel=1e-3)


def test_a_balance_it_cannot_stay_in_is_no_rest():
    """Almost flat, the arch is in balance to a ten-thousandth of a newton, and leaves."""
    a = assembly(arch(1e5))
    a.tool, a.points = _tool(platen(), 2e5), contact_points(a.model)
    place = at_rest(a.model)
    place.x[2:, 2] -= RISE - 1e-7
    rest = come_to_rest(StandingTool(a=a, travel=0.0), place, balance=1e-2)
    assert rest is not None
    assert abs(rest.x[2, 2]) == pytest.approx(RISE, rel=1e-3)


def test_a_fall_with_the_pulled_place_held_ends_where_statics_have_it():
    """The post's top is held just past where the path turns back: arch and post share what it gave."""
    post, under = 300.0, 600.0
    pattern = np.zeros((4, 6))
    pattern[3, 2] = -1.0
    path = continuation(arch(post, under), pattern=pattern, measure=pattern[:, :3], steps=None)
    turn = brentq(lambda h: slope(h, under) - post, 0.1, RISE)
    goal = RISE - turn + force(turn, under) / post + 0.05
    start = at_rest(path.a.model)
    start.x[2:, 2] -= [RISE - turn, goal]
    rest = come_to_rest(HeldTravel(a=path.a, path=path, travel=goal), start, balance=1e-2)
    height = brentq(lambda h: RISE - h + force(h, under) / post - goal, -6.0 * RISE, -0.1)
    assert rest is not None
    assert path.gauge(rest.x - path.a.model.nodes) == pytest.approx(goal, abs=1e-9)
    assert rest.x[2, 2] == pytest.approx(height, abs=0.1)
    assert rest.load == pytest.approx(force(height, under), rel=2e-3)


@pytest.mark.parametrize("kind", ["platen", "pole"])
def test_nothing_that_presses_is_passed_over_as_clear(kind):
    """The quick look against the exact distance at random places round the tool."""
    rng = np.random.default_rng(4)
    press = platen() if kind == "platen" else Pole(
        centre=np.array([3.0, -5.0, 20.0]), axis=np.array([0.2, 0.1, 1.0]), length=200.0, radius=80.0,
        way=np.array([0, -1.0, 0]),
    )  # fmt: skip
    tool = _tool(press, 2e5)
    centre = np.asarray(press.centre)
    pressing = 0
    for _ in range(4000):
        travel, radius = float(rng.uniform(0, 40)), float(rng.uniform(5, 25))
        p = centre + rng.uniform(-1, 1, 3) * [230, 230, 230]
        far, _, _ = _gap(tool, travel, p, np.empty(3), np.empty(3))
        at, axes = _stand(tool, travel)
        if 0.0 < radius - far < 2.0 * radius + 20.0:
            pressing += 1
            assert not _clear(tool, at, axes, radius, *map(float, p))
    assert pressing > 20
    assert len(contact_points(arch(1.0)).radius) > 1
