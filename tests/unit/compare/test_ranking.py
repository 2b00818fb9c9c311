"""Who is ahead over the draws, by hand; what is said of it; the same draws for everybody."""

import re
from dataclasses import replace

import numpy as np
import pytest

from cagewright.compare.differences import differences
from cagewright.compare.ranking import DrawnPushes, ahead, most_of_all
from cagewright.compare.study import Bill, Comparison, Outcome, PushOutcome
from cagewright.frame.choices import Choices
from cagewright.frame.counted import CountedCurve
from cagewright.job.alternatives import answer_of
from cagewright.job.ranking import ranking_of, ranking_picture
from pushed import answered, push_of


def pushes(values, ends=None):
    """Straight work to that many joules by 100 mm, counted to ``ends`` mm; None: refused."""
    ends = ends or [100.0] * len(values)
    curves = tuple(
        None if v is None else CountedCurve(
            travel=np.array([0.0, end]), load=np.zeros(2), work=np.array([0.0, v * end / 100.0])
        )
        for v, end in zip(values, ends, strict=True)
    )  # fmt: skip
    return DrawnPushes(curves=curves, kinds=("end of travel",) * len(values))


def test_draws_are_counted_one_by_one():
    found = ahead(pushes([3, 5, 2, 4]), pushes([1, 4, 3, 4]))
    assert (found.more, found.less, found.same, found.untold) == (2, 1, 1, 0)
    assert found.differences.tolist() == [2.0, 1.0, -1.0, 0.0]
    assert found.middle == 0.5
    assert not found.holds


def test_two_are_set_beside_each_other_by_the_travel_that_both_count_to():
    """The first takes up 8 J by 80 mm where the second takes up 6.4; the second's 12 J come later."""
    found = ahead(pushes([10.0], [80.0]), pushes([8.0], [150.0]))
    assert found.differences == pytest.approx([1.6])
    assert (found.more, found.further) == (1, 0)
    assert ahead(pushes([8.0], [150.0]), pushes([10.0], [80.0])).further == 1


def test_most_of_all_is_by_the_least_travel_of_any():
    """By 50 mm: 5, 4 and 6 J in the first draw; where one was refused nobody is the most."""
    cases = [pushes([10, 1], [50, 100]), pushes([8, None], [100, 100]), pushes([12, 3], [100, 100])]
    assert most_of_all(cases).tolist() == [0, 0, 1]


def test_a_refused_push_decides_nothing():
    assert ahead(pushes([None, 5]), pushes([1, 1])).untold == 1


@pytest.mark.parametrize(("more", "holds"), [(57, False), (58, True), (64, True), (6, True), (7, False)])
def test_a_ranking_holds_in_nine_draws_of_ten(more, holds):
    one = pushes([1.0] * more + [-1.0] * (64 - more))
    assert ahead(one, pushes([0.0] * 64)).holds == holds


def test_what_plays_no_part_is_said_to_be_the_same():
    found = made()
    found.drawn["B", "p"] = found.drawn["A", "p"]
    row = ranking_of(found, "p")[0]
    assert (row.verdict, row.words) == ("the same", "B takes up as much as A in 64 of 64")


def test_the_two_must_have_the_same_draws():
    with pytest.raises(ValueError, match="same draws"):
        ahead(pushes([1.0]), pushes([1.0, 2.0]))


def case(name, peak):
    results = answered([0.0, 50.0, 100.0], [0.0, peak, peak], push=push_of(travel=100.0))
    answers = (PushOutcome(push="p", results=results),)
    return Outcome(name=name, note="", bill=Bill(mass=50.0, cost=None, doubt=0.0), answers=answers)


def made():
    """B takes up more in 61 of 64, C in 30: its difference looks large and is a toss-up."""
    rng = np.random.default_rng(4)
    base = 1000.0 + rng.uniform(-200, 200, 64)
    step = np.where(np.arange(64) < 61, 50.0, -5.0)
    other = np.where(np.arange(64) < 30, 40.0, -40.0)
    drawn = {
        ("A", "p"): pushes(base),
        ("B", "p"): pushes(base + step),
        ("C", "p"): pushes(base + other),
    }
    return Comparison(
        title="study", question="?", plan="plan", revision="r", units="mm", currency="EUR", pushes=("p",),
        choices=Choices(), outcomes=(case("A", 1000.0), case("B", 1100.0), case("C", 1200.0)),
        resolution={("p", "by_J"): 1.0}, draws=64, drawn=drawn,
    )  # fmt: skip


def test_it_is_said_in_how_many_draws_one_takes_up_more():
    found = made()
    b, c = ranking_of(found, "p")
    assert (b.words, b.verdict) == (
        "B takes up more than A by the same travel in 61 of 64; it goes further in 0",
        "more",
    )
    assert c.words == "C takes up less than A by the same travel in 34 of 64: a toss-up; it goes further in 0"
    assert c.verdict == "a toss-up"
    assert b.middle.value == pytest.approx(50.0)
    assert (b.most, c.most) == (61, 0)
    answer = answer_of(found)
    assert answer.headline == f"study: 2 beside the plan. p: {b.words}; {c.words}"
    table = next(t for t in answer.tables if t.title == "study: p, how sure, by the same travel")
    assert table.rows[0][:4] == ("B", "B", "61 of 64", "+50 J")
    assert table.rows[1][-1] == "a toss-up"
    assert any("64 draws, the same for every alternative" in note for note in answer.notes)
    assert any("yield strength of the tubes" in note and "(memory)" in note for note in answer.notes)


def test_an_inch_plan_hears_no_millimetre():
    answer = answer_of(replace(made(), units="in"))
    said = [answer.headline, *answer.notes, *(c for t in answer.tables for row in t.rows for c in row)]
    drawn = ranking_picture(replace(made(), units="in"), "p")
    said += [label.text for label in drawn.labels]
    assert not [words for words in said if re.search(r"\d ?(mm|kN|N|J|kg)\b", words)]


def test_a_difference_that_the_draws_do_not_hold_is_none():
    found = made()
    told = [next(d for d in differences(found, o, "p") if d.figure == "by_J") for o in found.outcomes[1:]]
    assert [d.told for d in told] == ["difference", "no difference"]
    assert told[1].why == "a toss-up: more in 30 and less in 34 of 64 draws"


def test_what_cannot_be_told_is_no_toss_up():
    found = made()
    found.drawn["B", "p"] = pushes([None] * 64)
    assert ranking_of(found, "p")[0].verdict == "cannot tell"


def test_the_picture_has_a_tick_for_every_draw_and_the_count_in_words():
    drawing = ranking_picture(made(), "p")
    ticks = [s for s in drawing.strokes if s.look and s.look.width == 0.18]
    assert len(ticks) == 128
    words = {label.text for label in drawing.labels}
    assert {"B", "C", "61 of 64", "30 of 64: a toss-up", "0"} <= words
    # zero stands where no difference is
    zero = next(label.at[0] for label in drawing.labels if label.text == "0")
    left = sum(float(s.points[0][0]) < zero - 1e-6 for s in ticks)
    assert left == 3 + 34
