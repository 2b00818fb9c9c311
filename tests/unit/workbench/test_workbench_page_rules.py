"""The Rules page: every finding as it is judged, and the books chosen by an edit of the plan."""

import json
from pathlib import Path

from typer.testing import CliRunner

from cagewright.base.plain import plain
from cagewright.cli.app import command_line
from cagewright.job.findings import findings
from cagewright.job.opening import open_job
from deskside import Bench

CAR = "car: {mass: 1080 kg, rules: [fia-253-2009]}   # weighed in May\n"


def with_car(folder: Path) -> None:
    plan = folder / "plan.yaml"
    plan.write_text(plan.read_text().replace("tubes:\n", f"{CAR}tubes:\n", 1))


def test_the_findings_are_those_of_the_job_worst_first(bench: Bench, folder: Path):
    with_car(folder)
    shown = bench.get("/api/plans/plan/rules").json()
    found = findings(open_job(folder / "plan.yaml"))
    assert shown["answer"] == json.loads(json.dumps(plain(found)))
    assert "Not a certificate" in shown["answer"]["cautions"][0]


def test_a_finding_names_the_tubes_it_is_about(bench: Bench, folder: Path):
    with_car(folder)
    for finding in bench.get("/api/plans/plan/rules").json()["answer"]["rows"]:
        where = finding["where"]
        assert set(where["tubes"]) <= {"main_hoop", "diagonal"}
        assert set(where["members"]) <= set(where["tubes"])
        if where["feet"]:
            assert "main_hoop" in where["tubes"]


def test_choosing_books_is_an_edit_that_keeps_the_comments_and_can_be_undone(bench: Bench, folder: Path):
    with_car(folder)
    before = (folder / "plan.yaml").read_text()
    number = bench.state()["number"]
    answer = bench.post("/api/plans/plan/rules/books", {"books": ["uk-yearbook-k-2018"]}, number)
    assert answer.status_code == 200
    assert answer.json()["state"]["undo"] == "answers to uk-yearbook-k-2018"
    now = (folder / "plan.yaml").read_text()
    assert "rules: [uk-yearbook-k-2018]}   # weighed in May" in now
    shown = bench.get("/api/plans/plan/rules").json()
    assert shown["answer"]["books"] == ["uk-yearbook-k-2018"]
    bench.post("/api/plans/plan/undo", number=answer.json()["state"]["number"])
    assert (folder / "plan.yaml").read_text() == before


def test_a_book_beside_the_plan_can_be_chosen(bench: Bench, folder: Path):
    from cagewright.check.house import new_book

    with_car(folder)
    new_book(folder / "club.toml", "Marsh club 2026")
    offered = {book["id"] for book in bench.get("/api/plans/plan/rules").json()["books"]}
    assert {"club.toml", "fia-253-2009"} <= offered
    number = bench.state()["number"]
    answer = bench.post("/api/plans/plan/rules/books", {"books": ["fia-253-2009", "club.toml"]}, number)
    assert answer.status_code == 200
    books = {f["book"] for f in bench.get("/api/plans/plan/rules").json()["answer"]["rows"]}
    assert "fia-253-2009" in books


def test_no_other_file_can_be_named_as_a_book(bench: Bench, folder: Path):
    with_car(folder)
    before = (folder / "plan.yaml").read_text()
    number = bench.state()["number"]
    for name in ("../club.toml", "/etc/passwd.toml", "no-such-book"):
        answer = bench.post("/api/plans/plan/rules/books", {"books": [name]}, number)
        assert answer.status_code == 400
    assert (folder / "plan.yaml").read_text() == before


def test_a_choice_made_at_an_older_revision_is_not_taken(bench: Bench, folder: Path):
    with_car(folder)
    number = bench.state()["number"]
    bench.edit({"move": {"members": "diagonal", "places": 1, "up": 320}})
    late = bench.post("/api/plans/plan/rules/books", {"books": []}, number)
    assert late.status_code == 412
    assert late.json()["state"]["number"] == number + 1
    assert bench.post("/api/plans/plan/rules/books", {"books": []}).status_code == 428


def test_a_plan_with_problems_shows_the_last_cage_that_could_be_read(bench: Bench, folder: Path):
    good = bench.get("/api/plans/plan/rules").json()
    plan = folder / "plan.yaml"
    plan.write_text(plan.read_text().replace("up: 300", "up: three hundred"))
    bench.desk.opened("plan").look()
    assert bench.state()["problems"]
    shown = bench.get("/api/plans/plan/rules").json()
    assert shown["answer"]["revision"] == good["answer"]["revision"]


def test_a_plan_that_was_never_read_is_not_called_checked(bench: Bench, folder: Path):
    (folder / "broken.yaml").write_text("cagewright: 1\ntitle: Broken\nmembers: {a: 3}\n")
    shown = bench.get("/api/plans/broken/rules").json()
    assert shown["answer"] is None
    for page in ("shell", "cut", "papers"):
        assert bench.get(f"/api/plans/broken/{page}").status_code == 200


SEAT = """seat: {travel: [-30, 30], holes: [[0, 0], [0, 15]]}
driver: {stature: 1790 mm, hip: [-290, -330, 265], back_angle: 22 deg}
"""


def test_who_sits_in_it_is_told_as_the_command_tells_it(bench: Bench, folder: Path):
    plan = folder / "plan.yaml"
    plan.write_text(plan.read_text().replace("tubes:\n", f"{SEAT}tubes:\n", 1))
    bench.desk.opened("plan").look()
    (shown,) = bench.get("/api/plans/plan/rules/drivers").json()["drivers"]
    app = command_line(["drivers"])
    command = CliRunner().invoke(app, ["drivers", str(plan), "--json"]).stdout
    assert [shown] == json.loads(command)
    words = CliRunner().invoke(app, ["drivers", str(plan)]).stdout
    assert shown["headline"] in words
    assert all(table["title"] in words for table in shown["tables"])
    titles = [table["title"].split(",")[0] for table in shown["tables"]]
    assert titles == ["Ranges", "Holes", "With the driver in"]
    ranges, holes, sit = (table["rows"] for table in shown["tables"])
    assert [(r[0], r[1], r[3]) for r in ranges] == [
        (r["what"], r["low"]["said"], r["high"]["said"]) for r in shown["rows"]
    ]
    assert [row[1] for row in holes] == [str(h["hole"]) for h in shown["holes"]]
    assert len(sit) == len(shown["sit"]) > 0
    template = bench.get("/api/plans/plan/rules/drivers/driver.svg")
    assert template.text.startswith("<svg")
    assert "attachment" in template.headers["content-disposition"]
    assert bench.get("/api/plans/plan/rules/drivers/nobody.svg").status_code == 404


def test_a_plan_that_seats_nobody_has_nobody_to_tell_of(bench: Bench):
    assert bench.get("/api/plans/plan/rules/drivers").json() == {"drivers": []}
    assert bench.get("/api/plans/plan/rules/drivers/driver.svg").status_code == 404
