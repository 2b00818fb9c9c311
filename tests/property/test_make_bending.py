"""The bend sheet's numbers alone rebuild the tube."""

import math
from itertools import pairwise

import numpy as np
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from cagewright.base.curves import point_at, tangent_at
from cagewright.base.vectors import angle_between, cross, length, turn, unit
from cagewright.make.bench import as_bent, bench
from cagewright.make.bending import bend_sheet
from cases import cases
from handmade import HOOP
from shopmade import SHOP, tube_through

CLR = 135.0
# in millionths of a radian: angles under a thousand-millionth are taken for none, a micrometre in a metre
ways = st.integers(-3141592, 3141592).map(lambda n: n * 1e-6)
legs = st.tuples(st.floats(0.0, 700.0), st.floats(0.05, 2.4), ways)  # straight mm, turn rad, way round rad


@st.composite
def members(draw):
    """A tube of one to five bends in any planes, built leg by leg."""
    turns = draw(st.lists(legs, min_size=1, max_size=5))
    way, side = np.array([0.0, 0.0, 1.0]), np.array([1.0, 0.0, 0.0])
    spots, back = [np.zeros(3)], 0.0
    for straight, turned, round_it in turns:
        setback = CLR * math.tan(turned / 2.0)
        spots.append(spots[-1] + (back + straight + 0.5 + setback) * way)
        back = setback
        side = math.cos(round_it) * side + math.sin(round_it) * cross(way, side)
        way, side = (
            unit(math.cos(turned) * way + math.sin(turned) * side),
            unit(math.cos(turned) * side - math.sin(turned) * way),
        )
    spots.append(spots[-1] + (back + draw(st.floats(0.5, 700.0))) * way)
    move = np.array(draw(st.tuples(*[st.floats(-2000.0, 2000.0)] * 3)))
    about, by = unit(np.array([1.0, draw(st.floats(-3.0, 3.0)), draw(st.floats(-3.0, 3.0))])), draw(ways)
    return tube_through([turn(p, about, by) + move for p in spots], tube=HOOP, clr=CLR)


def rough_axis(member, sheet, at):
    """Points of the rough tube's axis ``at`` mm from its starting end, from the member's own path."""
    path = member.path
    s = at - sheet.spare.first if sheet.starts_at == "start" else path.length - at + sheet.spare.first
    return np.array([point_at(path, float(x)) for x in s])


def frame(member, sheet):
    """The member's own axes as the sheet lays it out: along the starting straight, towards the first bend."""
    path, first = member.path, sheet.steps[0].bend - 1
    forward = sheet.starts_at == "start"
    along = tangent_at(path, 0.0) if forward else -tangent_at(path, path.length)
    up = member.bends[first].normal * (1.0 if forward else -1.0)
    return np.array([along, cross(up, along), up])


@given(members())
@settings(deadline=None, max_examples=cases(150))
def test_the_sheets_numbers_rebuild_the_tube(member):
    sheet = bend_sheet(member, SHOP)
    at = np.linspace(0.0, sheet.rough, 60)
    true = rough_axis(member, sheet, at)
    axes = frame(member, sheet)
    wanted = (true - true[0]) @ axes.T
    rebuilt = as_bent(sheet)
    assert abs(rebuilt.length - sheet.rough) < 1e-6
    assert np.abs(np.array([point_at(rebuilt, float(x)) for x in at]) - wanted).max() < 1e-6


@given(members())
@settings(deadline=None, max_examples=cases(60))
def test_rotation_agrees_with_the_bends_own_clocking(member):
    sheet = bend_sheet(member, SHOP)
    steps = sheet.steps if sheet.starts_at == "start" else sheet.steps[::-1]
    turns = (
        [s.rotation for s in steps[1:]] if sheet.starts_at == "start" else [s.rotation for s in steps[:-1]]
    )
    for got, bend in zip(turns, member.bends[1:], strict=True):
        assert abs(math.remainder(got - bend.clocking, 2.0 * math.pi)) < 1e-9


@given(members())
@settings(deadline=None, max_examples=cases(60))
def test_bench_distances_are_those_of_the_member(member):
    sheet = bend_sheet(member, SHOP)
    tube = bench(sheet)
    between = [c.value for c in tube.checks if c.what.startswith("apex") and _neighbours(c.what)]
    apexes = [b.apex for b in member.bends]
    if sheet.starts_at == "end":
        apexes.reverse()
    true = [float(length(b - a)) for a, b in pairwise(apexes)]
    assert np.allclose(between, true, atol=1e-6)
    finished = next(c.value for c in tube.checks if "finished" in c.what)
    assert abs(finished - float(length(member.path.pieces[-1].stop - member.path.pieces[0].start))) < 1e-6


def _neighbours(what):
    words = what.split()
    numbers = [int(w) for w in words if w.isdigit()]
    return len(numbers) == 2 and numbers[1] - numbers[0] == 1


@given(members(), st.floats(0.05, 1.0))
@settings(deadline=None, max_examples=cases(40))
def test_a_wrong_angle_does_not_rebuild_the_tube(member, wrong):
    """The guard above can fail: the same numbers with one angle changed give another tube."""
    assume(angle_between(tangent_at(member.path, 0.0), tangent_at(member.path, member.path.length)) > 1e-3)
    sheet = bend_sheet(member, SHOP)
    end = as_bent(sheet).pieces[-1].stop
    object.__setattr__(sheet.steps[0], "angle", sheet.steps[0].angle + wrong)
    assert float(length(as_bent(sheet).pieces[-1].stop - end)) > 1e-3
