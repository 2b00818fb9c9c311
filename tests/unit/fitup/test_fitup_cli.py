import json

import pytest
from typer.testing import CliRunner

from cagewright.cli.app import command_line
from fitted import EXAMPLES

pytestmark = pytest.mark.usefixtures("kept_answers")
PLAN = str(EXAMPLES / "brackwater.yaml")


def run(*words):
    return CliRunner().invoke(command_line(["order", "marks", "square", "pull"]), list(words))


@pytest.mark.slow
def test_order_lists_steps_and_refuses_a_tube_too_early():
    found = run("order", PLAN, "--json")
    assert found.exit_code == 0, found.output
    steps = json.loads(found.output)["steps"]
    assert [s["number"] for s in steps][:2] == [1, 2]
    apart = next(s for s in steps if "front_leg_left" in s["tack"])["distance"]
    assert ["front_leg_left", "front_leg_right"] in [piece["between"] for piece in apart]
    broken = run("order", PLAN, "--move", "header:1", "--json")
    assert broken.exit_code == 1
    assert "goes in later" in json.loads(broken.output)["broken"][0]["words"]
    assert run("order", PLAN, "--move", "nothing").exit_code == 2


@pytest.fixture(scope="module")
def sheet(tmp_path_factory):
    """The readings to take at step 3, as the command writes them."""
    folder = tmp_path_factory.mktemp("sheet")
    file, paper = folder / "r.yaml", folder / "s.pdf"
    assert run("marks", PLAN, "--step", "3", "--file", str(file), "--pdf", str(paper)).exit_code == 0
    assert paper.read_bytes().startswith(b"%PDF")
    return file.read_text()


@pytest.fixture
def filled(tmp_path, sheet):
    """The front legs' readings at step 3, all as planned."""
    file = tmp_path / "r.yaml"
    lines = []
    for line in sheet.splitlines():
        said, _, plan = line.partition("   # plan ")
        lines.append(said.replace("unread", plan.replace("°", " deg")) if plan else line)
    file.write_text("\n".join(lines) + "\n")
    return file


def test_square_says_that_a_build_as_planned_is_in_place(filled):
    found = run("square", PLAN, str(filled), "--json")
    told = json.loads(found.output)
    assert told["outliers"] == []
    assert told["not_used"] == []
    legs = [e for e in told["ends"] if e["mark"].startswith("front_leg")]
    assert {e["stands"] for e in legs} == {"in place"}


def test_square_names_a_slip_and_pull_says_what_to_do(filled):
    text = filled.read_text()
    row = next(x for x in text.splitlines() if "tape: [" in x and "front_leg_left" in x)
    first = row.split("[")[1].split(",")[0]
    old = row.split("says: ")[1].rstrip("}")
    filled.write_text(text.replace(row, row.replace(f"says: {old}", f"says: {float(old.split()[0]) + 14.0}")))
    found = run("square", PLAN, str(filled), "--json")
    assert found.exit_code == 1
    assert [s["a"] for s in json.loads(found.output)["outliers"]] == [first]
    said = run("pull", PLAN, str(filled))
    assert said.exit_code == 0, said.output


def test_a_reading_that_cannot_be_used_is_said(filled):
    filled.write_text(filled.read_text() + "  - {tape: [hoop_lft, front_leg_left.end], says: 990}\n")
    told = json.loads(run("square", PLAN, str(filled), "--json").output)
    assert told["not_used"][0]["code"] == "unknown-mark"
    assert told["not_used"][0]["nearest"] == "hoop_left"


@pytest.mark.parametrize("command", ["square", "pull"])
@pytest.mark.parametrize("lines", [[], ["{tape: [hoop_left, front_leg_left.end], says: 9}"]])
def test_a_sheet_with_nothing_read_is_a_located_problem(tmp_path, sheet, command, lines):
    file = tmp_path / "r.yaml"
    file.write_text(sheet + "".join(f"  - {line}\n" for line in lines))
    found = run(command, PLAN, str(file), "--json")
    assert found.exit_code == 1, found.output
    problems = json.loads(found.output)["problems"]
    assert [p["code"] for p in problems] == ["nothing-read", *["impossible"] * len(lines)]
    assert problems[0]["where"]["line"] == 10
    assert "traceback" not in run(command, PLAN, str(file)).output.lower()


def test_a_sheet_with_one_reading_says_what_it_does_not_fix(filled):
    head, _, rows = filled.read_text().partition("readings:\n")
    filled.write_text(f"{head}readings:\n{rows.splitlines()[0]}\n")
    told = json.loads(run("square", PLAN, str(filled), "--json").output)
    assert set(told["loose"]) == {"front_leg_left", "front_leg_right", "backstay_left", "backstay_right"}
    assert "in place" not in {e["stands"] for e in told["ends"]}
    assert run("pull", PLAN, str(filled)).exit_code == 0


def test_shrink_with_nothing_read_is_a_located_problem(tmp_path, sheet):
    file = tmp_path / "r.yaml"
    file.write_text(sheet)
    words = ["shrink", PLAN, "--step", "10", "--before", str(file), "--after", str(file), "--json"]
    found = CliRunner().invoke(command_line(["shrink"]), words)
    assert found.exit_code == 1, found.output
    assert json.loads(found.output)["problems"][0]["code"] == "nothing-read"
