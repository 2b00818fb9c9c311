"""The answer of the rule books and checks: what it says, and that page, command and paper say the same."""

import json
import re
from dataclasses import replace
from pathlib import Path

import pytest
from typer.testing import CliRunner

from cagewright.base.answers import Value
from cagewright.base.cache import Cache
from cagewright.base.plain import plain
from cagewright.base.sheet import Table
from cagewright.check.findings import WORST_FIRST, Finding, Location, Verdict
from cagewright.check.sight.paper import sight_sheet
from cagewright.cli.app import command_line
from cagewright.job.findings import (
    FindingsAnswer,
    book_findings,
    checks_work,
    findings,
    own_findings,
    reader_of,
    rule_findings,
)
from cagewright.job.findings import _answer as answer_of
from cagewright.job.findings_paper import (
    MOST_PICTURES,
    every_finding_sheet,
    findings_tables,
    pictures,
    places_of,
    ticks_table,
)
from cagewright.job.opening import Job, job_of, open_job
from cagewright.job.papers import sheets_of
from cagewright.plan.text import parse
from kept import KEPT

EXAMPLES = Path(__file__).parents[3] / "examples"
pytestmark = pytest.mark.usefixtures("kept_answers")
DEMOS = ("brackwater.yaml", "brackwater-inch.yaml")
JOB = open_job(EXAMPLES / "brackwater.yaml", KEPT)


def finding(rule: str, verdict: Verdict, **where: tuple[str, ...]) -> Finding:
    return Finding(
        rule=rule,
        judge="by the book",
        book="book",
        edition="1",
        clause="1.1",
        title=f"asks {rule}",
        verdict=verdict,
        measured=None,
        limit="at least 3",
        where=Location(**where),  # type: ignore[arg-type]
        known="read",
        advice="do this",
    )


FOUND = (
    finding("a", "fail", members=("header",)),
    finding("a", "fail", members=("main_hoop",)),
    finding("b", "looks broken", joints=("backstay_left.start",)),
    finding("c", "cannot tell", feet=("hoop_left",)),
    finding("d", "pass", members=("header",)),
)
ANSWER = answer_of(JOB, FOUND)


# ---------------------------------------------------------------- the answer


def test_the_answer_counts_each_finding_once_and_says_how_it_stands():
    counts = {(c.judge, c.verdict): c.number for c in ANSWER.counts}
    assert sum(counts.values()) == len(ANSWER.rows) == 5
    assert counts["by the book", "fail"] == 2
    assert (
        ANSWER.headline == "rule books: 2 fail, 1 looks broken, 1 you must supply; own checks: none checked"
    )
    assert (ANSWER.level, ANSWER.failed) == ("fail", True)
    assert (answer_of(JOB, FOUND[2:]).level, answer_of(JOB, FOUND[2:]).failed) == ("look at", False)
    assert answer_of(JOB, ()).level == "fine"


def test_names_are_read_with_spaces_and_keys_of_the_plan_are_not():
    read = reader_of(JOB.cage)
    assert read("move main_hoop, cut at backstay_left.start, near roof_centre") == (
        "move main hoop, cut at backstay left start, near roof centre"
    )
    assert read("give driver: hip and back_angle") == "give driver: hip and back_angle"
    assert ANSWER.rows[1].where.words == "main hoop"
    assert ANSWER.rows[1].where.members == ("main_hoop",)


def test_a_findings_id_stays_after_a_change_elsewhere():
    text = JOB.path.read_text().replace("{on: front_leg_left, up: 700}", "{on: front_leg_left, up: 705}")
    other = job_of(parse(text, file="p.yaml"), JOB.path)
    assert other.cage.revision != JOB.cage.revision
    assert {r.id for r in book_findings(JOB).rows} == {r.id for r in book_findings(other).rows}
    ids = [row.id for row in findings(JOB).rows]
    assert len(ids) == len(set(ids))


def test_two_findings_alike_are_told_apart():
    rows = answer_of(JOB, (FOUND[0], FOUND[0])).rows
    assert [row.id for row in rows] == ["book:a:header", "book:a:header#2"]


@pytest.mark.parametrize(
    ("where", "axis", "value"),
    [
        (Location(point=(1.0, 2.0, 3.0), members=("header",)), 0, 1.0),
        (Location(members=("dash_bar",)), 1, 0.0),
        (Location(feet=("stay_left",)), 0, 2300.0),
        (Location(members=("main_hoop",), part="bend 1"), 2, 780.0),  # its first bend is at the waist
    ],
)
def test_a_finding_has_a_place_for_its_mark(where: Location, axis: int, value: float):
    point = answer_of(JOB, (replace(FOUND[0], where=where),)).rows[0].where.point
    assert point is not None
    assert point[axis] == pytest.approx(value, abs=30.0)
    assert answer_of(JOB, (replace(FOUND[0], where=Location()),)).rows[0].where.point is None


def test_joints_and_feet_lead_to_tubes():
    assert ANSWER.rows[2].where.tubes == ("backstay_left",)
    assert ANSWER.rows[3].where.tubes == ("main_hoop",)
    assert answer_of(JOB, (finding("x", "fail", members=("no_such_tube",)),)).rows[0].where.tubes == ()


@pytest.mark.parametrize("demo", DEMOS)
def test_only_books_that_the_plan_names_judge(demo: str):
    job = open_job(EXAMPLES / demo)
    named = {*findings(job).books, "belt-maker-sheet", "fia-253-6.2-2013"}  # the last is its book's for belts
    assert {row.book for row in findings(job).rows if row.judge == "by the book"} == named


def test_a_book_that_is_changed_judges_anew(tmp_path: Path):
    book = tmp_path / "own.toml"
    ask = (
        '[book]\nid = "own"\ntitle = "Own"\nedition = "1"\nsource = "s"\n[[rule]]\nid = "r"\nclause = "1"\n'
        'title = "t"\ncertainty = "read"\nsource = "s"\n'
        'measure = "bend radius"\nmembers = "cage"\nat_least = 3\n'
    )
    book.write_text(ask)
    plan = (EXAMPLES / "roll-bar.yaml").read_text().replace("scca-time-trials-2026", "own.toml")
    job = job_of(
        parse(plan.replace("shop: brackwater.shop.yaml", ""), file="plan.yaml"), tmp_path / "plan.yaml"
    )
    verdict = {row.rule: row.verdict for row in findings(job).rows}["r"]
    book.write_text(ask.replace("at_least = 3", "at_least = 300"))
    assert verdict != "fail"
    assert {row.rule: row.verdict for row in findings(job).rows}["r"] == "fail"
    assert any("fail" in one.title for one in sheets_of(job) if one.kind == "findings")


METRIC = re.compile(r"\b(mm|cm|m|cm2|cm²|N|kN|J|kg|MPa|N m)\b")


def test_an_inch_plan_is_said_in_inches_but_for_what_the_books_write():
    """Limits and titles quote the book, with the builder's units behind; all else is ours."""
    for row in findings(open_job(EXAMPLES / "brackwater-inch.yaml")).rows:
        for text in (row.why, row.advice, row.measured.said if row.measured else ""):
            assert not METRIC.search(text), (row.rule, text)
        if row.judge == "own check" and METRIC.search(row.limit):
            assert "Rules" in row.limit, (row.rule, row.limit)


# ---------------------------------------------------------------- page, command and paper


def from_command(path: Path) -> FindingsAnswer:
    ended = CliRunner().invoke(command_line(["check"]), ["check", str(path), "--json"])
    return json.loads(ended.stdout)


@pytest.mark.parametrize("demo", [DEMOS[0], pytest.param(DEMOS[1], marks=pytest.mark.slow)])
def test_page_command_and_paper_say_the_same(demo: str):
    job = open_job(EXAMPLES / demo)
    answer = findings(job)
    told = json.loads(json.dumps(plain(answer)))
    assert from_command(job.path) == told
    assert json.loads(json.dumps(plain(book_findings(job))))["rows"] == [
        row for row in told["rows"] if row["id"] in {r.id for r in book_findings(job).rows}
    ]
    paper = every_finding_sheet(job.cage, answer, fold=False)
    assert paper.title == f"Every finding: {answer.headline}"
    cells = {cell for table in paper.tables for row in table.rows for cell in row}
    for row in answer.rows:
        assert {row.source or "–", row.title} <= cells
        assert any(row.measured is None or row.measured.said in cell for cell in cells)


def test_every_row_is_in_the_papers_tables_once_with_its_verdict():
    answer = findings(JOB)
    assert ticks_table(answer).rows
    by_title = {table.title: table for table in findings_tables(answer, fold=False)}
    assert len(by_title) == len({(row.verdict, row.judge) for row in answer.rows})
    kept = by_title["Looks kept: read the book (rule books)"]
    wanted = {
        (r.source, r.title) for r in answer.rows if (r.verdict, r.judge) == ("looks kept", "by the book")
    }
    assert {row[:2] for row in kept.rows} == wanted


@pytest.mark.slow
def test_the_quick_and_the_slow_answer_are_the_whole():
    told: list[str] = []
    fresh = Job(path=JOB.path, plan=JOB.plan, shop=JOB.shop, cage=JOB.cage, cache=Cache())
    slow = checks_work(fresh, {}, lambda doing, share: told.append(doing))
    assert "torch access" in told
    assert slow == plain(own_findings(JOB))
    assert len(book_findings(JOB).rows) == len(rule_findings(JOB))
    assert len(book_findings(JOB).rows) + len(slow["rows"]) == len(findings(JOB).rows)
    verdicts = [row.verdict for row in findings(JOB).rows]
    assert verdicts == sorted(verdicts, key=WORST_FIRST.index)


# ---------------------------------------------------------------- the paper


def tables() -> tuple[Table, ...]:
    return every_finding_sheet(JOB.cage, ANSWER).tables[1:]


def test_each_verdict_has_its_table_and_each_finding_one():
    assert [t.title for t in tables()] == [
        "Fails (rule books)",
        "Looks broken: read the book (rule books)",
        "Cannot tell (rule books)",
        "Passes (rule books)",
    ]
    assert tables()[0].rows == (("1.1 (book)", "asks a", "at least 3", "header, main hoop", "see no. 1"),)


def reading(member: str, said: str, **more: object) -> Finding:
    told = replace(finding("a", "pass", members=(member,)), measured=Value(value=1.0, unit="mm", said=said))
    return replace(told, advice="", **more)  # type: ignore[arg-type]


def folded(*found: Finding) -> tuple[tuple[str, ...], ...]:
    (table,) = findings_tables(answer_of(JOB, found), fold=True)
    return table.rows


def test_a_clause_stands_once_with_its_readings_below_each_other():
    three = (reading("roof_left", "3 mm"), reading("roof_right", "3 mm"), reading("header", "5 mm"))
    ((clause, title, wanted, said),) = folded(*three)
    assert (clause, title, wanted) == ("1.1 (book)", "asks a", "at least 3")
    assert said == "roof left and right: 3 mm\nheader: 5 mm"
    (table,) = findings_tables(answer_of(JOB, three), fold=False)
    assert len(table.rows) == 3


def test_a_reason_shared_by_all_is_said_once_and_a_tube_named_in_the_reading_is_not_named_again():
    (row,) = folded(
        reading("header", "header meets main hoop", why="assumed; by eye"),
        reading("dash_bar", "dash bar meets main hoop", why="assumed"),
    )
    assert row[3:] == ("header meets main hoop\ndash bar meets main hoop", "assumed; by eye")
    ((*_, said),) = folded(reading("header", "header is 3 mm"), reading("dash_bar", "header is 3 mm"))
    assert said == "header, dash bar: header is 3 mm"


def test_both_sides_are_one_place_and_the_rest_is_counted():
    sides = [f"{name} {side}" for name in "abcdef" for side in ("left", "right")]
    assert places_of(sides, fold=True) == "a left and right, b left and right, c left and right and 6 more"
    assert places_of(sides[:10], fold=True).endswith("e left and right")


def test_what_to_do_is_said_once_and_elsewhere_its_number():
    rows = [row for table in findings_tables(findings(JOB), fold=True) for row in table.rows]
    told = {row[-1] for row in rows if row[-1].startswith("see no. ")}
    assert {f"see no. {n}" for n in range(1, len(findings(JOB).actions) + 1)} == told


def test_pictures_show_where_it_fails_or_looks_broken():
    drawn = pictures(JOB.cage, ANSWER)
    assert [d.title for d in drawn] == ["fail: asks a", "looks broken: asks b"]
    assert all("wrong" in {s.layer for s in d.strokes} for d in drawn[:1])
    assert all("selected" in {s.layer for s in d.strokes} for d in drawn[1:])


def test_there_are_never_too_many_pictures():
    many = tuple(finding(f"r{i}", "fail", members=("header",)) for i in range(20))
    assert len(pictures(JOB.cage, answer_of(JOB, many))) == MOST_PICTURES


@pytest.mark.parametrize(("fold", "said"), [(True, "a, b, c and 4 more"), (False, "a, b, c, d, e, f, g")])
def test_many_places_are_folded_on_paper_only(fold: bool, said: str):
    assert places_of("abcdefg", fold=fold) == said


@pytest.mark.slow  # whole papers, with their pushes
def test_the_findings_are_the_last_of_the_papers():
    assert [s.title for s in sheets_of(JOB)[-2:]] == [
        f"Findings: {findings(JOB).headline}",
        f"Every finding: {findings(JOB).headline}",
    ]


def test_the_sight_paper_names_what_stands_in_view():
    sheet = sight_sheet(JOB.cage)
    assert sheet is not None
    names = {row[0] for row in sheet.tables[0].rows}
    assert {"front leg left", "pillar brace left"} <= names
    assert all(row[3].endswith("°") for row in sheet.tables[0].rows)
