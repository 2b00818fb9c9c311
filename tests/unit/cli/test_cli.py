"""The commands as a shell runs them: what they print, their exit codes, and what they leave on disk."""

import json
from multiprocessing import get_context
from pathlib import Path

import pytest
from typer.testing import CliRunner

from cagewright.cli.app import COMMANDS, command_line
from commands import has_loaded, shell, typed

ROOT = Path(__file__).parents[3]
EXAMPLES = ROOT / "examples"


def answer(*words: object) -> dict:
    """What a command that succeeds prints as JSON."""
    ended = typed(*words)
    assert ended.returncode == 0, ended.stderr
    return json.loads(ended.stdout)


def test_cope_prints_the_saddle_of_60_degrees_and_3_mm():
    """The values of the cylinder-on-cylinder equation, as in tests/verification/test_copes_saddle.py."""
    found = answer("cope", "--branch", "38x2.5", "--main", 45, "--angle", 60, "--offset", 3, "--points", 8)
    expected = [14.779, 9.987, 5.447, 25.501, 36.718, 30.774, 18.267, 15.261]
    assert found["phi_deg"] == [0, 45, 90, 135, 180, 225, 270, 315]
    assert found["cut_mm"] == pytest.approx(expected, abs=6e-4)
    assert len(found["inside_mm"]) == 8
    assert found["weld_length_mm"] > 137.9


def test_cope_takes_inches():
    mm = answer("cope", "--branch", "38.1x2.413", "--main", 44.45, "--points", 8)
    assert answer("cope", "--branch", "1 1/2 x 0.095 in", "--main", "1 3/4 in", "--points", 8) == mm


def test_bend_prints_arc_setback_and_springback():
    found = answer("bend", "--od", 45, "--wall", 2.5, "--clr", 135, "--angle", 90, "--json")
    assert found["arc_mm"] == pytest.approx(212.058, abs=1e-3)
    assert found["setback_mm"] == 135.0
    assert found["outer_wall_mm"] == pytest.approx(2.143, abs=1e-3)
    assert found["springback_deg"] == 4.0 > 2.0 * found["theory_deg"]
    assert "no source" in found["springback_basis"]


@pytest.mark.parametrize(
    "words",
    [
        ["bend", "--od", "45"],
        ["bend", "--od", "x", "--wall", "2.5", "--clr", "135", "--angle", "90"],
        ["bend", "--od", "45", "--wall", "30", "--clr", "135", "--angle", "90"],
        ["bend", "--od", "45", "--wall", "2.5", "--clr", "10", "--angle", "90"],
        ["bend", "--od", "45", "--wall", "2.5", "--clr", "135", "--angle", "90", "--steel", "wood"],
        ["cope", "--branch", "38", "--main", "45"],
        ["cope", "--branch", "38x20", "--main", "45"],
        ["cope", "--branch", "38x2.5", "--main", "45", "--angle", "10"],
        ["cope", "--branch", "38x2.5", "--main", "-45"],
        ["nonsense"],
    ],
)
def test_wrong_usage_is_2_and_says_so(words):
    ended = CliRunner().invoke(command_line(list(COMMANDS)), words)
    assert ended.exit_code == 2
    assert "Error" in ended.output


def test_a_fork_need_not_load_the_program_again():
    """A fork server that did not find what to load says nothing; every command then takes seconds more."""
    typed("--version")
    with get_context("forkserver").Pool(1) as fork:
        assert fork.apply(has_loaded, ["cagewright.job.strength"])


def test_a_shell_sees_wrong_usage_too():
    ended = shell("nonsense")
    assert ended.returncode == 2
    assert "nonsense" in ended.stderr
    assert "Traceback" not in ended.stderr


def test_cope_papers_are_written(tmp_path: Path):
    typed(
        "cope", "--branch", "38x2.5", "--main", 45, "--svg", tmp_path / "a.svg", "--pdf", tmp_path / "a.pdf"
    )
    assert (tmp_path / "a.svg").read_text().startswith("<svg")
    assert (tmp_path / "a.pdf").read_bytes().startswith(b"%PDF")


def test_show_lists_members_joints_and_feet():
    found = answer("show", EXAMPLES / "brackwater.yaml", "--json")
    assert len(found["members"]) >= 26
    assert {m["role"] for m in found["members"]} >= {"main rollbar", "backstay", "doorbar", "harness bar"}
    text = typed("show", EXAMPLES / "roll-bar.yaml")
    assert text.returncode == 0
    assert "main hoop" in text.stdout


def test_check_of_the_demo_fails_nothing():
    found = answer("check", EXAMPLES / "brackwater.yaml", "--json")
    verdicts = {f["verdict"] for f in found["rows"]}
    assert "fail" not in verdicts
    assert "pass" in verdicts
    assert "Not a certificate" in found["cautions"][0]


@pytest.mark.slow
def test_a_failed_rule_is_1(tmp_path: Path):
    plan = (EXAMPLES / "brackwater.yaml").read_text().replace("od: 45, wall: 2.5", "od: 45, wall: 2.4")
    (tmp_path / "brackwater.shop.yaml").write_text((EXAMPLES / "brackwater.shop.yaml").read_text())
    (tmp_path / "thin.yaml").write_text(plan)
    ended = typed("check", tmp_path / "thin.yaml", "--json")
    assert ended.returncode == 1
    failed = [f for f in json.loads(ended.stdout)["rows"] if f["verdict"] == "fail"]
    assert {m for f in failed for m in f["where"]["members"]} == {"main_hoop"}


@pytest.mark.parametrize("as_json", [False, True])
def test_problems_are_1_with_file_and_line(as_json: bool):
    plan = EXAMPLES / "mistakes" / "tubes-overlap.yaml"
    ended = typed("show", plan, *(["--json"] if as_json else []))
    assert ended.returncode == 1
    if as_json:
        problem = json.loads(ended.stdout)["problems"][0]
        assert problem["where"]["line"] > 0
        assert problem["code"] == "tubes-overlap"
    else:
        assert "tubes-overlap.yaml:" in ended.stderr
        assert "Traceback" not in ended.stderr


def test_a_missing_plan_is_said():
    ended = typed("show", "no-such-plan.yaml")
    assert ended.returncode == 1
    assert "no-such-plan.yaml" in ended.stderr


def test_build_of_a_roll_bar(tmp_path: Path):
    ended = typed("build", EXAMPLES / "roll-bar.yaml", "-o", tmp_path / "out", "--json")
    assert ended.returncode in {0, 1}, ended.stderr
    files = json.loads(ended.stdout)["files"]
    assert (tmp_path / "out" / "papers-a4.pdf").as_posix() in files
    assert all(Path(f).stat().st_size for f in files)


@pytest.mark.slow
def test_build_into_a_file_is_refused(tmp_path: Path):
    (tmp_path / "out").write_text("a file, no folder")
    ended = typed("build", EXAMPLES / "roll-bar.yaml", "-o", tmp_path / "out")
    assert ended.returncode == 1
    assert "cannot be written" in ended.stderr
    assert (tmp_path / "out").read_text() == "a file, no folder"


def test_schema_is_json():
    assert answer("schema")["type"] == "object"
