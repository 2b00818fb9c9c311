"""What a change is worth at once."""

import math

import pytest

from cagewright.compare.task import bill_of
from cagewright.job.buying import bars_work, planned_of, with_change
from cagewright.job.cutting import cutting_of, work_of
from cagewright.job.figures import figures_of
from cagewright.job.scene.gaps import least_gaps
from cagewright.make.weights import weigh
from cagewright.shape.clearance import line_gaps
from cagewright.shape.seated import everybody, seated_gaps
from cagewright.shape.shell import shell_of
from edited import INCH, MM, edit, made, opened

pytestmark = pytest.mark.usefixtures("kept_answers")


def test_the_weight_is_that_of_the_papers():
    for path in (MM, INCH):
        job = opened(path)[1]
        assert figures_of(job, quick=True).mass.value == pytest.approx(weigh(job.cage).mass, abs=2e-3)


def test_a_smaller_tube_weighs_less_by_its_section():
    before = opened()[1]
    after = made(edit({"size": {"members": ["dash_bar"], "tube": "rail"}}))
    step = figures_of(after, before, quick=True).changes
    # steel 7850 kg/m3 (EN 1991-1-1 Table A.4, memory); section pi t (D - t); the bar is 1230 mm between
    # middle lines, its ends' cuts differ by a few grams (tolerance 2 %)
    areas = [math.pi * t * (d - t) for d, t in ((30.0, 2.0), (38.0, 2.5))]
    dash = next(m for m in before.cage.members if m.name == "dash_bar")
    assert step.mass.value == pytest.approx((areas[0] - areas[1]) * dash.length * 7850e-9, rel=0.02)
    assert step.members == 0


def test_what_is_added_is_counted():
    after = made(
        edit({
            "add": {"unnamed": [{"role": "roof reinforcement", "path": [[1600, 0, 1235], [1000, 0, 1188]]}]}
        })
    )
    step = figures_of(after, opened()[1]).changes
    assert (step.members, step.copes) == (1, 2)
    assert step.run.value == pytest.approx(560.0, abs=30.0)
    assert step.bends == 0


def test_the_estimate_is_below_the_cutting_plan():
    job = opened()[1]
    least = figures_of(job, quick=True).buy
    nests = work_of(job).nests
    assert least.bars <= sum(bar.source == "stock" for nest in nests for bar in nest.bars)
    assert 0.0 < least.price.value <= sum(nest.cost for nest in nests)
    assert least.price.said.endswith("EUR (estimate)")
    found = bars_work(job, {}, lambda doing, share: None)
    assert found["price"]["value"] == pytest.approx(sum(nest.cost for nest in nests))
    assert "estimate" not in found["price"]["said"]
    assert [row["proved"] for row in found["tubes"]] == [nest.proved for nest in nests]


def test_a_difference_is_between_two_prices_of_one_basis():
    """Estimate with estimate, cutting plan with cutting plan; between the two there is none."""
    before = opened()[1]
    after = made(edit({"remove": {"names": ["dash_bar"]}}))
    estimates = [figures_of(job, quick=True).buy.price.value for job in (after, before)]
    step = figures_of(after, before, quick=True).buy.change
    assert step.value == pytest.approx(estimates[0] - estimates[1])
    assert step.said.endswith("(estimate)")
    plans = [planned_of(job).price for job in (after, before)]
    planned = planned_of(after, plans[1].value)
    assert planned.change.value == pytest.approx(plans[0].value - plans[1].value)
    assert with_change(planned, figures_of(before, quick=True).buy.price).change is None


@pytest.mark.slow
def test_a_plan_has_one_price_and_one_mass():
    """The cutting plan's page, the bill of the papers, and the bill of alternatives."""
    job = opened()[1]
    bill = bill_of(job.cage, job.shop)
    assert planned_of(job).price.value == pytest.approx(bill.cost)
    assert figures_of(job, quick=True).mass.value == pytest.approx(bill.mass, abs=2e-3)
    summary = next(s for s in cutting_of(job).sheets if s.kind == "summary")
    bought = next(t for t in summary.tables if t.title == "Tube to buy").rows
    assert bought[-1][3] == planned_of(job).price.said


def test_a_tube_that_is_not_on_sale_leaves_the_cost_unknown():
    after = made(edit({"size": {"members": ["dash_bar"], "od": 36, "wall": 2}}))
    buy = figures_of(after, quick=True).buy
    assert (buy.bars, buy.price.value) == (None, None)
    assert "no length on sale" in buy.price.why


def test_the_least_gaps_are_those_of_the_checks():
    cage = opened()[1].cage
    found = least_gaps(cage)
    near = seated_gaps(cage, everybody(cage))
    assert found.helmet.gap == min(g.gap for g in near if g.part == "helmet")
    assert found.person.gap == min(g.gap for g in near if g.part != "helmet")
    assert found.body.gap == min(g.gap for g in line_gaps(cage, shell_of(cage, None)))
    words = figures_of(opened()[1]).gaps
    assert words.helmet.words == "diagonal hoop is 113.0 mm from the helmet"


def test_gaps_follow_the_tubes_and_the_driver():
    moved = edit({"move": {"members": "diagonal_hoop", "places": "end", "across": -350}})
    step = figures_of(made(moved), opened()[1]).changes
    assert step.helmet.value > 1.0
    text = moved.document.text.replace("helmet: 300 mm", "helmet: 320 mm")
    job = made(edit({"text": text}))
    smaller = figures_of(job, made(moved)).changes
    assert smaller.helmet.value == pytest.approx(-10.0, abs=0.01)


def test_trials_leave_out_what_takes_long():
    found = figures_of(opened()[1], quick=True)
    assert found.gaps is None
    assert found.changes is None
