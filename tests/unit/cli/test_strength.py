"""The strength commands as a shell runs them: what they print, exit codes, and what they leave on disk."""

import json
from pathlib import Path

import pytest

from commands import shell, typed

ROOT = Path(__file__).parents[3]
EXAMPLES = ROOT / "examples"
BAR = EXAMPLES / "roll-bar.yaml"
PORTAL = {
    "nodes": [
        [0, 0, 0],
        [0, 0, 500],
        [0, 0, 1000],
        [0, 500, 1000],
        [0, 1000, 1000],
        [0, 1000, 500],
        [0, 1000, 0],
    ],
    "elements": [[i, i + 1, 38, 2.5] for i in range(6)],
    "fixed": [0, 6],
    "E": 210000,
    "nu": 0.3,
    "fy": 350,
    "hardening": 0.01,
    "shear": True,
    "load": {"node": 3, "direction": [0, 0, -1], "target": 40},
}
STUDY = """
cagewright_alternatives: 1
title: Diagonal or none
question: Does it earn its weight?
pushes: [main-hoop-down]
travel: 10
model: {mesh: 150}
alternatives:
  - {name: no diagonal, changes: [{remove: diagonal}]}
"""


def answer(*words):
    """What a command that succeeds prints as JSON."""
    ended = typed(*words)
    assert ended.returncode == 0, ended.stderr
    return json.loads(ended.stdout)


@pytest.fixture
def portal(tmp_path):
    path = tmp_path / "portal.json"
    path.write_text(json.dumps(PORTAL))
    return path


def test_a_frame_file_is_answered_in_exactly_these_keys(portal):
    found = answer("push", "--frame", portal, "--json")
    assert list(found) == [
        "travel_mm",
        "load_N",
        "peak_N",
        "energy_J",
        "end",
        "seconds",
        "stiffness_N_per_mm",
        "told",
    ]
    assert found["end"] == "reached 40 mm"
    assert found["travel_mm"][-1] == pytest.approx(40.0)
    assert max(found["load_N"]) == found["peak_N"]
    assert 0.0 < found["seconds"] < 60.0


def test_a_frame_that_cannot_stand_is_1_and_named(portal):
    portal.write_text(json.dumps(PORTAL | {"nodes": [*PORTAL["nodes"], [9, 9, 9], [9, 9, 99], [0, 0, 0]],
                                           "elements": [*PORTAL["elements"], [7, 8, 38, 2.5]]}))  # fmt: skip
    ended = typed("push", "--frame", portal, "--json")
    assert ended.returncode == 1
    assert "element 6" in json.loads(ended.stdout)["error"]
    said = typed("push", "--frame", portal).stderr
    assert "element 6" in said
    assert "node 9 carries no tube" in said


def test_a_frame_file_with_mistakes_is_2_with_its_line(portal):
    portal.write_text(portal.read_text().replace('"fy": 350', '"fy": -350'))
    ended = typed("push", "--frame", portal)
    assert ended.returncode == 2
    assert "portal.json:" in ended.stderr
    assert "Traceback" not in ended.stderr


@pytest.mark.slow
def test_push_of_a_plan_in_words_and_pictures(tmp_path):
    svg, png = tmp_path / "a.svg", tmp_path / "a.png"
    ended = typed("push", BAR, "--case", "main-hoop-down", "--svg", svg, "--png", png)
    assert ended.returncode == 0, ended.stderr
    for words in (
        "largest load",
        "What gives, in order",
        "Feet on the shell",
        "Not a certificate",
        "from memory",
    ):
        assert words in ended.stdout
    assert svg.read_text().startswith("<svg")
    assert png.read_bytes().startswith(b"\x89PNG")


def test_push_of_a_plan_for_a_program():
    found = answer("push", BAR, "--case", "main-hoop-down", "--feet", "rigid", "--json")
    (push,) = found["pushes"]
    assert push["name"] == "main-hoop-down"
    assert push["assumed"]["feet"] == "rigid"
    peak = next(f["value"] for f in push["figures"] if f["key"] == "peak")
    assert (peak["unit"], peak["value"]) == ("N", pytest.approx(max(push["curve"]["load"]), abs=1.0))
    assert found["cautions"]


def test_an_unknown_push_is_1_with_the_nearest():
    ended = typed("push", BAR, "--case", "main-hop-down")
    assert ended.returncode == 1
    assert "did you mean 'main-hoop-down'" in ended.stderr


def test_the_pushes_of_a_cage_are_listed():
    names = {row["name"] for row in answer("push", BAR, "--cases", "--json")}
    assert "main-hoop-down" in names
    assert "side-left" not in names  # a roll bar has no doorbars
    assert "main-hoop-down" in typed("push", BAR, "--cases").stdout


@pytest.mark.parametrize(
    "words",
    [["push"], ["push", BAR, "--frame", "x.json"], ["push", BAR, "--joints", "rubber"], ["compare", BAR],
     ["export-frame"]],
)  # fmt: skip
def test_wrong_usage_is_2(words):
    ended = typed(*words)
    assert ended.returncode == 2
    assert "Traceback" not in ended.stderr


@pytest.mark.slow
def test_an_exported_push_can_be_pushed_again(tmp_path):
    file = tmp_path / "f.json"
    made = answer("export-frame", BAR, "--case", "main-hoop-down", "-o", file, "--json")
    assert made["file"] == file.as_posix()
    assert any("rigid" in lost for lost in made["lost"])
    assert answer("push", "--frame", file, "--json")["peak_N"] > 0.0
    printed = typed("export-frame", BAR, "--case", "main-hoop-down")
    assert json.loads(printed.stdout) == json.loads(file.read_text())
    assert "Left out" in printed.stderr


def test_warm_up_says_when_it_is_ready():
    assert "ready" in typed("warm-up").stdout
    assert answer("warm-up", "--json") == {"ready": True}
    assert "warm-up" not in typed("--help").stdout


@pytest.mark.slow  # starts workers
def test_compare_prints_tables_and_writes_curves(tmp_path):
    study = tmp_path / "study.yaml"
    study.write_text(STUDY)
    svg = tmp_path / "c.svg"
    ended = shell("compare", BAR, study, "--no-bars", "--svg", svg)
    assert ended.returncode == 0, ended.stderr
    for words in (
        "Does it earn its weight?",
        "no diagonal",
        "main-hoop-down: all by",
        "then each as far as it counts",
        "cannot tell, found by",
    ):
        assert words in ended.stdout
    assert svg.read_text().count(">no diagonal<") == 1
    found = json.loads(shell("compare", BAR, study, "--no-bars", "--json").stdout)
    assert [row["name"] for row in found["rows"]] == ["as planned", "no diagonal"]
    (pushed,) = found["rows"][1]["pushes"]
    energy = next(f for f in pushed["figures"] if f["key"] == "energy_J")
    assert energy["told"] in {"difference", "no difference"}


def test_compare_says_what_is_wrong_with_the_file(tmp_path):
    study = tmp_path / "study.yaml"
    study.write_text(STUDY.replace("remove: diagonal", "remove: diagnal"))
    ended = typed("compare", BAR, study)
    assert ended.returncode == 1
    assert "study.yaml:9:" in ended.stderr
    assert "Did you mean 'diagonal'?" in ended.stderr


@pytest.mark.slow  # starts workers
def test_an_alternative_that_cannot_be_built_is_1_and_the_rest_is_shown(tmp_path):
    study = tmp_path / "study.yaml"
    study.write_text(
        STUDY.replace("remove: diagonal", "move: {members: diagonal, places: end, across: -900}")
    )
    ended = shell("compare", BAR, study, "--no-bars")
    assert ended.returncode == 1
    assert "cannot be built" in ended.stdout
    assert "as planned" in ended.stdout
