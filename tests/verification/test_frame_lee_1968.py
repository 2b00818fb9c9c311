"""Lee's frame: two hinged legs of 120, load a fifth along the beam; a limit load, then a snap-back.

Lee, Manuel and Rossow, J. Eng. Mech. Div. ASCE 94 (1968) 1295; Simo and Vu-Quoc 1986. First limit load in the
literature 18 532 (from memory); 18 545 at v 48.75, u 26.87 and the path points from a 240-element program
(computed).
"""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest
from frame_shapes import chain, flat, load_at, order, run

from cagewright.frame.continuation import Steps
from cagewright.frame.model import Material
from cagewright.frame.travel import push_pattern
from frame_arc import push_arc
from frame_materials import plain_sections

PATH = {4: 5207, 12: 10605, 20: 13448, 28: 15496, 36: 17137, 44: 18292}


@cache
def followed(each: int):
    nodes = chain([(0, 0, 0), (0, 0, 120), (120, 0, 120)], each)
    fixed = flat(np.zeros((len(nodes), 6), bool))
    fixed[[0, -1], :3] = True
    section = plain_sections(2 * each, area=6.0, inertia_y=2.0, inertia_z=2.0, torsion=1.0)
    model = run(nodes, section, Material(young=7.2e6, shear=7.2e6 / 2.6), fixed)
    loaded = each + each // 5
    pattern = load_at(model, loaded, force=(0, 0, -1.0))
    got = push_arc(
        model,
        pattern=pattern,
        measure=pattern[:, :3],
        target=94.0,
        steps=Steps(size=0.4, tolerance=1e-7),
        most=1500,
    )
    return model, pattern, loaded, got


def limit(each: int):
    """First limit load, with v and u there, by a parabola through the three highest kept steps."""
    *_, loaded, got = followed(each)
    k = next(i for i in range(1, len(got.load)) if got.load[i + 1] < got.load[i])
    near = slice(k - 1, k + 2)
    a, b, c = np.polyfit(got.travel[near] - got.travel[k], got.load[near], 2)
    at = -b / (2 * a)
    u = np.interp(at, got.travel[near] - got.travel[k], got.displacement[near, loaded, 0])
    return c - b * b / (4 * a), got.travel[k] + at, u


def test_first_limit():
    load, v, u = limit(40)
    assert load == pytest.approx(18545, rel=2e-3)
    assert load == pytest.approx(18532, rel=5e-3)
    assert v == pytest.approx(48.75, rel=6e-3)  # the curve is flat here: 0.3 mm of v is 0.01 % of load
    assert u == pytest.approx(26.87, rel=1.2e-2)  # flat, as above


def test_limit_converges_at_second_order():
    loads = [limit(each)[0] for each in (10, 20, 40)]
    assert order([loads[0] - loads[1], loads[1] - loads[2]]) == pytest.approx(2.0, abs=0.2)
    assert loads[2] + (loads[2] - loads[1]) / 3 == pytest.approx(18545, rel=1e-3)


def test_path_to_the_limit():
    *_, got = followed(40)
    rising = slice(0, int(np.argmax(got.load[: len(got.load) // 2])))
    for v, load in PATH.items():
        assert np.interp(v, got.travel[rising], got.load[rising]) == pytest.approx(load, rel=2e-3)


def test_snap_back_is_followed_and_counted():
    *_, got = followed(40)
    turns = np.diff(got.travel)
    assert got.reached
    assert (turns < 0).any(), "the loaded point moves back after the limit"
    assert got.load.min() < -9000
    # one direction of no hold between the two load limits, none before and after
    peak = int(np.argmax(got.load[: len(got.load) // 2]))
    assert set(got.negative_pivots[1 : peak - 1]) == {0}
    assert 1 in got.negative_pivots[peak:]
    assert got.negative_pivots[-1] == 0


def test_a_travel_controlled_push_finds_its_way_round():
    """Held travel cannot follow a snap-back; the push goes round it by arc length and comes out right."""
    model, pattern, _, got = followed(20)
    pushed = push_pattern(model, pattern=pattern, measure=pattern[:, :3], target=80.0, steps=Steps(size=1.0))
    assert pushed.reached
    assert (np.diff(pushed.travel) < 0).any(), "the way back is kept"
    assert pushed.load.min() == pytest.approx(got.load.min(), rel=5e-3)
    tail = slice(int(np.argmin(got.load)), None)
    late = pushed.travel > 70.0
    want = np.interp(pushed.travel[late], got.travel[tail], got.load[tail])
    assert pushed.load[late] == pytest.approx(want, rel=5e-3, abs=30.0)
