"""Differences: when one counts, when the mesh hides it, and what the table says."""

import re
from dataclasses import replace

import pytest

from cagewright.compare.differences import differences
from cagewright.compare.figures import energy_by
from cagewright.compare.resolution import other_meshes, resolution_of
from cagewright.compare.study import Bill, Comparison, Outcome, PushOutcome
from cagewright.frame.choices import Choices
from cagewright.job.alternatives import answer_of, curves
from pushed import answered, push_of


def triangle(peak, *, end=100.0, travel=100.0):
    return answered([0.0, 50.0, end], [0.0, peak, peak * 0.5], push=push_of(travel=travel))


def outcome(name, results, *, mass=50.0, cost=300.0, doubt=0.0):
    answer = PushOutcome(push="p", results=results, refused="" if results else "it floats")
    return Outcome(name=name, note="", bill=Bill(mass=mass, cost=cost, doubt=doubt), answers=(answer,))


def comparison(*outcomes, resolution=10.0):
    keys = ("peak_N", "energy_J", "margin_mm", "drop_mm")
    return Comparison(
        title="study", question="?", plan="plan", revision="r", units="mm", currency="EUR", pushes=("p",),
        choices=Choices(), outcomes=outcomes, resolution={("p", k): resolution for k in keys},
    )  # fmt: skip


def peak(found):
    return next(d for d in found if d.figure == "peak_N")


def told(change, resolution=10.0):
    base, other = outcome("base", triangle(1000.0)), outcome("b", triangle(1000.0 + change))
    return peak(differences(comparison(base, other, resolution=resolution), other, "p"))


def test_a_difference_has_value_change_and_share():
    found = told(-200.0)
    assert (found.value, found.change, found.told) == (800.0, -200.0, "difference")
    assert found.share == pytest.approx(-0.2)


@pytest.mark.parametrize(
    ("change", "verdict"), [(10.0, "no difference"), (-10.0, "no difference"), (10.1, "difference")]
)
def test_what_the_mesh_alone_makes_is_no_difference(change, verdict):
    assert told(change).told == verdict


def test_a_refused_push_cannot_tell():
    base, refused = outcome("base", triangle(1000.0)), outcome("refused", None)
    made = comparison(base, refused)
    assert {d.told for d in differences(made, refused, "p")} == {"cannot tell"}
    text = [" ".join(row) for row in answer_of(made).tables[1].rows]
    assert "cannot tell: it floats" in text[1]


@pytest.mark.parametrize(
    ("peak_now", "ends", "verdict"),
    [
        (900.0, "other", "cannot tell"),  # it might have taken up more yet
        (1200.0, "other", "difference"),  # at least so much more
        (900.0, "plan", "difference"),  # the plan would only have taken up more yet
        (1200.0, "plan", "cannot tell"),
        (1200.0, "both", "cannot tell"),
    ],
)
def test_a_lower_bound_tells_only_what_it_bounds(peak_now, ends, verdict):
    def cage(name, peak):
        stalls = ends in ("both", {"base": "plan", "b": "other"}[name])
        return outcome(name, triangle(peak, travel=120.0 if stalls else 100.0))

    base, other = cage("base", 1000.0), cage("b", peak_now)
    found = peak(differences(comparison(base, other, resolution=10.0), other, "p"))
    assert (found.told, found.bound) == (verdict, int(ends != "plan"))
    said = answer_of(comparison(base, other)).rows[1].pushes[0]
    assert ("cannot tell what comes after" in said.end) == (ends != "plan")


def test_without_a_resolution_no_difference_is_claimed():
    assert told(500.0, resolution=None).told == "cannot tell"


def test_resolution_is_root_two_times_the_larger_change_of_the_mesh():
    base = PushOutcome(push="p", results=triangle(1000.0))
    again = [PushOutcome(push="p", results=triangle(v)) for v in (1004.0, 990.0)]
    assert resolution_of(base, again, 100.0)["p", "peak_N"] == pytest.approx(2.0**0.5 * 10.0)
    refused = [PushOutcome(push="p", results=triangle(1004.0)), PushOutcome(push="p", results=None)]
    assert resolution_of(base, refused, 100.0)["p", "peak_N"] is None
    assert [c.mesh for c in other_meshes(Choices(mesh=40.0))] == [30.0, 60.0]


def test_a_mesh_on_which_the_push_stalls_tells_no_resolution_of_what_it_takes_up():
    base = PushOutcome(push="p", results=triangle(1000.0))
    stalled = PushOutcome(push="p", results=triangle(1000.0, end=20.0))
    found = resolution_of(base, [stalled], 100.0)
    assert found["p", "energy_J"] is found["p", "peak_N"] is None
    assert resolution_of(stalled, [stalled], 100.0)["p", "energy_J"] == 0.0


def test_all_are_compared_by_the_least_travel_that_any_counts_to():
    """A stiff cage tears at 50 mm with 25 J; a softer one has 20 J by then, and 80 J at its own end."""
    stiff = outcome("stiff", answered([0.0, 50.0, 100.0], [0.0, 1000.0, 2000.0], limit="first tear", at=50.0))
    soft = outcome("soft", answered([0.0, 50.0, 100.0], [0.0, 800.0, 1600.0]))
    made = replace(comparison(stiff, soft), resolution={("p", k): 1.0 for k in ("by_J", "energy_J")})
    found = {d.figure: d for d in differences(made, soft, "p")}
    assert (found["by_J"].value, found["by_J"].change) == pytest.approx((20.0, -5.0))
    assert (found["energy_J"].value, found["energy_J"].change) == pytest.approx((80.0, 55.0))
    push = answer_of(made).pushes[0]
    assert push.caption == "p: all by 50.0 mm, then each as far as it counts"
    # on a mesh where it ends sooner it is taken to go on with the load it has
    short = answered([0.0, 50.0], [0.0, 1000.0])
    assert energy_by(short, 60.0) == pytest.approx(35.0)


def test_the_table_says_what_it_means():
    base = outcome("as planned", triangle(1000.0), mass=50.0, cost=300.0)
    light = outcome("lighter", triangle(800.0), mass=48.0, cost=300.0)
    answer = answer_of(comparison(base, light))
    bills, pushed = answer.tables
    assert bills.rows[0] == ("A", "as planned", "50.00 kg", "300.00 EUR")
    assert bills.rows[1] == ("B", "lighter", "48.00 kg\n-2.00 kg", "300.00 EUR\nno difference")
    heads = [c.head for c in pushed.columns]
    assert pushed.rows[1][heads.index("takes up in all")] == "50 J\n-12 J (-20 %)"
    assert pushed.rows[0][heads.index("takes up in all")] == "62 J"
    assert "Not a certificate" in answer.notes[0]


def test_a_cutting_plan_not_proved_least_says_at_most_and_its_differences_wait():
    base = outcome("as planned", triangle(1000.0), cost=300.0, doubt=30.0)
    near, far = (outcome(n, triangle(900.0), cost=c) for n, c in (("near", 320.0), ("far", 340.0)))
    rows = answer_of(comparison(base, near, far)).rows
    assert [row.cost.value.said for row in rows] == ["≤ 300.00 EUR", "320.00 EUR", "340.00 EUR"]
    assert [row.cost.said for row in rows] == ["", "cannot tell", "cannot tell"]
    assert rows[0].cost.value.plus_minus == 30.0
    assert "not proved least" in rows[1].cost.why
    assert {row.cost.change for row in rows} == {None}
    known = answer_of(comparison(near, far)).rows[1].cost
    assert (known.said, known.change.rests_on) == ("+20.00 EUR", "cutting plan")


def test_values_are_for_programs_and_curves_have_the_table_s_letters():
    made = comparison(
        outcome("as planned", triangle(1000.0)), outcome("none", None), outcome("c", triangle(9.0))
    )
    rows = answer_of(made).rows
    peaks = [next(f for f in row.pushes[0].figures if f.key == "peak_N") for row in rows]
    assert peaks[2].change.value == pytest.approx(-991.0)
    assert peaks[1].value.value is None
    assert (rows[1].pushes[0].end, rows[1].pushes[0].curve) == ("cannot tell: it floats", None)
    words = {label.text for label in curves(made, "p").labels}
    assert {"A", "C"} <= words
    assert "B" not in words


def test_an_inch_plan_is_compared_in_inches_and_pounds():
    base, light = (
        outcome("as planned", triangle(100_000.0)),
        outcome("lighter", triangle(80_000.0), mass=48.0),
    )
    made = replace(comparison(base, light), units="in")
    answer = answer_of(made)
    said = [cell for table in answer.tables for row in table.rows for cell in row]
    said += [table.title for table in answer.tables] + list(answer.notes)
    said += [label.text for label in curves(made, "p").labels]
    assert not [words for words in said if re.search(r"\d ?(mm|kN|N|J|kg)\b", words)]
    assert answer.rows[1].mass.said == "-4.4 lb"
    assert answer.rows[1].mass.change.value == pytest.approx(-2.0)
