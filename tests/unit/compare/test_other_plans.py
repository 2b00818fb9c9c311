"""Whole plans side by side: other base structures, each with its own book's findings and its gap."""

import shutil
from pathlib import Path

import pytest

from cagewright.base.problems import ProblemsFound
from cagewright.compare.cases import cases_of
from cagewright.job.alternatives import judged_table
from cagewright.job.opening import open_job
from cagewright.plan.alternatives import read_alternatives, read_alternatives_text

EXAMPLES = Path(__file__).parents[3] / "examples"
STUDY = """cagewright_alternatives: 2
title: Which base structure
as_planned: half-rollbars
alternatives:
  - {name: roll bar, plan: roll-bar.yaml}
  - {name: roll bar without its diagonal, plan: roll-bar.yaml, changes: [{remove: diagonal}]}
"""


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    for name in ("brackwater.yaml", "brackwater.shop.yaml", "roll-bar.yaml"):
        shutil.copy(EXAMPLES / name, tmp_path / name)
    return tmp_path


def study_in(folder: Path, text: str = STUDY) -> Path:
    path = folder / "base.alternatives.yaml"
    path.write_text(text, encoding="utf-8")
    return path


def test_another_plan_stands_beside_the_plan_and_takes_changes_of_its_own(folder):
    job, study = open_job(folder / "brackwater.yaml"), read_alternatives(study_in(folder))
    cases = [c.case for c in cases_of(job.plan, study)]
    assert [c.name for c in cases] == ["half-rollbars", "roll bar", "roll bar without its diagonal"]
    assert set(cases[1].plan.members) == {"main_hoop", "backstay_left", "diagonal"}
    assert set(cases[2].plan.members) == {"main_hoop", "backstay_left"}
    table = judged_table(job, study)
    books = [row[4].split(":")[0] for row in table.rows]
    assert books == ["fia-253-2009", "scca-time-trials-2026", "scca-time-trials-2026"]
    assert [row[2] for row in table.rows] == [str(len(job.cage.members)), "4", "3"]
    assert table.rows[0][3].endswith(" mm")
    assert table.rows[1][3] == "not known: no body lines"
    hours = [float(row[5].removesuffix(" h")) for row in table.rows]
    assert hours[0] > hours[1] > hours[2] > 0.0


def test_a_plan_that_is_not_there_gets_its_line_and_the_nearest_file(folder):
    with pytest.raises(ProblemsFound) as caught:
        read_alternatives(study_in(folder, STUDY.replace("plan: roll-bar.yaml}", "plan: rol-bar.yaml}")))
    (problem,) = caught.value.problems
    assert (problem.where.line, problem.nearest) == (5, "roll-bar.yaml")


def test_another_plan_cannot_be_on_top_of_an_alternative_nor_be_named_without_a_file(folder):
    text = STUDY.replace("plan: roll-bar.yaml, changes", "plan: roll-bar.yaml, on_top_of: roll bar, changes")
    with pytest.raises(ProblemsFound) as caught:
        read_alternatives(study_in(folder, text))
    assert caught.value.problems[0].code == "two-starts"
    with pytest.raises(ProblemsFound) as caught:
        cases_of(open_job(folder / "brackwater.yaml").plan, read_alternatives_text(STUDY))
    assert caught.value.problems[0].where.line == 5
