"""What a change is worth at once, and findings as plain values."""

import math

import pytest

from cagewright.base.cache import Cache
from cagewright.check.findings import Finding, Spot
from cagewright.job.cutting import work_of
from cagewright.job.figures import (
    bars_work,
    checks_work,
    counted,
    figures_of,
    finding_rows,
    quick_findings,
)
from cagewright.job.findings import rule_findings
from cagewright.job.opening import Job
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
    assert found["findings"] is None
    assert found["changes"] is None


def test_findings_are_counted_once_each():
    job = opened()[1]
    counts = figures_of(job)["findings"]
    assert sum(counts.values()) == len(rule_findings(job)) == len(quick_findings(job))
    assert counts == counted(rule_findings(job))


def test_a_findings_id_stays_after_a_change_elsewhere():
    before = {row["id"] for row in quick_findings(opened()[1])}
    after = {
        row["id"]
        for row in quick_findings(made(edit({"move": {"members": "dash_bar", "places": 1, "up": 705}})))
    }
    assert len(before) == len(quick_findings(opened()[1]))
    assert before == after


def test_two_findings_alike_are_told_apart():
    one = Finding(
        rule="r", judge="by the book", book="b", edition="1", clause="1", title="t", verdict="pass",
        measured=None, limit="",
        where=Spot(members=("header",)), known="read",
    )  # fmt: skip
    rows = finding_rows(opened()[1].cage, [one, one])
    assert [row["id"] for row in rows] == ["b:r:header", "b:r:header#2"]
    assert rows[0]["where"]["words"] == "header"


@pytest.mark.parametrize(
    ("spot", "point"),
    [
        (Spot(), None),
        (Spot(point=(1.0, 2.0, 3.0), members=("header",)), [1.0, 2.0, 3.0]),
        (Spot(members=("dash_bar",)), "middle"),
        (Spot(feet=("stay_left",)), [2300.0, -520.0, 590.0]),
        (Spot(members=("main_hoop",), part="bend 1"), "bend"),
    ],
)
def test_a_finding_has_a_place_for_its_mark(spot, point):
    one = Finding(
        rule="r", judge="by the book", book="b", edition="1", clause="1", title="t", verdict="pass",
        measured=None, limit="",
        where=spot, known="read",
    )  # fmt: skip
    found = finding_rows(opened()[1].cage, [one])[0]["where"]["point"]
    if point == "middle":
        assert found[1] == pytest.approx(0.0, abs=0.01)
    elif point == "bend":
        assert found[2] == pytest.approx(780.0, abs=30.0)  # the hoop's first bend is at the waist
    else:
        assert (found and list(found)) == point


@pytest.mark.slow
def test_the_slow_checks_come_as_the_same_rows():
    job = opened()[1]
    told = []
    found = checks_work(
        Job(path=MM, plan=job.plan, shop=job.shop, cage=job.cage, cache=Cache()),
        {},
        lambda *s: told.append(s),
    )
    assert told
    assert found["revision"] == job.cage.revision
    assert sum(found["counts"].values()) == len(found["findings"]) > 0
    assert "Not a certificate" in found["caution"]
