"""The padding list: what is in reach of whom, from where to where, by which book, and how much to buy."""

import math
from dataclasses import replace
from pathlib import Path

import pytest

from cagewright.base.curves import point_at
from cagewright.check.library import built_in
from cagewright.job.findings import findings
from cagewright.job.findings_paper import (
    BOX,
    every_finding_sheet,
    findings_sheet,
    findings_tables,
    padding_table,
)
from cagewright.job.opening import open_job
from cagewright.job.padding import padding_of, stretches_of
from cagewright.shape.seated import everybody
from cagewright.shape.types import member_named

JOB = open_job(Path(__file__).parents[3] / "examples" / "brackwater.yaml")
PADDING = padding_of(JOB.cage, ())


def test_every_stretch_is_on_its_tube_and_within_reach_of_somebody():
    """Independent of the list: each stretch's middle is looked up on the tube and measured to the body."""
    parts = everybody(JOB.cage)
    assert PADDING.rows
    for row in PADDING.rows:
        member = member_named(JOB.cage, row.tube)
        start, stop = row.start.value, row.stop.value
        assert start is not None
        assert stop is not None
        assert 0.0 <= start < stop <= member.path.length + 1e-6
        assert row.length.value == pytest.approx(stop - start)
        middle = point_at(member.path, (start + stop) / 2.0)
        gaps = [
            min(math.dist(middle, p.one), math.dist(middle, p.two)) - p.radius - member.tube.radius
            for p in parts
            if p.words in row.reach
        ]
        assert min(gaps) < 350.0, row.tube  # further than any limb's reach of the figures would be a slip


@pytest.mark.slow
def test_the_total_is_the_sum_and_the_findings_name_the_same_tubes():
    assert PADDING.total.value == pytest.approx(sum(r.length.value or 0.0 for r in PADDING.rows))
    found = {r.where.members[0] for r in findings(JOB).rows if r.rule == "body-padding"}
    assert {r.tube for r in PADDING.rows} == found
    assert stretches_of(PADDING).keys() == found


def test_a_book_that_the_plan_names_says_the_kind():
    assert {row.asked for row in PADDING.rows} == {
        "none of the plan's books; so Formula SAE Rules 2024, T.2.9"
    }
    asked = padding_of(JOB.cage, (built_in("fsae-2024"),))
    assert {row.kind for row in asked.rows} == {"at least 12 mm thick"}
    assert {row.asked for row in asked.rows} == {"T.2.9 (fsae-2024)"}


def test_nobody_in_the_car_needs_no_padding():
    empty = padding_of(replace(JOB.cage, people=()), ())
    assert empty.rows == ()
    assert "nobody" in empty.words


def test_the_paper_has_the_list_with_a_box_and_the_view_shows_where():
    answer = findings(JOB)
    assert answer.padding is not None
    sheet = findings_sheet(JOB.cage, answer)
    table = next(t for t in sheet.tables if t.title.startswith("Padding"))
    assert table == padding_table(answer.padding)
    assert all(row[-1] == BOX for row in table.rows)
    (view,) = sheet.drawings
    plain = sum(s.layer == "selected" for s in view.strokes)
    assert plain == len(answer.padding.rows)


def test_the_paper_of_every_finding_leads_to_the_list_and_the_terminal_says_it_tube_by_tube():
    answer = findings(JOB)
    tables = every_finding_sheet(JOB.cage, answer).tables
    asked = [row for table in tables for row in table.rows if "padded" in " ".join(row)]
    assert [cell for row in asked for cell in row if "padding list" in cell] == [
        f"{len(PADDING.rows)} tubes: the padding list says where"
    ]
    told = [row for table in findings_tables(answer, fold=True) for row in table.rows]
    assert any("doorbar low left" in cell and "can reach it" in cell for row in told for cell in row)
