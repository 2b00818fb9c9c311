"""Answers to a push against statics and hand cases; what a stalled push may and may not say."""

import json
import math
from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from aboard import aboard
from cagewright.base.plain import plain
from cagewright.frame.choices import Choices
from cagewright.frame.contact import Platen
from cagewright.frame.counted import curve_to
from cagewright.frame.curve_figures import drop_of, met_of
from cagewright.frame.foot_use import foot_forces
from cagewright.frame.idealise import idealise
from cagewright.frame.joint_strength import JointStrength, joint_use
from cagewright.frame.joint_use import branch_forces, joint_share
from cagewright.frame.members import _worst, plastic_use, strengths_of
from cagewright.frame.push_moments import strain_marks
from cagewright.frame.push_names import push_named
from cagewright.frame.pushes import Demand
from cagewright.frame.respond import respond, solve
from cagewright.frame.results import CAUTIONS, GaugeStrain, TubePlace
from cagewright.frame.run import run
from cagewright.frame.survival import crossing, tool_gaps
from cagewright.plan.types import PersonEntry
from cagewright.stock.sections import properties, round_section
from push_cages import beam, demo, hoop_cage, on_sill, point_push, tee

RIGID = Choices(feet="rigid")


@cache
def hoop_down():
    """The symmetric cage under its hoop stamp, on sills."""
    cage = hoop_cage(seat="sill")
    model = idealise(cage)
    push = replace(push_named(cage, "main-hoop-down"), travel=40.0)
    return model, push, solve(model, push)


def test_what_presses_is_what_the_feet_carry():
    """Balance of forces on the whole cage at every kept step: feet against the platen."""
    model, _, answer = hoop_down()
    feet = sum(foot_forces(model, answer, p)[:, :3] for p in model.feet)
    # every node is within 1e-4 of the largest load so far; a few add up
    assert feet[:, 2] == pytest.approx(answer.load, rel=5e-4, abs=1e-3)
    assert np.abs(feet[:, :2]).max() < 1e-3 * answer.load.max()


def test_balance_on_tilted_feet():
    """The demo's turret plates are tilted and stand on hinges: the same balance, all three ways."""
    model = idealise(demo())
    push = replace(push_named(demo(), "roof-left"), travel=12.0)
    answer = solve(model, push)
    feet = sum(foot_forces(model, answer, p)[:, :3] for p in model.feet)
    expected = -np.outer(answer.load, push.press.normal)
    assert feet == pytest.approx(expected, abs=1e-3 * answer.load.max())


def test_each_member_s_worst_use_is_exact():
    """Only places that may be their member's worst are worked out; the worst are the same as with all."""
    rng = np.random.default_rng(7)
    member = np.repeat(np.arange(9), 5)
    n, m, t = (rng.uniform(0, most, (20, 45, 4)) for most in (0.8, 1.1, 0.6))
    worst, whole = _worst(n, m, t, member), plastic_use(n, m, t).max(axis=0)
    for number in range(9):
        mine = member == number
        assert worst[mine].max() == pytest.approx(whole[mine].max(), rel=1e-12)
        assert np.argmax(worst[mine]) == np.argmax(whole[mine])


def test_work_in_is_work_held_and_spent():
    _, _, answer = hoop_down()
    curve = np.concatenate([
        [0.0],
        np.cumsum(0.5 * np.diff(answer.travel) * (answer.load[1:] + answer.load[:-1])),
    ])
    assert answer.work == pytest.approx(curve, rel=1e-9)
    # trapezoids of load against exact stored and spent work: half a per cent at 1 mm steps
    assert answer.stored + answer.dissipated == pytest.approx(answer.work, rel=0.01, abs=50.0)


def test_a_symmetric_cage_answers_symmetrically():
    model, push, answer = hoop_down()
    found = respond(model, push, answer)
    joints = {u.joint: u.most for u in found.joints}
    assert joints["stay_left.start"] == pytest.approx(joints["stay_right.start"], rel=1e-3)
    assert joints["cross.start"] == pytest.approx(joints["cross.end"], rel=1e-3)
    feet = {u.foot: u for u in found.feet}
    assert feet["hoop_left"].push == pytest.approx(feet["hoop_right"].push, rel=1e-3)
    assert feet["rear_left"].tilt == pytest.approx(feet["rear_right"].tilt, rel=1e-3)


def test_first_yield_of_a_built_in_beam():
    """Middle load 8 M/L on a built-in beam (any handbook); M = I/r fy of the fibre ring of radius r."""
    model = idealise(beam(), RIGID, {"bar": (500.0,)})
    found = respond(model, point_push("bar", 500.0, (0, 0, -1.0), travel=10.0))
    tube = properties(round_section(45, 2.5))
    moment = tube.inertia / math.sqrt(2 * tube.inertia / tube.area) * 355.0
    assert found.first_yield is not None
    # Gauss points stand 0.21 of an element inside the ends and the middle, where the moment is a little less
    gauss = 0.5 * (1 - 1 / math.sqrt(3)) * float(model.along[0, 1])
    least = 8 * moment / 1000.0 / (1 - 4 * gauss / 1000.0)
    # the built-in ends pull as it sags, which takes nearly 2 per cent off
    assert found.first_yield.load == pytest.approx(least, rel=0.02)
    assert found.stiffness == pytest.approx(
        1 / (1000**3 / (192 * 210e3 * tube.inertia) + 1000 / (4 * 210e3 / 2.6 * 0.5 * tube.area)), rel=5e-3
    )
    assert found.first_yield.spot.member == "bar"
    assert found.first_yield.words.endswith("starts to yield")


def test_strengths_are_the_sections():
    model = idealise(beam(), RIGID)
    s, tube = strengths_of(model), properties(round_section(45, 2.5))
    assert s.area[0] == pytest.approx(tube.area)
    assert s.plastic[0] == pytest.approx(tube.plastic)
    assert s.stress[0] == 355.0


def test_plastic_use_is_1_on_the_surface_and_grows_with_the_forces():
    """The thin ring's exact surface, MN/Mpl = cos(pi n/2)."""
    n = np.linspace(0, 1, 21)
    m = np.cos(0.5 * np.pi * n)
    assert plastic_use(n, m) == pytest.approx(np.ones(21), abs=1e-6)
    assert plastic_use(-0.4 * n, 0.4 * m) == pytest.approx(np.full(21, 0.4), abs=1e-6)
    assert plastic_use(np.zeros(1), np.zeros(1)) == pytest.approx([0], abs=1e-9)
    assert plastic_use(np.zeros(1), np.full(1, 1.3)) == pytest.approx([1.3])


def test_joint_share_is_1_where_the_interaction_is():
    strength = JointStrength(axial=1.0, in_plane=1.0, out_of_plane=1.0, governs=("branch",) * 3, outside=())
    rng = np.random.default_rng(3)
    for parts in rng.random((50, 3)):
        scaled = parts / joint_share(parts)
        assert joint_use(strength, axial=scaled[0], in_plane=scaled[1], out_of_plane=scaled[2]) == (
            pytest.approx(1.0)
        )
        assert joint_share(2.0 * parts) == pytest.approx(2.0 * joint_share(parts))


@pytest.mark.parametrize(
    ("force", "pull", "in_plane", "out_of_plane"),
    [((0, 100.0, 0), 1, 0, 0), ((0, 0, -100.0), 0, 1, 0), ((100.0, 0, 0), 0, 0, 1)],
)
def test_a_joint_sees_the_force_times_its_lever(force, pull, in_plane, out_of_plane):
    """A bar that sticks out 500 mm free-ended: its joint is 500 - 22.5 mm from the load, by statics."""
    cage = tee(foot=on_sill((0, 500, 0), (0, -1, 0), seat="floor"))
    bar = next(m for m in cage.members if m.name == "bar")
    free = replace(bar, ends=(bar.ends[0], replace(bar.ends[1], foot=None)))
    cage = replace(cage, members=(cage.members[0], free))
    model = idealise(cage, RIGID)
    push = point_push("bar", 500.0, force, travel=0.05)
    answer = solve(model, push)
    found = branch_forces(model, answer)[-1, 0]
    load = answer.load[-1]
    lever = load * (500.0 - 22.5)
    assert found[0] == pytest.approx(pull * load, rel=1e-3, abs=1e-3 * load)
    assert abs(found[1]) == pytest.approx(in_plane * lever, rel=1e-3, abs=1e-3 * lever)
    assert abs(found[2]) == pytest.approx(out_of_plane * lever, rel=1e-3, abs=1e-3 * lever)


def test_an_open_side_counts_in_the_right_direction():
    """Open on top, pulled along and bent: bending that pulls on the open side eases the weld that is left.

    The bar runs right, its load up lifts the far end, which pushes on the top of the joint and pulls below.
    """
    shares = {}
    for way in (1.0, -1.0):
        cage = tee(open_="top")
        bar = next(m for m in cage.members if m.name == "bar")
        free = replace(bar, ends=(bar.ends[0], replace(bar.ends[1], foot=None)))
        model = idealise(replace(cage, members=(cage.members[0], free)), RIGID)
        push = point_push("bar", 500.0, (0, 100.0, 0.5 * way), travel=0.02)
        shares[way] = respond(model, push, solve(model, push)).joints[0].weld
    # the weld's middle lies low: a pull along the axis bends it open at the top, as a load down does too
    assert shares[-1.0] > 1.05 * shares[1.0]


def with_head(cage, centre, helmet=200.0):
    return replace(cage, people=aboard(PersonEntry(hip=(0, 0, 0), head=centre, helmet=helmet)))


def test_survival_space_is_touched_when_the_bar_has_come_down_to_it():
    """A bar's middle is pushed down onto a ball whose top is 30 mm under the tube: 30 mm of travel."""
    cage = with_head(beam(), (0.0, 0.0, 900.0 - 22.5 - 30.0 - 100.0))
    model = idealise(cage, RIGID, {"bar": (500.0,)})
    found = respond(model, point_push("bar", 500.0, (0, 0, -1.0), travel=60.0))
    helmet = next(p for p in found.room.parts if p.part == "helmet")
    assert helmet.rest == pytest.approx(30.0, abs=1e-6)
    assert helmet.touched == pytest.approx(30.0, abs=0.05)
    assert (helmet.by, helmet.least) == ("bar", pytest.approx(0.0, abs=1e-9))
    upto = found.counted
    assert (upto.kind, upto.travel) == ("first touch", helmet.touched)
    assert (upto.what, upto.to) == ("bar", "driver's helmet")
    assert [m.kind for m in found.moments] == ["first touch"]
    assert found.left, "of 60 mm it is followed 20 mm past what counts"
    assert 50.0 <= found.travel[-1] < 53.0
    whole = respond(model, found.push, solve(model, found.push))
    assert [m.kind for m in whole.moments] == ["first touch", "end of travel"]
    assert whole.counted == upto
    assert upto.energy == pytest.approx(float(np.interp(30.0, found.travel, found.work)), rel=1e-2)
    assert upto.energy < found.work[-1]
    assert found.peak.travel <= upto.travel
    assert any(s.label == "counted to here" for s in found.shapes)


def test_a_platen_face_can_touch_too():
    push = replace(
        push_named(hoop_cage(), "main-hoop-down"),
        press=Platen(centre=np.array([0, 0, 1300.0]), normal=np.array([0, 0, -1.0]),
                     along=np.array([1.0, 0, 0]), length=1000, width=1400),
    )  # fmt: skip
    model, _, answer = hoop_down()
    start = 1300.0 - 1222.5
    gaps = tool_gaps(model, push, answer, np.array([[0.0, 0.0, 1000.0]]))
    assert gaps == pytest.approx(300.0 - start - answer.travel, abs=1e-3)
    aside = tool_gaps(model, push, answer, np.array([[800.0, 0.0, 1300.0 - start + 50.0]]))
    assert aside[0] == pytest.approx(300.0, abs=1e-3)  # beyond its edge


def test_crossing_between_kept_steps():
    assert crossing(np.array([0.0, 2.0, 4.0]), np.array([3.0, 1.0, -1.0])) == pytest.approx(3.0)
    assert crossing(np.array([0.0, 2.0]), np.array([3.0, 1.0])) is None


def demand(**more):
    given = {"words": "test", "weights": 0.0, "load": 50_000.0, "whole": False, "mass": "car",
             "within": None, "mean": False, "source": "test", "certainty": "shop"}  # fmt: skip
    return Demand(**(given | more))


def test_wanted_loads():
    _, _, answer = hoop_down()
    top = float(answer.load.max())
    curve = curve_to(answer, float(answer.travel[-1]))
    met = met_of(demand(), curve, 0.5 * top, whole=True)
    assert met.met is True
    assert np.interp(met.travel, answer.travel, answer.load) == pytest.approx(0.5 * top, rel=1e-6)
    assert met_of(demand(), curve, 1.5 * top, whole=True).met is False
    assert met_of(demand(within=0.1), curve, 0.5 * top, whole=True).met is False
    assert met_of(demand(within=500.0), curve, 1.5 * top, whole=True).met is None  # not followed that far
    assert met_of(demand(), curve, None, whole=True).met is None
    mean = met_of(demand(mean=True, within=20.0), curve, 1.0, whole=True)
    assert mean.reached == pytest.approx(float(np.interp(20.0, answer.travel, answer.work)) / 20.0, rel=0.02)
    assert mean.met is True


def stalled():
    """The hoop push cut short, as if it had stalled while still rising."""
    model, push, answer = hoop_down()
    k = 5
    cut = {
        name: getattr(answer, name)[:k]
        for name in ("travel", "load", "displacement", "turn", "forces", "reaction", "springs", "hinges",
                     "bars", "touching", "negative_pivots", "work", "stored", "dissipated")
    }  # fmt: skip
    events = tuple(e for e in answer.events if e.travel <= answer.travel[k - 1])
    return model, push, replace(answer, **cut, events=events, reached=False, end="stalled at 4 mm")


def test_a_stalled_push_cannot_tell():
    model, push, answer = stalled()
    found = respond(with_driver(model), push, answer)
    assert not found.reached
    last = float(answer.travel[-1])
    assert (found.counted.kind, found.counted.travel, found.counted.what) == ("cannot tell", last, "")
    assert found.counted.energy == pytest.approx(float(answer.work[-1]) * 1e-3)
    assert [p.touched for p in found.room.parts] == [None] * 6
    assert found.room.followed == last
    assert [m.met for m in found.demands] == [None]
    assert found.demands[0].met is None
    assert found.stiffness > 0.0  # the start was followed


def test_what_was_reached_before_a_stall_counts():
    _, _, answer = stalled()
    curve, top = curve_to(answer, float(answer.travel[-1])), float(answer.load.max())
    assert met_of(demand(), curve, 0.5 * top, whole=False).met is True
    assert met_of(demand(), curve, 2.0 * top, whole=False).met is None
    followed = 0.9 * float(answer.travel[-1])
    assert met_of(demand(within=followed), curve, 2.0 * top, whole=False).met is False


def with_driver(model):
    return replace(model, cage=with_head(model.cage, (-400.0, 0.0, 700.0)))


def test_drop_is_energy_over_weight():
    model, push, answer = hoop_down()
    found = respond(with_driver(model), push, answer)
    assert found.weight == pytest.approx(1075 * 9.80665)
    assert found.drop.height == pytest.approx(found.counted.energy * 1e3 / found.weight)
    assert found.drop.free == pytest.approx(found.drop.height - 40.0)  # straight down: all of the crush
    side = replace(push, press=replace(push.press, way=np.array([0, 1.0, 0])))
    assert drop_of(side, found.counted, found.weight) is None
    assert drop_of(push, found.counted, None) is None


def test_order_tells_each_place_once_and_in_order():
    model, push, answer = hoop_down()
    found = respond(model, push, answer)
    travels = [h.travel for h in found.order]
    assert travels == sorted(travels)
    # both ends of a tube may meet the same main: joints have no place on a tube
    spots = [(h.words, round(h.spot.along)) for h in found.order if h.spot]
    assert len(set(spots)) == len(spots)
    hinges = [h for h in found.order if h.kind == "hinge"]
    for i, one in enumerate(hinges):
        for two in hinges[i + 1 :]:
            assert one.spot.member != two.spot.member or abs(one.spot.along - two.spot.along) >= 100.0
    uses = {u.member: u for u in found.members}
    assert sum(u.hinges for u in uses.values()) == len(hinges)


def test_feet_that_give_are_told_and_at_their_capacity():
    model, push, answer = hoop_down()
    found = respond(model, push, answer)
    given = {h.words.split(" gives")[0].split("under ")[1] for h in found.order if h.kind == "foot"}
    over = {u.foot for u in found.feet if u.over is not None}
    assert given == over
    assert over


@pytest.mark.slow
def test_the_answer_is_plain_json_with_its_cautions():
    seen = []
    summary = run(hoop_cage(), ["main-hoop-down"], RIGID, progress=lambda what, share: seen.append(share))
    said = json.loads(json.dumps(plain(summary), allow_nan=False))
    assert said["results"][0]["push"]["name"] == "main-hoop-down"
    assert said["cautions"] == list(CAUTIONS)
    assert seen[0] == 0.0
    assert seen[-1] == 1.0
    feet = summary.results[0].feet
    assert all(f.most is None and "not judged" in f.governs for f in feet)


def test_a_steels_limits_are_marked_where_the_most_strained_tube_reaches_them():
    """E355+N, EN 10305-1: 22 % at break, half of it taken as uniform: at 11 and 22 of 30 mm by hand."""
    model, _, _ = hoop_down()
    member = next(m for m in model.cage.members if m.tube.steel.name == "E355+N")
    travel = np.linspace(0.0, 30.0, 31)
    spot = TubePlace(member=member.name, along=0.0, words="")
    strain = GaugeStrain(diameters=1.0, most=travel * 1e-2, spots=(spot,) * 31)
    uniform, broken = strain_marks(model, strain, travel)
    assert (uniform.travel, broken.travel) == (pytest.approx(11.0), pytest.approx(22.0))
    assert uniform.words == "uniform elongation of E355+N, 11 %"
    assert broken.part == pytest.approx(0.22)
    assert strain_marks(model, replace(strain, most=travel * 1e-3), travel) == ()
