"""What a change is worth at once."""

import math

import pytest

from cagewright.job.cutting import work_of
from cagewright.job.figures import bars_work, figures_of
from cagewright.job.scene.gaps import least_gaps
from cagewright.make.weights import weigh
from cagewright.shape.clearance import line_gaps
from cagewright.shape.driver import driver_gaps, driver_parts
from cagewright.shape.shell import shell_of
from edited import INCH, MM, edit, made, opened


def test_the_weight_is_that_of_the_papers():
    for path in (MM, INCH):
        job = opened(path)[1]
        assert figures_of(job, quick=True)["mass_kg"] == pytest.approx(weigh(job.cage).mass, abs=2e-3)


def test_a_smaller_tube_weighs_less_by_its_section():
    before = opened()[1]
    after = made(edit({"size": {"members": ["dash_bar"], "tube": "rail"}}))
    step = figures_of(after, before, quick=True)["changes"]
    # steel 7850 kg/m3 (EN 1991-1-1 Table A.4, memory); section pi t (D - t); the bar is 1230 mm between
    # middle lines, its ends' cuts differ by a few grams (tolerance 2 %)
    areas = [math.pi * t * (d - t) for d, t in ((30.0, 2.0), (38.0, 2.5))]
    dash = next(m for m in before.cage.members if m.name == "dash_bar")
    assert step["mass_kg"] == pytest.approx((areas[0] - areas[1]) * dash.length * 7850e-9, rel=0.02)
    assert "members" not in step


def test_what_is_added_is_counted():
    after = made(
        edit({
            "add": {"unnamed": [{"role": "roof reinforcement", "path": [[1600, 0, 1235], [1000, 0, 1188]]}]}
        })
    )
    step = figures_of(after, opened()[1])["changes"]
    assert (step["members"], step["copes"]) == (1, 2)
    assert step["metres"] == pytest.approx(0.56, abs=0.03)
    assert "bends" not in step


def test_the_estimate_is_below_the_cutting_plan():
    job = opened()[1]
    least = figures_of(job, quick=True)["buy"]
    assert least["least"] is True
    nests = work_of(job).nests
    assert least["bars"] <= sum(bar.source == "stock" for nest in nests for bar in nest.bars)
    assert 0.0 < least["cost"] <= sum(nest.cost for nest in nests)
    found = bars_work(job, {}, lambda doing, share: None)
    assert found["cost"] == pytest.approx(sum(nest.cost for nest in nests))
    assert [row["proved"] for row in found["tubes"]] == [nest.proved for nest in nests]


def test_a_tube_that_is_not_on_sale_leaves_the_cost_unknown():
    after = made(edit({"size": {"members": ["dash_bar"], "od": 36, "wall": 2}}))
    buy = figures_of(after, quick=True)["buy"]
    assert (buy["bars"], buy["cost"]) == (None, None)
    assert "no length on sale" in buy["why"]


def test_the_least_gaps_are_those_of_the_checks():
    cage = opened()[1].cage
    found = least_gaps(cage)
    near = driver_gaps(cage, driver_parts(cage.driver))
    assert found.helmet.gap == min(g.gap for g in near if g.part == "helmet")
    assert found.driver.gap == min(g.gap for g in near if g.part != "helmet")
    assert found.body.gap == min(g.gap for g in line_gaps(cage, shell_of(cage, None)))
    words = figures_of(opened()[1])["gaps"]
    assert words["helmet"]["words"] == "diagonal_hoop is 113.0 mm from the helmet"


def test_gaps_follow_the_tubes_and_the_driver():
    moved = edit({"move": {"members": "diagonal_hoop", "places": "end", "across": -350}})
    step = figures_of(made(moved), opened()[1])["changes"]
    assert step["gap_helmet"] > 1.0
    text = moved.document.text.replace("helmet: 300 mm", "helmet: 320 mm")
    job = made(edit({"text": text}))
    smaller = figures_of(job, made(moved))["changes"]
    assert smaller["gap_helmet"] == pytest.approx(-10.0, abs=0.01)


def test_trials_leave_out_what_takes_long():
    found = figures_of(opened()[1], quick=True)
    assert found["gaps"] is None
    assert found["changes"] is None
