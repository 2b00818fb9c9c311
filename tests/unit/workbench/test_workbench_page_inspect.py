"""The Inspect page: a car planned here or not, its readings in the shop's record, and the report."""

from pathlib import Path
from typing import Any

import pytest

from cagewright.job.inspection import inspection_in, inspection_of
from cagewright.records.jobs import history
from cagewright.records.opening import opened
from commands import typed
from deskside import Bench

pytestmark = pytest.mark.usefixtures("kept_answers")

PLANNED = "/api/plans/brackwater/inspect"
BLANK = "/api/inspect"
BOOK = "fia-253-2020"


def shown(desk: Bench, at: str = BLANK, **asked: str) -> dict[str, Any]:
    return desk.get(at, params={"book": BOOK, **asked}).json()


def rows_of(answer: dict[str, Any]) -> dict[str, Any]:
    return {row["rule"]: row for station in answer["stations"] for row in station["rows"]}


def start(desk: Bench, at: str = BLANK, **more: str) -> None:
    assert desk.post(f"{at}/jobs", {"name": "red hatch", "by": "Jo", **more}).status_code == 201


def keep(desk: Bench, row: str, says: str, at: str = BLANK) -> Any:
    return desk.post(
        f"{at}/readings", {"job": "red hatch", "by": "Jo", "book": BOOK, "row": row, "says": says}
    )


def test_a_car_that_is_not_planned_here_is_looked_at_blank(desk: Bench, shop: Path):
    assert desk.get("/inspect").status_code == 200
    assert desk.get(BLANK).json()["answer"] is None, "no book is chosen yet"
    found = shown(desk)["answer"]
    assert len(found["open_points"]) == len(rows_of(found)) > 50
    assert not (shop / "record.sqlite").exists()


def test_of_a_plan_the_first_book_it_names_is_filled_in(desk: Bench):
    found = desk.get(PLANNED).json()
    assert found["book"] == "fia-253-2009"
    assert any(row["planned"] for row in rows_of(found["answer"]).values())


@pytest.mark.parametrize("at", [BLANK, PLANNED])
def test_a_reading_is_judged_by_its_row_kept_and_taken_back(desk: Bench, shop: Path, at: str):
    start(desk, at)
    planned = rows_of(shown(desk, at)["answer"])["backstay-angle"]["verdict"]
    assert keep(desk, "backstay-angle", "24", at).json()["says"] == "24 deg", (
        "a bare figure has the tape's unit"
    )
    row = rows_of(shown(desk, at)["answer"])["backstay-angle"]
    assert (row["reading"], row["verdict"], row["by"]) == ("24 deg", "fail", "Jo")
    with opened(shop / "record.sqlite") as record:
        (line,) = history(record, "red hatch").entries
        assert (line.kind, line.subject, line.other, line.text) == (
            "inspection",
            "backstay-angle",
            BOOK,
            "24 deg",
        )
        assert (line.revision_uid is None) == (at == BLANK), (
            "with the plan it was read on, where there is one"
        )
    keep(desk, "backstay-angle", "33 deg", at)
    row = rows_of(shown(desk, at)["answer"])["backstay-angle"]
    assert row["verdict"] == "pass", "the newest reading counts"
    assert (
        desk.post(f"{at}/withdraw", {"job": "red hatch", "by": "Jo", "line": row["line"]}).status_code == 200
    )
    assert rows_of(shown(desk, at)["answer"])["backstay-angle"]["reading"] == "24 deg"
    assert planned == ("" if at == BLANK else "pass")


@pytest.mark.parametrize(
    ("row", "says", "word"),
    [
        ("main-tube", "blue", "no tube size"),
        ("backstay-angle", "120 mm", "no unit of angle"),
        ("backstay-straight", "rather", "neither yes nor no"),
        ("backstay-strait", "yes", "is no row"),
    ],
)
def test_a_reading_of_the_wrong_kind_is_told_with_row_and_word_and_not_kept(
    desk: Bench, shop: Path, row: str, says: str, word: str
):
    start(desk)
    answer = keep(desk, row, says)
    assert answer.status_code == 422
    assert row in answer.json()["error"]
    assert word in answer.json()["error"]
    with opened(shop / "record.sqlite") as record:
        assert history(record, "red hatch").entries == ()


def test_an_inch_shops_bare_figure_is_in_inches(desk: Bench):
    start(desk, units="in")
    assert keep(desk, "main-tube", "1.75 x 0.095").json()["says"] == "1.75 x 0.095 in"
    row = rows_of(shown(desk)["answer"])["main-tube"]
    assert (row["unit"], row["verdict"]) == ("in", "pass")


def test_readings_of_another_book_and_of_a_planned_car_do_not_mix(desk: Bench):
    start(desk)
    keep(desk, "main-tube", "45 x 2.5 mm")
    other = rows_of(shown(desk, book="fia-253-2009")["answer"])
    assert other["main-tube"]["reading"] == ""
    assert shown(desk, PLANNED)["jobs"] == [], "it is no job of that plan"


def test_the_report_has_the_readings_and_the_open_points(desk: Bench, shop: Path):
    start(desk)
    keep(desk, "main-tube", "40 x 2.0 mm")
    made = desk.get(f"{BLANK}/report.pdf", params={"book": BOOK, "job": "red hatch"})
    assert made.headers["content-type"] == "application/pdf"
    assert made.content.startswith(b"%PDF")
    record = shop / "record.sqlite"
    kept, blank = inspection_in(record.as_posix(), "red hatch", BOOK), inspection_of(BOOK)
    assert len(kept.open_points) == len(blank.open_points), "a broken row stays open"
    ended = typed("inspect", BOOK, "--job", "red hatch", "--record", record)
    assert ended.returncode == 1
    assert "fail, read 40 x 2.0 mm" in ended.stdout.replace("\n", " ")
