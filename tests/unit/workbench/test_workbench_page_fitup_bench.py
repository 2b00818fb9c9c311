"""What to join on the bench, on the Fit-up page: as the command says it, kept, a picture after each move."""

import json
from pathlib import Path

import pytest
from typer.testing import CliRunner

from cagewright.base.problems import ProblemsFound
from cagewright.cli import bench_first as command
from cagewright.cli.app import command_line
from cagewright.job.opening import open_job
from cagewright.workbench.pages.fitup_bench import bench_first_work
from deskside import Bench

AT = "/api/plans/brackwater/fitup/bench-first"
DOOR = "door_opening_left"
SAID = """bench_first:
  tubes: [main_hoop, diagonal_hoop, backstay_left]
  clamps: {low: {on: main_hoop, side: left, up: 300}, other: {on: main_hoop, side: right, up: 300}}
"""


@pytest.fixture
def plan(shop: Path) -> Path:
    """The demo, saying itself what is joined on the bench."""
    path = shop / "brackwater.yaml"
    path.write_text(path.read_text(encoding="utf-8").replace("members:\n", f"{SAID}members:\n", 1))
    return path


def test_the_page_says_what_the_command_says(plan: Path, desk: Bench, monkeypatch: pytest.MonkeyPatch):
    assert desk.get(AT).json()["found"] is None
    job = open_job(plan)
    told = bench_first_work(job, {"door": DOOR}, lambda doing, share: None)
    page = desk.get(AT).json()
    found = page["found"]
    # not searched, as nothing asked for it: the plan says what is joined
    assert (found["said"], found["tried"]) == (True, 0)
    assert found["revision"] == page["revision"] == job.cage.revision
    # the command with what is known already: the way in is looked for once
    monkeypatch.setattr(command, "open_job", lambda path: job)
    app, asked = command_line(["bench-first"]), ["bench-first", str(plan), "--door", DOOR]
    as_json = json.loads(CliRunner().invoke(app, [*asked, "--json"]).stdout)
    assert {key: found[key] for key in as_json} == as_json
    assert told["headline"] == as_json["headline"]
    words, work = CliRunner().invoke(app, asked).stdout, found["work"]
    for said in (found["headline"], *work["notes"], *(m["said"] for m in found["passage"]["moves"])):
        assert said in words
    tables = {t["title"]: t["rows"] for t in work["tables"]}
    assert all(title in words for title in tables)
    assert [m["number"] for m in found["passage"]["moves"]] == list(range(1, len(found["pictures"]) + 1))
    assert desk.get(f"{AT}/1.svg").text == found["pictures"][0]
    assert desk.get(f"{AT}/99.svg").status_code == 404
    # what is left open is told with why, and of the ends those that want something done
    assert {row[1] for row in tables["Welds"]} == {"welded", "tacked"}
    assert all(row[6] != "–" for row in tables["Welds"] if row[1] == "tacked")
    wanting = [e for e in work["ends"] if e["level"] != "fine"]
    assert [row[0] for row in tables["When it stands in the car"]] == [e["words"] for e in wanting]
    assert len(wanting) < len(work["ends"])


def test_an_opening_that_is_not_there_is_told(plan: Path):
    with pytest.raises(ProblemsFound, match="no measured line"):
        bench_first_work(open_job(plan), {"door": "boot"}, lambda doing, share: None)
