"""A body with a file of its own on the page: asked whose it is, changed there, taken back there."""

from pathlib import Path

import pytest
import yaml

from bodies import BODIES, survey
from cagewright.plan.survey import OF_THE_BODY, read_survey
from cagewright.plan.survey_text import survey_text
from deskside import Bench

BODY = "saloon.body.yaml"
TYPED = {"reading": "hoop_station", "part": "", "texts": ["1612"]}


@pytest.fixture
def shared(folder: Path) -> Path:
    """A body, and two jobs on it."""
    whole = yaml.safe_load(survey_text(survey(BODIES["saloon"])))
    body = {key: whole[key] for key in OF_THE_BODY if key in whole}
    (folder / BODY).write_text(yaml.safe_dump({"cagewright_body": 1, "title": "shell 3", **body}))
    for name in ("one", "two"):
        mine = {key: value for key, value in whole.items() if key not in OF_THE_BODY}
        (folder / f"{name}.yaml").write_text(yaml.safe_dump({**mine, "title": name, "body": BODY}))
    return folder


def put(bench: Bench, id: str, **more):
    mark = bench.get(f"/api/surveys/{id}").json()["mark"]
    return bench.client.put(f"/api/surveys/{id}/reading", json={**TYPED, "mark": mark, **more})


def test_whose_body_it_is_is_asked_before_it_is_changed(bench: Bench, shared: Path):
    bench.post("/api/surveys/one/draft", {"name": "first"})
    before = (shared / BODY).read_bytes()
    asked = put(bench, "one")
    assert asked.status_code == 409
    assert asked.json()["asks"]["surveys"] == ["two.yaml"]
    assert asked.json()["asks"]["plans"] == ["one"]
    assert (shared / BODY).read_bytes() == before
    assert put(bench, "one", trial=True).status_code == 200  # trying changes nothing, and asks nothing
    assert (shared / BODY).read_bytes() == before


def test_a_reading_goes_into_the_bodys_file_for_all_that_name_it(bench: Bench, shared: Path):
    one = (shared / "one.yaml").read_bytes()
    shown = put(bench, "one", sure=True).json()
    assert "hoop_station: 1612 mm" in (shared / BODY).read_text()
    assert (shared / "one.yaml").read_bytes() == one
    assert read_survey(shared / "two.yaml").file.readings["hoop_station"][""] == (1612.0,)
    assert "1612" in shown["undo"]


def test_a_change_of_the_body_is_taken_back_and_done_again(bench: Bench, shared: Path):
    before = (shared / BODY).read_bytes()
    mark = put(bench, "one", sure=True).json()["mark"]
    back = bench.post("/api/surveys/one/undo", {"mark": mark}).json()
    assert (shared / BODY).read_bytes() == before
    bench.post("/api/surveys/one/redo", {"mark": back["mark"]})
    assert "hoop_station: 1612 mm" in (shared / BODY).read_text()


def test_a_change_elsewhere_in_the_body_is_noticed(bench: Bench, shared: Path):
    mark = bench.get("/api/surveys/one").json()["mark"]
    assert put(bench, "two", sure=True).status_code == 200
    late = bench.client.put("/api/surveys/one/reading", json={**TYPED, "sure": True, "mark": mark})
    assert late.status_code == 412


def test_a_body_is_shown_by_itself_with_no_wishes_and_no_draft(bench: Bench, shared: Path):
    shown = bench.get("/api/surveys/saloon-body").json()
    assert "a body with no job on it" in shown["headline"]
    assert (shown["car"], shown["wishes"]) == ([], [])
    assert put(bench, "saloon-body").json()["asks"]["surveys"] == ["one.yaml", "two.yaml"]
    assert bench.client.post("/api/surveys/saloon-body/draft", json={"name": "x"}).status_code >= 400
    assert bench.get("/api/plans/plan/shell").json()["survey"] is None


def test_the_next_car_is_given_its_file_and_told_what_its_readings_say(bench: Bench, shared: Path):
    told = bench.get("/api/surveys/one/next").json()
    assert told["found"]["verdict"] == ""
    assert {one["file"] for one in told["cars"]} == {"two.yaml", BODY}
    made = bench.post("/api/surveys/one/next", {"name": "Second shell"}).json()
    assert made["id"] == "second-shell-body"
    assert "cagewright_body: 1" in (shared / "second-shell-body.yaml").read_text()
    same = bench.get("/api/surveys/one/next?car=two").json()["found"]
    assert same["verdict"] == "the same"
    assert bench.get("/api/surveys/one/next?car=nobody").status_code == 404
