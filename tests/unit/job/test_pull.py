"""What to pull: arrows numbered as the table, pointing the way the end has to go."""

from dataclasses import replace

import numpy as np
import pytest

from cagewright.base.problems import Where
from cagewright.fitup.adjust import adjust
from cagewright.fitup.network import placed
from cagewright.fitup.pull import JointGap, after_pulls, joint_gaps, stands_of
from cagewright.fitup.readings import FitUp, ReadingsFile
from cagewright.job.pull import STRETCH, _gap, pull_of, pull_sheet
from cagewright.job.readings import ReadingsTaken
from cagewright.make.arrows import LENGTH, Arrow, seen_from, with_arrows
from cagewright.make.views import cage_view
from fitted import brackwater, front, taken


def moved(off, noise=0.0):
    """The front of the car read with the left leg moved by ``off`` mm."""
    net, readings = front()
    state = np.zeros((len(net.bodies), 6))
    state[[b.name for b in net.bodies].index("front_leg_left"), :3] = off
    seen = taken(net, readings, placed(net, state), np.random.default_rng(0), noise=noise)
    fit = FitUp(head=ReadingsFile(step=4), where=Where(file="r"), net=net, entered=())
    return ReadingsTaken(job=brackwater(), fit=fit, adjusted=adjust(net, seen))


@pytest.fixture(scope="module")
def left_leg_forward():
    return pull_of(moved((-8.0, 0.0, 0.0)))


def test_only_ends_that_are_out_are_pulled_and_back_the_way_they_came(left_leg_forward):
    ordered = [p for p in left_leg_forward.pulls if p.order]
    assert {p.member for p in ordered} == {"front_leg_left"}
    for p in ordered:
        way = np.subtract(p.stop, p.start) / STRETCH
        assert way == pytest.approx([8.0, 0.0, 0.0], abs=0.2)
        assert p.way.startswith("8 ± ")
        assert p.way.endswith("mm back")


def test_an_arrow_starts_where_the_mark_is_and_ends_where_the_plan_wants_it():
    held = moved((-8.0, 3.0, 0.0), noise=1.0)
    for p in pull_of(held).pulls:
        row = held.adjusted.net.index[p.mark]
        assert p.stop == pytest.approx(held.adjusted.net.points[row])
        off = held.adjusted.places[row] - held.adjusted.net.points[row]
        gone = (np.array(p.start) - np.array(p.stop)) / STRETCH
        # along what is out for sure the arrow is what the readings say; nothing is ordered along the rest
        assert np.where(gone == 0.0, off, gone) == pytest.approx(off)
        assert gone.any() == (p.stands == "out")


def test_table_and_arrows_carry_the_same_numbers(left_leg_forward):
    sheet = pull_sheet(brackwater(), left_leg_forward)
    numbers = [row[0] for row in sheet.tables[0].rows]
    assert numbers == ["1", "2"]
    side = next(d for d in sheet.drawings if d.name == "cage_side")
    assert [label.text for label in side.labels if label.text in numbers] == numbers
    # a pull back is not seen from the front
    assert {d.name for d in sheet.drawings} == {"cage_side", "cage_plan"}
    assert any("Not a certificate" in note for note in sheet.notes)
    assert sheet.title == "What to pull, step 4"


def test_the_drawn_arrows_point_the_way_the_end_has_to_go(left_leg_forward):
    side = next(d for d in pull_sheet(brackwater(), left_leg_forward).drawings if d.name == "cage_side")
    view = cage_view(brackwater().cage, "side", numbers=False)
    one = [Arrow(at=np.zeros(3), way=np.array([8.0, 0.0, 0.0]), text="1")]
    each = len(with_arrows(view, "side", one).strokes) - len(view.strokes)
    shafts = [side.strokes[-each * k].points for k in range(1, 1 + len(left_leg_forward.pulls))]
    assert len(shafts) == 2
    assert all(stop[0] > start[0] for start, stop in shafts)  # the leg stands too far ahead: back


def test_nothing_to_pull_is_said():
    answer = pull_of(moved((0.0, 0.0, 0.0)))
    sheet = pull_sheet(brackwater(), answer)
    assert answer.headline == "Every end is in place."
    assert not sheet.tables
    assert not sheet.drawings
    assert "in place" in sheet.notes[0]


def test_what_cannot_be_told_gets_no_order_and_the_reading_that_would_settle_it():
    held = moved((-8.0, 0.0, 0.0))
    few = [c.reading for c in held.adjusted.checks if "front_leg_left" in c.reading.name][:3]
    answer = pull_of(ReadingsTaken(job=held.job, fit=held.fit, adjusted=adjust(held.adjusted.net, few)))
    unsure = [p for p in answer.pulls if p.stands == "cannot tell"]
    assert unsure
    assert not any(p.order or p.takes or p.way for p in unsure)
    assert any(p.settle for p in unsure)
    body = {m: b.members for b in held.adjusted.net.bodies for m in b.members}
    for p in unsure:
        assert not p.settle or any(f"{m}." in f"{p.settle.a} {p.settle.b}" for m in body[p.member])


def test_an_order_is_a_builder_s_sentence(left_leg_forward):
    first = next(p for p in left_leg_forward.pulls if p.order)
    # which way and how far, with what, between which places, how hard, and what to read again
    assert first.order.startswith("pull it 8 ± ")
    assert any(word in first.order for word in ("strap together ", "jack apart ", "by hand together "))
    assert "front leg left" in first.order
    assert "; then read " in first.order
    assert first.order.endswith(" again")


def test_no_order_along_an_axis_that_the_readings_do_not_fix():
    """Out by 8 mm forward for sure, and by some mm up at a +- as large: only the way back is ordered."""
    held = moved((-8.0, 0.0, 0.0), noise=1.0)
    (wide := held.adjusted.mark_covariance.copy())[:, 2, 2] = 400.0
    vague = replace(
        held.adjusted, mark_covariance=wide, places=held.adjusted.places + np.array([0.0, 0.0, 30.0])
    )
    answer = pull_of(ReadingsTaken(job=held.job, fit=held.fit, adjusted=vague))
    ordered = [p for p in answer.pulls if p.order]
    assert ordered
    assert all(p.start[2] == p.stop[2] and " up" not in p.way and " down" not in p.way for p in ordered)


def test_a_tube_that_the_readings_do_not_fix_gets_no_order():
    held = moved((-8.0, 0.0, 0.0))
    loose = replace(held.adjusted, loose=("front_leg_left",))
    answer = pull_of(ReadingsTaken(job=held.job, fit=held.fit, adjusted=loose))
    legs = [p for p in answer.pulls if p.member == "front_leg_left"]
    assert legs
    assert not any(p.order or p.takes for p in legs)


def test_gaps_are_judged_after_the_pull_and_never_of_a_tube_that_was_not_read():
    """A leg 8 mm off would leave its joints open; pulled in, they close: nothing is to be cut again."""
    held = moved((-8.0, 0.0, 0.0))
    cage, found = held.job.cage, held.adjusted
    leg = [g for g in joint_gaps(cage, found) if "front_leg_left" in g.joint]
    assert max(max(g.open, g.overlap) for g in leg) > 5.0
    after = [g for g in joint_gaps(cage, found, stands_of(cage, found)) if "front_leg_left" in g.joint]
    assert after
    assert max(max(g.open, g.overlap) for g in after) < 0.5
    assert not any("cut it again" in g.words for g in pull_of(held).gaps)
    few = [c.reading for c in found.checks if "header" not in c.reading.name]
    unread = joint_gaps(cage, adjust(found.net, few))
    assert unread
    assert not any("header" in g.joint for g in unread)


@pytest.mark.parametrize(
    ("wide", "sure", "says"),
    [(1.1, 4.9, "gauge the gap itself"), (0.6, 0.2, "within"), (7.0, 0.5, "cut it again")],
)
def test_a_gap_asks_for_something_only_where_its_whole_range_asks_for_it(wide, sure, says):
    job = moved((0.0, 0.0, 0.0)).job
    name = job.cage.joints[0].name
    row = _gap(job, JointGap(joint=name, open=wide, overlap=0.0, shift=np.zeros(3), sure=sure))
    assert says in row.words
    assert ("weld as drawn" in row.words) == (says == "within")


def test_a_root_gap_is_held_against_what_the_shop_says_its_welds_bridge():
    job = moved((0.0, 0.0, 0.0)).job
    gap = JointGap(joint=job.cage.joints[0].name, open=1.4, overlap=0.0, shift=np.zeros(3), sure=0.1)
    assert "over 1.0 mm (EN 25817 level C)" in _gap(job, gap).words
    own = replace(job, shop=replace(job.shop, weld_gap=2.0))
    assert "within 2.0 mm (the shop file)" in _gap(own, gap).words


def test_after_the_pulls_the_ends_stand_where_the_plan_wants_them():
    held = moved((-8.0, 3.0, -2.0))
    cage, found = held.job.cage, held.adjusted
    stands = stands_of(cage, found)
    moved_to = after_pulls(found, stands)
    rows = [found.net.index[s.mark] for s in stands if s.stands == "out"]
    assert rows
    # what is less than its own +- is left alone
    assert np.abs(moved_to.places[rows] - found.net.points[rows]).max() < 3.0
    assert np.abs(found.places[rows] - found.net.points[rows]).max() > 7.0


def test_an_arrow_starts_at_its_place_at_the_view_s_scale():
    """From the left at 1:n a place back, up stands at back / n, up / n on the paper."""
    view = cage_view(brackwater().cage, "side", numbers=False)
    drawn = with_arrows(
        view, "side", [Arrow(at=np.array([700.0, 0.0, 300.0]), way=np.array([0.0, 0.0, 5.0]), text="7")]
    )
    shaft = drawn.strokes[len(view.strokes)].points
    assert shaft[0] == pytest.approx([700.0 * view.scale, 300.0 * view.scale])
    tip = drawn.strokes[len(view.strokes) + 1].points
    assert tip[:, 1].max() == pytest.approx(300.0 * view.scale + LENGTH)


def test_an_arrow_at_the_eye_is_left_out():
    toward = Arrow(at=np.zeros(3), way=np.array([0.0, -4.0, 0.5]), text="1")
    assert seen_from([toward], "side") == ()
    assert seen_from([toward], "front") == (toward,)
