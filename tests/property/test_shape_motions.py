"""What moving, mirroring, scaling and reversing a cage may not change."""

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from shape_cages import cages, plan_of, rotation

from cagewright.base.curves import Arc, Line
from cagewright.shape.distance import to_piece
from cagewright.shape.drafts import Twins, mirrored_place
from cagewright.shape.located import in_plan
from cagewright.shape.resolve import resolve
from cagewright.shape.types import Cope, member_named
from cases import cases

turns = st.floats(-3.1, 3.1)
few = settings(max_examples=cases(60), deadline=None, suppress_health_check=[HealthCheck.too_slow])


def same(one, two, *, scale=1.0):
    """Both cages have the same lengths, bends, copes and clockings."""
    assert [m.name for m in one.members] == [m.name for m in two.members]
    for a, b in zip(one.members, two.members, strict=True):
        assert b.length == pytest.approx(scale * a.length, rel=1e-9)
        assert [x.angle for x in b.bends] == pytest.approx([x.angle for x in a.bends], abs=1e-9)
        assert [x.clocking for x in b.bends] == pytest.approx([x.clocking for x in a.bends], abs=1e-8)
        assert [x.start for x in b.bends] == pytest.approx([scale * x.start for x in a.bends], rel=1e-9)
        assert np.cos(b.end_clocking - a.end_clocking) == pytest.approx(1.0, abs=1e-9)
        for e, f in zip(a.ends, b.ends, strict=True):
            assert f.trim == pytest.approx(scale * e.trim, abs=1e-6)
            assert np.cos(f.clocking - e.clocking) == pytest.approx(1.0, abs=1e-9)
            assert f.cut.weld_length == pytest.approx(scale * e.cut.weld_length, abs=2e-3 * scale)
            if isinstance(e.cut, Cope):
                assert f.cut.mains == e.cut.mains
                assert f.cut.outside == pytest.approx(scale * e.cut.outside, abs=1e-5)
                assert f.cut.inside == pytest.approx(scale * e.cut.inside, abs=1e-5)
                assert f.cut.angle == pytest.approx(e.cut.angle, abs=1e-9)


@few
@given(cages(), turns, turns, turns, st.tuples(*[st.floats(-2000, 2000)] * 3))
def test_a_rigid_motion_changes_nothing(cage, yaw, pitch, roll, shift):
    r = rotation(yaw, pitch, roll)
    moved = plan_of(cage, move=lambda p: p @ r.T + np.array(shift), turn=lambda v: v @ r.T)
    same(resolve(plan_of(cage)), resolve(moved))


@few
@given(cages(), st.floats(0.6, 3.0))
def test_scaling_scales_lengths_and_no_angles(cage, scale):
    same(resolve(plan_of(cage)), resolve(plan_of(cage, scale=scale)), scale=scale)


@few
@given(cages())
def test_developed_length_is_straights_and_arcs(cage):
    for member in resolve(plan_of(cage)).members:
        straights = sum(p.length for p in member.path.pieces if isinstance(p, Line))
        arcs = sum(p.radius * p.angle for p in member.path.pieces if isinstance(p, Arc))
        assert member.path.length == pytest.approx(straights + arcs, rel=1e-12)
        assert arcs == pytest.approx(sum(b.stop - b.start for b in member.bends), abs=1e-9)
        assert member.length == pytest.approx(straights + arcs - sum(e.trim for e in member.ends))


@few
@given(cages(), st.sets(st.sampled_from(["hoop", "leg", "stay", "door"]), min_size=1))
def test_a_path_written_backwards_is_the_same_tube(cage, backwards):
    one, two = resolve(plan_of(cage)), resolve(plan_of(cage, backwards=backwards))
    for a in one.members:
        b = member_named(two, a.name)
        assert b.length == pytest.approx(a.length, abs=1e-6)
        if a.name not in backwards:
            continue
        # the same bends met from the other end: angles in reverse, the roll between two of them the same
        assert [x.angle for x in b.bends] == pytest.approx([x.angle for x in a.bends][::-1], abs=1e-9)
        rolls = [x.clocking for x in a.bends][1:]
        assert [x.clocking for x in b.bends][1:] == pytest.approx(rolls[::-1], abs=1e-8)
        for e, f in zip(a.ends, b.ends[::-1], strict=True):
            assert f.trim == pytest.approx(e.trim, abs=1e-6)


@few
@given(cages())
def test_the_mirror_image_has_every_length_and_the_opposite_turns(cage):
    flip = np.array([1.0, -1.0, 1.0])
    one = resolve(plan_of(cage))
    two = resolve(plan_of(cage, move=lambda p: p * flip, turn=lambda v: v * flip))
    for a, b in zip(one.members, two.members, strict=True):
        assert b.length == pytest.approx(a.length, abs=1e-7)
        assert [x.clocking for x in b.bends] == pytest.approx([-x.clocking for x in a.bends], abs=1e-8)
        for e, f in zip(a.ends, b.ends, strict=True):
            if isinstance(e.cut, Cope):
                assert f.cut.outside == pytest.approx(np.roll(e.cut.outside[::-1], 1), abs=1e-6)


@few
@given(cages())
def test_copes_lie_on_their_mains_and_in_none(cage):
    resolved = resolve(plan_of(cage))
    for member in resolved.members:
        for end in member.ends:
            cope = end.cut
            if not isinstance(cope, Cope):
                continue
            mains = [member_named(resolved, name) for name in cope.mains]
            for radius, wall in ((member.tube.radius, cope.outside), (member.tube.bore / 2, cope.inside)):
                side = np.cross(cope.axis, cope.zero)
                out = np.cos(cope.phi)[:, None] * cope.zero + np.sin(cope.phi)[:, None] * side
                spot = cope.origin + radius * out + wall[:, None] * cope.axis
                gaps = [
                    np.min([to_piece(spot, p) for p in m.path.pieces], axis=0) - m.tube.radius for m in mains
                ]
                assert np.min(gaps) > -1e-6, "no point may lie inside any of the mains"
                assert np.min(gaps, axis=0) == pytest.approx(0.0, abs=1e-6)


names = st.sampled_from(["leg", "leg_right", "hoop"])
TWINS = Twins(
    members={"leg": "leg_right", "leg_right": "leg"},
    feet={"a": "b", "b": "a"},
    points={"p": np.array([1.0, 2.0, 3.0])},
)
number = st.floats(-2000, 2000)


@st.composite
def places(draw):
    """Any place of a plan but a named point, which becomes plain coordinates."""
    from cagewright.plan.types import AtCoordinates, AtFoot, OnMember

    kind = draw(st.sampled_from(["at", "foot", "up", "across", "part", "along"]))
    if kind == "at":
        return AtCoordinates(at=(draw(number), draw(number), draw(number)))
    if kind == "foot":
        return AtFoot(foot=draw(st.sampled_from(["a", "b"])))
    value = draw(st.integers(0, 64)) / 64.0 if kind == "part" else draw(st.floats(1.0, 2000.0))
    side = draw(st.sampled_from(["left", "right", None]))
    near = draw(st.one_of(st.none(), st.tuples(number, number, number)))
    return OnMember(**{"on": draw(names), kind: value, "side": side, "near": near})


@settings(max_examples=cases(200), deadline=None)
@given(places())
def test_mirroring_a_place_twice_is_the_place(place):
    once = mirrored_place(place, TWINS, {}, (), in_plan)
    assert mirrored_place(once, TWINS, {}, (), in_plan) == place
