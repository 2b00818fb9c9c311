"""The Shell page: readings edited in place and checked as they are typed, first plans, and scans."""

import io
import re
import shutil
from pathlib import Path
from xml.etree import ElementTree

import numpy as np
import pdfplumber
import pytest
import trimesh

from cagewright.draft.measured import measured
from cagewright.job.opening import open_job
from cagewright.job.survey import BadReading, in_words, with_reading
from cagewright.job.wishes import BadField, with_field
from cagewright.plan.readings import reading_rows
from cagewright.plan.survey import read_survey
from cagewright.plan.write import document
from cagewright.shape.scan import read_scan
from deskside import Bench

SURVEYS = Path(__file__).parents[3] / "examples" / "surveys"
BASE = "/api/surveys/saloon"


@pytest.fixture
def survey(folder: Path) -> Path:
    """The saloon's survey in the shop folder; its shop file too, where the survey names it."""
    path = folder / "saloon.yaml"
    path.write_text((SURVEYS / "saloon.yaml").read_text().replace("../brackwater.shop", "brackwater.shop"))
    shutil.copy(SURVEYS.parent / "brackwater.shop.yaml", folder)
    return path


def put(bench: Bench, what: str, body: dict) -> dict:
    answer = bench.client.put(f"{BASE}/{what}", json=body)
    assert answer.status_code == 200, answer.text
    return answer.json()


def row(shown: dict, id: str) -> dict:
    return next(one for one in shown["readings"] if one["id"] == id)


# --- what is shown


def test_every_reading_is_shown_with_its_sketch_and_what_is_said_of_it(bench: Bench, survey: Path):
    shown = bench.get(BASE).json()
    assert [one["id"] for one in shown["readings"]] == [one.id for one in reading_rows()]
    notes = [note for one in shown["readings"] for note in one["notes"]] + shown["besides"]
    assert len(notes) == len(shown["notes"]) == len(measured(read_survey(survey).file).notes)
    assert shown["done"] == sum(one["done"] for one in shown["readings"])
    for one in shown["readings"]:
        sketch = bench.get(f"/api/surveys/sketches/{one['id']}.svg")
        assert ElementTree.fromstring(sketch.text).tag.endswith("svg")
    assert bench.get("/api/surveys/sketches/no-such.svg").status_code == 404


def test_only_a_listed_survey_is_opened(bench: Bench, survey: Path):
    for id in ("plan", "no-such", "..%2fsaloon", "saloon.yaml"):
        assert bench.get(f"/api/surveys/{id}").status_code == 404
    assert bench.get("/surveys/no-such").status_code == 404
    assert bench.get("/surveys/saloon").status_code == 200


def test_the_survey_that_a_plan_was_drafted_from_is_its_own(bench: Bench, survey: Path, folder: Path):
    shutil.copy(SURVEYS / "coupe.yaml", folder)
    assert bench.get("/api/plans/plan/shell").json()["survey"] is None  # two, and the plan names neither
    made = bench.post(f"{BASE}/draft", {"name": "first"}).json()
    about = bench.get(f"/api/plans/{made['id']}/shell").json()
    assert about["survey"] == "saloon"
    assert {one["id"] for one in about["surveys"]} == {"saloon", "coupe"}


# --- readings typed


def test_a_reading_changes_only_its_own_line(bench: Bench, survey: Path):
    before = survey.read_text().splitlines()
    mark = bench.get(BASE).json()["mark"]
    typed = {"reading": "hoop_station", "part": "", "texts": ["1612"], "mark": mark}
    shown = put(bench, "reading", typed)
    after = survey.read_text().splitlines()
    changed = [(a, b) for a, b in zip(before, after, strict=True) if a != b]
    assert [b for _, b in changed] == ["  hoop_station: 1612 mm"]
    assert row(shown, "hoop_station")["parts"][0]["fields"][0]["mm"] == 1612.0
    assert shown["mark"] != mark


@pytest.mark.parametrize(
    ("text", "said", "mm"),
    [
        ("20 3/8 in", "20 3/8 in", 517.525),  # 20.375 x 25.4, the inch of 1959
        ('20-3/8"', '20-3/8"', 517.525),
        ("518,5", "518.5 mm", 518.5),
        ("51.8 cm", "51.8 cm", 518.0),
        (" 518 ", "518 mm", 518.0),
        ("", "unread", None),
        ("unread", "unread", None),
    ],
)
def test_what_a_builder_types_is_kept_as_he_typed_it(text: str, said: str, mm: float | None):
    before = document("cagewright_survey: 1\nreadings:\n  hoop_station: 1 mm   # by the string\n")
    after = with_reading(before, "hoop_station", "", [text], "mm")
    assert f"  hoop_station: {said}   # by the string\n" in after.text
    from cagewright.plan.survey import read_survey_text

    whole = after.text.replace("readings", "title: t\ncar: {mass: 1000 kg}\nreadings")
    given = read_survey_text(whole).file.readings.get("hoop_station", {}).get("", (None,))
    assert given[0] == (pytest.approx(mm) if mm is not None else None)


@pytest.mark.parametrize("held", ["unread", "{left: [690 mm, 780 mm]}", ""])
def test_a_part_can_be_set_whatever_stood_there(held: str):
    before = document(f"cagewright_survey: 1\nreadings:\n  waist: {held}\n  sill_height: {{front: 1 mm}}\n")
    after = with_reading(before, "waist", "right", ["691", ""], "mm")
    assert after.source.data["readings"]["waist"]["right"] == ["691 mm", "unread"]
    if held.startswith("{"):
        assert after.source.data["readings"]["waist"]["left"] == ["690 mm", "780 mm"]
    bare = with_reading(document("cagewright_survey: 1\n"), "waist", "left", ["1", "2"], "in")
    assert bare.source.data["readings"] == {"waist": {"left": ["1 in", "2 in"]}}


def test_what_is_no_reading_is_refused_where_it_was_typed(bench: Bench, survey: Path):
    before = survey.read_bytes()
    typed = {
        "reading": "waist",
        "part": "left",
        "texts": ["690", "high"],
        "mark": bench.get(BASE).json()["mark"],
    }
    answer = bench.client.put(f"{BASE}/reading", json=typed)
    assert answer.status_code == 422
    assert answer.json()["value"] == "up"
    assert "length" in answer.json()["error"]
    assert survey.read_bytes() == before
    for wrong in ({"reading": "no-such"}, {"part": "middle"}, {"texts": ["1"]}):
        assert bench.client.put(f"{BASE}/reading", json=typed | wrong).status_code == 400
    with pytest.raises(BadReading):
        with_reading(document("a: 1\n"), "hoop_station", "", ["1/3 in"], "in")


def test_a_slip_is_named_as_it_is_typed_and_nothing_is_saved(bench: Bench, survey: Path):
    before = survey.read_bytes()
    sound = bench.get(BASE).json()
    assert sound["level"] == "fine"
    assert sound["headline"].startswith("enough for a first plan")
    fields = row(sound, "waist")["parts"][0]["fields"]
    texts = [str(fields[0]["mm"] + 60.0), fields[1]["text"]]
    shown = put(bench, "reading", {"reading": "waist", "part": "left", "texts": texts, "trial": True})
    notes = row(shown, "waist")["notes"]
    assert any(note["kind"] == "slip" and note["level"] == "fail" for note in notes)
    assert shown["headline"].startswith("1 reading to take again")
    assert survey.read_bytes() == before


def test_a_survey_changed_elsewhere_is_not_written_over(bench: Bench, survey: Path):
    mark = bench.get(BASE).json()["mark"]
    survey.write_text(re.sub(r"hoop_station: \d+", "hoop_station: 1777", survey.read_text()))
    typed = {"reading": "hoop_station", "part": "", "texts": ["1"], "mark": mark}
    answer = bench.client.put(f"{BASE}/reading", json=typed)
    assert answer.status_code == 412
    assert row(answer.json()["now"], "hoop_station")["parts"][0]["fields"][0]["text"] == "1777"
    assert "hoop_station: 1777" in survey.read_text()


def test_a_survey_with_mistakes_shows_them(bench: Bench, survey: Path):
    survey.write_text(survey.read_text().replace("hoop_station: 1", "hoop_station: x1"))
    shown = bench.get(BASE).json()
    assert shown["readings"] == []
    assert shown["problems"][0]["code"] == "bad-quantity"
    assert bench.post(f"{BASE}/draft", {"name": "x"}).status_code == 422


def test_notes_call_readings_by_their_titles(bench: Bench, survey: Path):
    assert (
        in_words("take hoop_station too, or sill_heights") == "take ‘Main hoop station’ too, or sill_heights"
    )
    shown = bench.get(BASE).json()
    keys = {one.id for one in reading_rows() if "_" in one.id}
    for note in (note for one in shown["readings"] for note in one["notes"]):
        assert not keys & set(f"{note['found']} {note['advice']}".replace(",", " ").split())


# --- fields


@pytest.mark.slow
def test_the_fields_of_car_driver_and_wishes_are_saved_as_typed(bench: Bench, survey: Path):
    for field, value in (
        ("title", "Reed saloon"), ("car.mass", "1100"), ("car.rules", ["uk-yearbook-k-2018"]),
        ("driver.side", "right"), ("driver.helmet", "12 in"), ("wishes.roof", "X"), ("wishes.diagonals", "2"),
        ("wishes.doorbars", 3), ("wishes.gussets", False), ("wishes.gap", "12,5"),
        ("wishes.doorbar_heights", "300, 420, 21 in"), ("wishes.doorbar_spacing", "even"),
        ("wishes.doorbar_slope", "half"), ("wishes.post_back", "880"),
    ):  # fmt: skip
        put(bench, "field", {"field": field, "value": value, "mark": bench.get(BASE).json()["mark"]})
    file = read_survey(survey).file
    assert (file.title, file.car.mass, file.car.rules) == ("Reed saloon", 1100.0, ("uk-yearbook-k-2018",))
    assert (file.driver.side, file.driver.helmet) == ("right", pytest.approx(304.8))
    assert (file.wishes.roof, file.wishes.diagonals, file.wishes.doorbars) == ("X", 2, 3)
    assert (file.wishes.gussets, file.wishes.gap) == (False, 12.5)
    assert file.wishes.doorbar_heights == pytest.approx((300.0, 420.0, 533.4))
    assert (file.wishes.doorbar_spacing, file.wishes.doorbar_slope) == ("even", "half")
    assert file.wishes.post_back == 880.0
    shown = {f["name"]: f["value"] for part in ("car", "wishes") for f in bench.get(BASE).json()[part]}
    assert shown["wishes.gussets"] is False
    assert shown["driver.helmet"] == "12 in"
    assert shown["wishes.doorbar_heights"] == "300, 420, 21 in"
    for field in ("doorbar_heights", "post_back"):
        body = {"field": f"wishes.{field}", "value": "", "mark": bench.get(BASE).json()["mark"]}
        put(bench, "field", body)
    file = read_survey(survey).file
    assert (file.wishes.doorbar_heights, file.wishes.post_back) == ((), None)


@pytest.mark.slow
def test_a_codriver_comes_with_a_hip_and_goes_without(bench: Bench, survey: Path):
    def typed(field: str, value: str) -> set[str]:
        shown = put(bench, "field", {"field": field, "value": value, "mark": bench.get(BASE).json()["mark"]})
        return {f["name"] for f in shown["car"] if f["name"].startswith("codriver.")}

    before = survey.read_text()
    assert typed("codriver.hip", "") == {"codriver.hip"}, "nobody sits there, and nothing is asked of them"
    assert len(typed("codriver.hip", "1095, 345, 300")) == 5
    for field, value in (("head", "1210, 345, 950"), ("back_angle", "15"), ("stature", "68 in")):
        typed(f"codriver.{field}", value)
    who = read_survey(survey).file.codriver
    assert who is not None
    assert (who.hip, who.head) == ((1095.0, 345.0, 300.0), (1210.0, 345.0, 950.0))
    assert (who.back_angle, who.stature) == (pytest.approx(np.radians(15.0)), pytest.approx(1727.2))
    shown = {f["name"]: f["value"] for f in bench.get(BASE).json()["car"]}
    assert (shown["codriver.head"], shown["codriver.back_angle"]) == ("1210, 345, 950", "15")
    typed("codriver.head", "")
    assert read_survey(survey).file.codriver == who.model_copy(update={"head": None})
    typed("codriver.hip", "")
    assert survey.read_text() == before


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("car.mass", "heavy"), ("car.mass", "0"), ("driver.side", "middle"),
        ("wishes.doorbars", 9), ("wishes.doorbars", True),
        ("wishes.gussets", "no"), ("car.rules", ["../x.toml"]), ("wishes.gap", "-1"),
        ("codriver.hip", "1095, 345"), ("codriver.hip", "1095, 345, high"), ("codriver.back_angle", "12 mm"),
        ("wishes.doorbar_heights", "300, low"), ("wishes.doorbar_heights", "1, 2, 3, 4, 5"),
    ],
)  # fmt: skip
def test_a_field_refuses_what_it_cannot_hold(field: str, value: object):
    with pytest.raises(BadField):
        with_field(document("cagewright_survey: 1\n"), field, value, "mm", ("fia-253-2009",))


def test_there_are_no_other_fields(bench: Bench, survey: Path):
    for field in ("shop", "scan", "readings", "car", "cagewright_survey"):
        body = {"field": field, "value": "x", "mark": bench.get(BASE).json()["mark"]}
        assert bench.client.put(f"{BASE}/field", json=body).status_code == 400


# --- drafted


def test_a_first_plan_is_laid_out_and_never_over_another(bench: Bench, survey: Path, folder: Path):
    made = bench.post(f"{BASE}/draft", {"name": "First"}).json()
    again = bench.post(f"{BASE}/draft", {"name": "First"}).json()
    assert (made["address"], again["address"]) == ("/plans/first/cage", "/plans/first-2/cage")
    job = open_job(folder / "first.yaml")
    assert len(job.cage.members) >= made["members"] > 10
    assert "not a certificate" in made["cautions"][0]
    assert (folder / "first.yaml").read_text().startswith("# Drafted from saloon.yaml.")


def test_what_keeps_a_plan_from_being_drafted_is_told_by_its_line(bench: Bench, survey: Path):
    mark = bench.get(BASE).json()["mark"]
    put(bench, "reading", {"reading": "hoop_station", "part": "", "texts": [""], "mark": mark})
    shown = bench.get(BASE).json()
    assert shown["missing"] == ["Main hoop station"]
    answer = bench.post(f"{BASE}/draft", {"name": "x"})
    assert answer.status_code == 422
    assert any("hoop station" in p["found"].lower() for p in answer.json()["problems"])


@pytest.mark.slow
@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_the_survey_sheet_prints_every_reading(bench: Bench, paper: str):
    answer = bench.get(f"/api/surveys/sheet.pdf?paper={paper}")
    with pdfplumber.open(io.BytesIO(answer.content)) as pdf:
        text = "\n".join(page.extract_text() for page in pdf.pages)
        wide = round(float(pdf.pages[0].width) * 25.4 / 72.0, 1)
    assert wide == {"a4": 210.0, "letter": 215.9}[paper]
    assert all(f"{n} {one.title[:20]}" in text for n, one in enumerate(reading_rows(), 1))


# --- the scan

TURN = trimesh.transformations.rotation_matrix(0.4, [0.1, 0.2, 1.0])[:3, :3]
AWAY = np.array([500.0, -200.0, 90.0])


@pytest.fixture
def scan(folder: Path) -> Path:
    """A box of a car's size in metres, turned and moved, beside the plan, which names it."""
    box = trimesh.creation.box((3.0, 1.4, 1.1))
    box.vertices = (box.vertices * 1000.0 @ TURN.T + AWAY) / 1000.0
    box.export(folder / "body.stl")
    return folder / "body.stl"


def place(bench: Bench, points: list[dict], **more: object):
    body = {"file": "body.stl", "units": "m", "points": points, **more}
    head = {"if-match": f'"{bench.state()["number"]}"'}
    return bench.client.post("/api/plans/plan/shell/scan", json=body, headers=head)


def pairs(car: np.ndarray) -> list[dict]:
    """Each place of the car (n, 3) with its numbers in the scan file."""
    return [{"scan": list((p @ TURN.T + AWAY) / 1000.0), "car": [float(v) for v in p]} for p in car]


CORNERS = np.array([[-1500.0, -700.0, -550.0], [1500.0, -700.0, -550.0], [0.0, 700.0, 550.0]])


@pytest.mark.slow
def test_three_points_seen_twice_stand_the_scan_in_the_car(bench: Bench, scan: Path, folder: Path):
    answer = place(bench, pairs(CORNERS))
    assert answer.status_code == 200, answer.text
    shown = answer.json()["scan"]
    assert shown["placing"] == "by 3 points"
    assert max(pair["off"]["value"] for pair in shown["points"]) < 0.1
    assert shown["size"] == pytest.approx([3000, 1400, 1100], abs=0.5)
    assert shown["size_words"] == "3000 mm × 1400 mm × 1100 mm"
    assert shown["headline"] == "body.stl is placed by 3 points, out by up to 0.0 mm"
    assert answer.json()["state"]["undo"] == "placed the scan by 3 points"
    entry = open_job(folder / "plan.yaml").plan.shell.scan
    placed = read_scan(entry, folder).mesh.corners
    assert np.ptp(placed, axis=0) == pytest.approx([3000.0, 1400.0, 1100.0], abs=0.1)


@pytest.mark.slow
def test_a_pick_in_the_picture_is_told_in_the_scans_own_numbers(bench: Bench, scan: Path):
    assert place(bench, []).status_code == 200  # in the plan, not placed yet
    picked = bench.post("/api/plans/plan/shell/pick", {"point": [1200.0, 300.0, -50.0]}).json()["scan"]
    assert picked == pytest.approx([1.2, 0.3, -0.05])
    assert place(bench, pairs(CORNERS)).status_code == 200
    picked = bench.post("/api/plans/plan/shell/pick", {"point": [1500.0, -700.0, -550.0]}).json()["scan"]
    assert picked == pytest.approx(pairs(CORNERS)[1]["scan"], abs=1e-5)
    for wrong in (None, [1, 2], [1, 2, "x"], [1, 2, 1e9]):
        assert bench.post("/api/plans/plan/shell/pick", {"point": wrong}).status_code == 422


@pytest.mark.parametrize(
    ("more", "words"),
    [
        ({"units": ""}, "units"),
        ({"units": "ft"}, "units"),
        ({"file": "body.exe"}, "scan file"),
        ({"points": pairs(CORNERS)[:2]}, "3 points"),
        ({"points": [{"scan": [1, 2, 3], "car": ["one", 2, 3]}] * 3}, "length"),
        ({"points": [{"scan": [1, 2, 3], "car": [1, 2]}] * 3}, "back, across and up"),
    ],
)
def test_a_placing_that_cannot_be_is_refused_in_words(bench: Bench, scan: Path, more: dict, words: str):
    before = bench.state()["number"]
    answer = place(bench, **({"points": pairs(CORNERS)} | more))
    assert answer.status_code == 422
    assert words in answer.json()["error"]
    assert bench.state()["number"] == before


def test_wrong_units_are_seen_in_the_scan(bench: Bench, scan: Path):
    answer = place(bench, [], units="mm")
    assert answer.status_code == 200
    assert "wrong units" in " ".join(answer.json()["scan"]["wrong"])


def test_a_scan_can_be_taken_out_again(bench: Bench, scan: Path, folder: Path):
    before = (folder / "plan.yaml").read_text()
    place(bench, pairs(CORNERS))
    answer = place(bench, [], remove=True)
    assert answer.json()["scan"] is None
    assert open_job(folder / "plan.yaml").plan.shell is None
    assert "measured twice" in (folder / "plan.yaml").read_text()
    assert (folder / "plan.yaml").read_text() == before


# --- undo


def turn(bench: Bench, way: str, mark: str):
    return bench.post(f"{BASE}/{way}", {"mark": mark})


def test_a_survey_has_undo_and_redo_to_the_byte(bench: Bench, survey: Path):
    before = survey.read_bytes()
    shown = bench.get(BASE).json()
    assert (shown["undo"], shown["redo"]) == (None, None)
    one = next(r for r in shown["readings"] if len(r["parts"][0]["fields"]) == 1)
    body = {"reading": one["id"], "part": one["parts"][0]["part"], "texts": ["123.5"], "mark": shown["mark"]}
    first = put(bench, "reading", body)
    words = f"{' '.join(filter(None, (one['title'], one['parts'][0]['side'])))}: 123.5"
    assert (first["undo"], first["redo"]) == (words, None)
    after = survey.read_bytes()
    second = put(bench, "field", {"field": "car.body", "value": "saloon", "mark": first["mark"]})
    for mark, text, undo in ((second["mark"], after, words), (first["mark"], before, None)):
        back = turn(bench, "undo", mark).json()
        assert survey.read_bytes() == text
        assert back["undo"] == undo
    assert turn(bench, "undo", back["mark"]).status_code == 409
    again = turn(bench, "redo", back["mark"]).json()
    assert survey.read_bytes() == after
    assert again["words"] == words
    assert turn(bench, "redo", back["mark"]).status_code == 412


def test_what_another_program_wrote_into_a_survey_can_be_taken_back(bench: Bench, survey: Path):
    shown = bench.get(BASE).json()
    one = next(r for r in shown["readings"] if len(r["parts"][0]["fields"]) == 1)
    body = {"reading": one["id"], "part": one["parts"][0]["part"], "texts": ["123.5"], "mark": shown["mark"]}
    put(bench, "reading", body)
    mine = survey.read_bytes()
    survey.write_bytes(mine + b"# by hand\n")
    now = bench.get(BASE).json()
    assert now["undo"] == "changed in saloon.yaml by another program"
    turn(bench, "undo", now["mark"])
    assert survey.read_bytes() == mine
    turn(bench, "redo", bench.get(BASE).json()["mark"])
    assert survey.read_bytes() == mine + b"# by hand\n"
