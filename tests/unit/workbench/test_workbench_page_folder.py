"""The folder's page: what it lists, the small pictures, and new plans from plain choices."""

from pathlib import Path
from xml.etree import ElementTree

import pytest

from cagewright.job.cutting import work_of
from cagewright.job.folder import KNOWN
from cagewright.job.opening import open_job
from cagewright.make.work import to_see_to
from cagewright.plan.survey import read_survey
from deskside import Bench

START = {"start": "cage", "title": "Marsh saloon", "units": "mm"}


def test_the_plans_are_listed_newest_first_with_what_their_cards_say(bench: Bench, folder: Path):
    (folder / "broken.yaml").write_text("cagewright: 1\ntitle: Broken one\nmembers: {a: 3}\n")
    (folder / "notes.yaml").write_text("just: notes\n")
    listed = bench.get("/api/folder").json()
    assert [plan["title"] for plan in listed["plans"]] == ["Broken one", "Two tubes and a hoop"]
    sound = bench.get("/api/folder/plans/plan").json()
    revision = bench.state()["revision"]
    assert (sound["revision"], sound["members"], sound["problems"]) == (revision, 2, 0)
    assert sound["headline"] == f"2 members, revision {revision}"
    broken = bench.get("/api/folder/plans/broken").json()
    assert broken["problems"] > 0
    assert bench.get("/api/folder/plans/broken/picture.svg").status_code == 404
    assert bench.get("/api/folder/plans/notes").status_code == 404


def test_a_picture_is_an_svg_of_the_cage_and_follows_the_file(bench: Bench, folder: Path):
    first = bench.get("/api/folder/plans/plan/picture.svg")
    assert first.headers["content-type"].startswith("image/svg+xml")
    assert ElementTree.fromstring(first.text).tag.endswith("svg")
    assert bench.edit({"move": {"members": "diagonal", "places": 1, "up": 500}}).status_code == 200
    assert bench.get("/api/folder/plans/plan/picture.svg").text != first.text


def test_a_whole_cage_is_laid_out_from_the_choices(bench: Bench, folder: Path):
    asked = START | {"side": "right", "door": "X", "roof": "diagonal", "book": "fia-253-2009"}
    made = bench.post("/api/folder/plans", asked).json()
    assert made["address"] == "/plans/marsh-saloon/cage"
    job = open_job(folder / "marsh-saloon.yaml")
    roles = [m.role for m in job.cage.members]
    assert roles.count("main rollbar") == 1
    assert roles.count("backstay") == 2
    assert roles.count("roof reinforcement") == 1
    assert job.plan.driver is not None
    assert job.plan.driver.hip[1] > 0.0  # he sits on the right
    assert (
        "In the survey:" not in (folder / "marsh-saloon.yaml").read_text()
    )  # its readings agree all the same
    assert job.plan.car is not None
    assert job.plan.car.rules == ("fia-253-2009",)


def test_a_folder_without_a_shop_is_given_one_that_can_buy_and_bend_the_start(bench: Bench, folder: Path):
    bench.post("/api/folder/plans", START | {"start": "roll bar"})
    job = open_job(folder / "marsh-saloon.yaml")
    assert job.path.parent.joinpath("my-shop.yaml").is_file()
    assert to_see_to(work_of(job)) == ()


def test_a_shop_that_is_there_is_used_and_left_alone(bench: Bench, folder: Path):
    own = "cagewright_shop: 1\nname: Reed Lane\n"
    (folder / "reed.shop.yaml").write_text(own)
    bench.post("/api/folder/plans", START | {"start": "roll bar"})
    assert open_job(folder / "marsh-saloon.yaml").shop.name == "Reed Lane"
    assert (folder / "reed.shop.yaml").read_text() == own
    assert not (folder / "my-shop.yaml").exists()


@pytest.mark.parametrize("start", ["roll bar", "cage"])
def test_a_start_in_inches_reads_in_inches(bench: Bench, folder: Path, start: str):
    bench.post("/api/folder/plans", START | {"start": start, "units": "in"})
    job = open_job(folder / "marsh-saloon.yaml")
    assert job.cage.units == "in"
    x0, x1 = (f([float(foot.point[0]) for foot in job.cage.feet]) for f in (min, max))
    assert 400.0 < x1 - x0 < 3000.0  # still a car: the figures were turned, not only called inches


def test_a_new_survey_is_blank_and_the_title_goes_in_as_text(bench: Bench, folder: Path):
    title = 'Marsh: "the" <b>saloon</b> # 2'
    made = bench.post("/api/folder/plans", {"start": "survey", "title": title, "units": "in"}).json()
    id = made["address"].removeprefix("/surveys/")
    survey = read_survey(next(folder.glob("*-survey.yaml"))).file
    assert (survey.title, survey.units, survey.readings) == (title, "in", {})
    card = bench.get(f"/api/folder/surveys/{id}").json()
    assert card["title"] == title
    assert card["done"] == 0
    assert "<b>saloon" not in bench.get(made["address"]).text


def test_the_same_name_twice_makes_two_files(bench: Bench, folder: Path):
    addresses = {bench.post("/api/folder/plans", START).json()["address"] for _ in range(2)}
    assert len(addresses) == 2
    assert (folder / "marsh-saloon.yaml").is_file()
    assert (folder / "marsh-saloon-2.yaml").is_file()


@pytest.mark.parametrize("wrong", [*({key: "no such"} for key in KNOWN), {"book": "no such"}])
def test_a_choice_that_is_not_offered_is_refused_in_words(bench: Bench, folder: Path, wrong: dict[str, str]):
    before = set(folder.iterdir())
    answer = bench.post("/api/folder/plans", START | wrong)
    assert answer.status_code == 422
    assert answer.json()["error"].startswith("Please choose")
    assert set(folder.iterdir()) == before


def test_a_name_cannot_leave_the_folder(bench: Bench, folder: Path):
    before = set(folder.parent.iterdir())
    made = bench.post("/api/folder/plans", START | {"title": "../../outside"}).json()
    assert made["address"] == "/plans/outside/cage"
    assert (folder / "outside.yaml").is_file()
    assert set(folder.parent.iterdir()) == before


def test_a_plan_starts_as_a_copy_of_another(bench: Bench, folder: Path):
    made = bench.post("/api/folder/plans/plan/copy", {"title": "Second car"}).json()
    assert made["address"] == "/plans/second-car/cage"
    old, new = ((folder / name).read_text() for name in ("plan.yaml", "second-car.yaml"))
    assert new == old.replace("Two tubes and a hoop", "Second car")
    assert bench.post("/api/folder/plans/plan/copy", {}).status_code == 422
    assert bench.post("/api/folder/plans/nothing/copy", {"title": "x"}).status_code == 404


def test_a_base_structure_is_laid_out_from_the_sizes_that_are_offered(bench: Bench, folder: Path):
    sizes = bench.get("/api/folder/sizes").json()
    assert len(sizes) == 7
    asked = {"start": "sizes", "title": "Base", "units": "mm"} | {s["key"]: str(s["usual"]) for s in sizes}
    assert bench.post("/api/folder/plans", asked).json()["address"] == "/plans/base/cage"
    assert len(open_job(folder / "base.yaml").cage.members) == 6
