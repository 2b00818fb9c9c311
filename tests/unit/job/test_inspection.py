"""The inspection of a finished car: every clause once, readings judged by the same rows, mistakes located."""

from pathlib import Path
from typing import Any

import pytest

from cagewright.base.problems import ProblemsFound
from cagewright.base.units import QuantityError
from cagewright.check.findings import Verdict
from cagewright.check.inspected import inspected
from cagewright.check.library import book_ids, built_in
from cagewright.check.read import parse_book
from cagewright.job.findings import findings
from cagewright.job.inspection import STATIONS, InspectionAnswer, inspection_of
from cagewright.job.inspection_paper import inspection_sheet
from cagewright.job.opening import open_job
from commands import typed

JOB = open_job(Path(__file__).parents[3] / "examples" / "brackwater.yaml")
BOOK = "fia-253-2009"


def rows_of(answer: InspectionAnswer) -> dict[str, Any]:
    return {row.rule: row for station in answer.stations for row in station.rows}


@pytest.mark.parametrize("name", book_ids())
def test_every_clause_is_looked_at_once_in_the_order_of_the_walk(name: str):
    answer = inspection_of(name)
    rules = [rule.id for rule in built_in(name).rules]
    told = [row.rule for station in answer.stations for row in station.rows]
    assert sorted(told) == sorted(rules)
    walk = [station for station, _ in STATIONS]
    assert [s.name for s in answer.stations] == [n for n in walk if n in {s.name for s in answer.stations}]
    for station in answer.stations:
        places = [rules.index(row.rule) for row in station.rows]
        assert places == sorted(places), "within a place the book's own order"
        assert all(row.what and row.tool and row.limit for row in station.rows)
    assert len(answer.open_points) == len(rules), "a blank sheet leaves everything open"


def test_a_clause_of_one_kind_of_tube_is_looked_at_where_that_tube_is():
    at = {row.rule: station.name for station in inspection_of(BOOK).stations for row in station.rows}
    rules = {rule.id: rule for rule in built_in(BOOK).rules}
    for role, place in (("doorbar", "At each door"), ("backstay", "From the rear: backstays")):
        of_it = [id for id, rule in rules.items() if {*(rule.members or rule.joints_of)} == {role}]
        assert of_it
        assert place in {at[id] for id in of_it}


@pytest.mark.slow
def test_a_plan_fills_in_what_is_planned_and_its_verdict():
    rows = rows_of(inspection_of(BOOK, JOB))
    worst = {row.rule: row for row in reversed(findings(JOB).rows) if row.book == BOOK}
    for name, row in rows.items():
        assert row.verdict == worst[name].verdict
    assert rows["backstay-angle"].planned
    other = inspection_of("uk-ncr-2026", JOB)
    assert any(row.planned for row in rows_of(other).values()), "a book that is asked for, named or not"


def row(text: str, certainty: str = "read"):
    head = '[book]\nid = "t"\ntitle = "t"\nedition = "1"\nsource = "s"\n[[rule]]\nid = "r"\nclause = "1"\n'
    return parse_book(
        f'{head}title = "t"\nsource = "s"\ncertainty = "{certainty}"\n{text}\n', "t.toml"
    ).rules[0]


ANGLE = 'measure = "angle from vertical"\nmembers = ["backstay"]\nat_least = "30 deg"'
SIZE = 'measure = "tube size"\nmembers = "cage"\nsizes = ["45 x 2.5 mm", "50 x 2.0 mm"]'
PLATE = 'measure = "foot plate thickness"\nfeet_of = "cage"\nat_least = "3 mm"'
STRAIGHT = 'measure = "straight"\nmembers = ["backstay"]'
COUNT = 'measure = "foot bolts"\nfeet_of = "cage"\nat_least = 3'


@pytest.mark.parametrize(
    ("text", "said", "verdict"),
    [
        (ANGLE, "33 deg", "pass"),
        (ANGLE, "28 deg", "fail"),
        (ANGLE, "30.5 deg", "cannot tell"),  # a protractor reads to 1 degree
        (SIZE, "45 x 2.5 mm", "pass"),
        (SIZE, "44.8 x 2.3 mm", "pass"),  # within what a 45 x 2.5 tube may be made at
        (SIZE, "44.5 x 2.5 mm", "fail"),
        (SIZE, "50 x 1.7 mm", "fail"),
        (SIZE, "1 3/4 x 0.095 in", "fail"),  # 44.45 mm, which neither size of this row covers
        (PLATE, "2.9 mm", "pass"),
        (PLATE, "2.5 mm", "fail"),
        (STRAIGHT, True, "pass"),
        (STRAIGHT, "no", "fail"),
        (COUNT, 3, "pass"),
        (COUNT, 2, "fail"),
    ],
)
def test_a_reading_is_judged_by_the_row(text: str, said: Any, verdict: Verdict):
    assert inspected(row(text), said).verdict == verdict


def test_a_figure_from_memory_judges_no_reading():
    assert inspected(row(ANGLE, "memory"), "28 deg").verdict == "looks broken"
    assert inspected(row(ANGLE, "memory"), "40 deg").verdict == "looks kept"


@pytest.mark.parametrize(
    ("text", "said"),
    [(ANGLE, "120 mm"), (ANGLE, 30), (SIZE, "45 mm"), (SIZE, True), (STRAIGHT, "33 deg"), (PLATE, 3)],
)
def test_a_reading_of_the_wrong_kind_is_refused(text: str, said: Any):
    with pytest.raises(QuantityError):
        inspected(row(text), said)


def test_every_mistake_in_a_readings_file_is_told_with_line_and_word(tmp_path: Path):
    path = tmp_path / "car.yaml"
    path.write_text("readings:\n  backstay-angle: 33 deg\n  main-lean: 120 mm\n  backstay-strait: yes\n")
    with pytest.raises(ProblemsFound) as raised:
        inspection_of(BOOK, readings=path)
    lean, strait = raised.value.problems
    assert (lean.where.line, "120 mm" in lean.found) == (3, True)
    assert (strait.where.line, strait.nearest) == (4, "backstay-straight")
    path.write_text("reading: 3\n")
    with pytest.raises(ProblemsFound):
        inspection_of(BOOK, readings=path)


@pytest.mark.slow
def test_readings_close_points_and_a_broken_one_ends_with_code_1(tmp_path: Path):
    path = tmp_path / "car.yaml"
    path.write_text("readings:\n  backstay-angle: 45 deg\n  main-tube: 40 x 2.0 mm\n")
    answer = inspection_of(BOOK, readings=path)
    rows = rows_of(answer)
    assert (rows["main-tube"].reading, rows["main-tube"].verdict) == ("40 x 2.0 mm", "fail")
    assert rows["backstay-angle"].verdict in {"pass", "looks kept"}
    assert len(answer.open_points) == len(rows) - 1
    ended = typed("inspect", BOOK, "--readings", path, "-o", tmp_path / "i.pdf")
    assert ended.returncode == 1
    assert "40 x 2.0 mm" in ended.stdout
    assert (tmp_path / "i.pdf").read_bytes().startswith(b"%PDF")


def test_the_sheet_has_a_box_for_each_reading_that_was_not_taken():
    blank = inspection_sheet(inspection_of(BOOK))
    cells = [r for t in blank.tables if len(t.columns) == 8 for r in t.rows]
    assert len(cells) == len(built_in(BOOK).rules)
    assert all(set(r[6]) == {"_"} and r[7] == "☐" for r in cells)
