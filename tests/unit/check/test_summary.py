"""To decide by: a door's window and way out against plane geometry, each figure against its own answer."""

import json
import math
from pathlib import Path

import numpy as np
import pytest
from cages import bar, cage, line
from scipy.spatial import KDTree

from cagewright.check.measures.door import inside
from cagewright.check.sight.paper import sight_sheet
from cagewright.check.torch.findings import ACCESS
from cagewright.check.way_out import CELL, FINE, LONG, SHORT, TURNS, begins, largest, least_turned, way_out
from cagewright.job.findings import findings
from cagewright.job.opening import open_job
from cagewright.job.quote import quote_of
from cagewright.job.summary import HEADS, case_summary, summary_of, summary_table
from commands import typed

PLAN = Path(__file__).parents[3] / "examples" / "brackwater.yaml"
JOB = open_job(PLAN)
FAR = bar("far", "doorbar", (500, 700, 300), (1500, 700, 300))
"""A tube on the other side, which is in nobody's way."""


def opening(wide: float, high: float, turned: float = 0.0):
    """A rectangle on the left door's plane, turned in it."""
    c, s = math.cos(turned), math.sin(turned)
    corners = [(-wide / 2, -high / 2), (wide / 2, -high / 2), (wide / 2, high / 2), (-wide / 2, high / 2)]
    return line("door_opening_left", *((1000 + c * x - s * z, -700, 700 + s * x + c * z) for x, z in corners))


# an ellipse of half axes a, b passes a rectangle of 2 b s by 2 a s at size s (plane geometry)
@pytest.mark.parametrize("turned", [0.0, math.pi / 4])
@pytest.mark.parametrize(("wide", "high"), [(2.6 * SHORT, 2.6 * LONG), (1.4 * LONG, 900.0)])
def test_the_largest_that_passes_a_bare_opening(wide: float, high: float, turned: float):
    found = way_out(cage(FAR), opening(wide, high, turned), "left")
    size = max(min(wide / SHORT, high / LONG), min(wide / LONG, high / SHORT)) / 2
    assert found.share == pytest.approx(size, abs=found.doubt)
    assert found.window == pytest.approx(wide * high, rel=0.03)  # squares of 5 mm along the edge


def test_a_way_round_between_those_that_are_tried_is_within_the_doubt():
    """Near a square the largest lies turned in its corners: the box round a turned ellipse (geometry)."""
    turns = np.linspace(0.0, math.pi, 3601)
    wide, high = (np.hypot(a * np.cos(turns), b * np.sin(turns)) for a, b in ((LONG, SHORT), (SHORT, LONG)))
    for size, turned in ((730.0, 7.5), (610.0, 1.3), (570.0, 4.0)):
        found = way_out(cage(FAR), opening(size, size + 9.0, math.radians(turned)), "left")
        most = np.minimum(size / 2 / wide, (size + 9.0) / 2 / high).max()
        assert found.share == pytest.approx(most, abs=found.doubt)


@pytest.mark.parametrize("angle", [0.02, 0.13, 0.7, math.pi / 2])
def test_the_largest_of_an_ellipse_turned_in_its_own(angle: float):
    """Against points round it: the furthest out, measured along the axes of the other in units of them."""
    round_ = np.linspace(0.0, 2 * math.pi, 20_001)
    c, s = math.cos(angle), math.sin(angle)
    x, z = LONG * np.cos(round_), SHORT * np.sin(round_)
    out = np.hypot((c * x - s * z) / LONG, (s * x + c * z) / SHORT).max()
    assert least_turned(angle) == pytest.approx(1.0 / out, rel=1e-6)


def test_a_tube_across_halves_the_window_and_one_behind_it_does_not():
    edge = opening(700.0, 900.0)
    across = bar("mid", "doorbar", (500, -650, 700), (1500, -650, 700))
    found = way_out(cage(FAR, across), edge, "left")
    assert found.window == pytest.approx(700.0 * (450.0 - across.tube.radius), rel=0.03)
    assert found.share == pytest.approx((450.0 - across.tube.radius) / 2 / SHORT, abs=found.doubt)
    behind = bar("mid", "harness bar", (500, -100, 700), (1500, -100, 700))
    assert way_out(cage(FAR, behind), edge, "left") == way_out(cage(FAR), edge, "left")


def test_inside_against_the_area_by_the_corners():
    edge = np.array([(0.0, 0.0), (400.0, 0.0), (300.0, 250.0), (150.0, 90.0)])
    x, z = (np.arange(CELL / 2, 400.0, CELL) for _ in range(2))
    cells = np.stack(np.meshgrid(x, z), axis=-1).reshape(-1, 2)
    after = np.roll(edge, -1, axis=0)
    area = 0.5 * abs(float((edge[:, 0] * after[:, 1] - after[:, 0] * edge[:, 1]).sum()))
    assert inside(cells, edge).sum() * CELL**2 == pytest.approx(area, rel=0.02)


@pytest.mark.slow
def test_each_figure_is_that_of_its_own_answer():
    rows = {row.key: row.value for row in summary_of(JOB).rows}
    assert list(rows) == list(HEADS)
    found = findings(JOB)
    assert found.headline == f"rule books: {rows['books'].said}; own checks: {rows['own'].said}"
    assert rows["books"].value == sum(r.verdict == "fail" and r.judge == "by the book" for r in found.rows)
    sheet = sight_sheet(JOB.cage)
    assert sheet is not None
    assert rows["sight"].said in sheet.notes[1]
    open_ = [r for r in found.rows if r.rule == ACCESS and r.verdict in {"fail", "look at"}]
    assert rows["torch"].value == len({n for r in open_ for n in (*r.where.joints, *r.where.feet)})
    assert rows["hours"] == quote_of(JOB).hours.total


@pytest.mark.slow
def test_where_no_book_is_named_none_fails_and_none_is_kept():
    car = JOB.plan.car
    assert car is not None
    plan = JOB.plan.model_copy(update={"car": car.model_copy(update={"rules": ()}), "belts": None})
    told = case_summary(JOB.path, plan, JOB.shop)
    assert not isinstance(told, str)
    books = next(row.value for row in told.rows if row.key == "books")
    assert (books.value, books.said) == (None, "none checked")


@pytest.mark.slow
def test_a_column_of_the_comparison_is_what_the_command_says():
    told = json.loads(typed("summary", PLAN, "--json").stdout)
    one = case_summary(JOB.path, JOB.plan, JOB.shop)
    table = summary_table("t", [("A", "as planned", one), ("B", "spoilt", "cannot tell: no such book")])
    assert list(table.rows[0][2:]) == [row["value"]["said"] for row in told["rows"]]
    assert table.rows[1][2:] == ("cannot tell: no such book", *["–"] * (len(HEADS) - 1))


def test_looking_by_blocks_and_by_few_ways_round_first_misses_nothing():
    """Against every square and way round asked on its own, about tubes laid at random."""
    random = np.random.default_rng(7)
    x, z = np.meshgrid(np.arange(0.0, 900.0, 2 * CELL), np.arange(0.0, 700.0, 2 * CELL))
    cells, step = np.stack([x, z], axis=-1), math.pi / TURNS
    for _ in range(3):
        holes = random.uniform(0.0, 900.0, (6, 2))
        free = (np.linalg.norm(cells[:, :, None] - holes, axis=-1) > 60.0).all(axis=-1)
        free[[0, -1]] = free[:, [0, -1]] = False
        wanted = 0.0
        for angle in (i * step + step * part / FINE for i in range(TURNS) for part in range(FINE)):
            c, s = math.cos(angle), math.sin(angle)
            own = np.array([[c / LONG, -s / SHORT], [s / LONG, c / SHORT]])
            near, _ = KDTree(cells[~free] @ own).query(cells[free] @ own)
            wanted = max(wanted, float(near.max()))
        assert largest(cells[free], cells[begins(free)]) == wanted
