"""The record's commands: what they print, their exit codes; every option told in docs/records.md."""

import json
from collections.abc import Iterator
from pathlib import Path
from tempfile import gettempdir
from typing import Any

import pytest
from typer.main import get_command
from typer.testing import CliRunner

from cagewright.cli.app import command_line
from cagewright.records.jobs import add_revision
from cagewright.records.opening import opened

ROOT = Path(__file__).parents[3]
PAGE = (ROOT / "docs" / "records.md").read_text(encoding="utf-8")
APP = command_line(["record", "reading"])
PLAN = ROOT / "examples" / "brackwater.yaml"


class Bench:
    """Runs commands on one record."""

    def __init__(self, where: Path) -> None:
        self.where = where

    def run(self, *words: object, code: int = 0) -> str:
        env = {"CAGEWRIGHT_RECORD": str(self.where), "CAGEWRIGHT_BY": "Ann"}
        ended = CliRunner().invoke(APP, [str(w) for w in words], env=env)
        assert ended.exit_code == code, ended.output
        return ended.output

    def json(self, *words: object, code: int = 0) -> Any:
        return json.loads(self.run(*words, "--json", code=code))


@pytest.fixture
def bench(tmp_path: Path) -> Bench:
    bench = Bench(tmp_path / "r.sqlite")
    bench.run("record", "new-job", "BW1", "--customer", "Reed", "--reference", "R7")
    return bench


def test_a_job_is_listed(bench: Bench):
    (job,) = bench.json("record", "jobs")["jobs"]
    assert (job["name"], job["customer"], job["reference"], job["by"]) == ("BW1", "Reed", "R7", "Ann")
    assert "Reed" in bench.run("record", "jobs")
    bench.run("record", "new-job", "BW1", code=1)


def test_a_good_reading_exits_with_0_and_a_bad_one_with_1(bench: Bench):
    assert bench.json("reading", "add", "BW1", "a", "b", "1032.5", "--step", "3")["wrong"] == []
    told = bench.json("record", "reading", "add", "BW1", "a", "b", "40 5/8 in", "--unit", "mm", code=1)
    assert "mixed units" in told["wrong"][0]
    assert "not used" in bench.run("reading", "add", "BW1", "a", "b", "-3", code=1)
    bench.run("reading", "add", "BW1", "b", code=2)
    bench.run("reading", "add", "NONE", "a", "b", "1", code=1)
    assert [r["used"] for r in bench.json("reading", "list", "BW1")] == [True, False, False]
    assert "1032.5" in bench.run("reading", "list", "BW1", "--step", "3")


def test_marks_are_held_to_a_list_and_to_a_plan(bench: Bench, tmp_path: Path):
    (tmp_path / "marks.txt").write_text("# marks\na\nb\n")
    bench.run("reading", "add", "BW1", "a", "b", "900", "--marks", tmp_path / "marks.txt")
    told = bench.json("reading", "add", "BW1", "a", "main_hop.start", "900", "--plan", PLAN, code=1)
    assert "did you mean 'main_hoop.start'" in " ".join(told["wrong"])


def test_corrections_ticks_notes_photos_and_signatures(bench: Bench, tmp_path: Path):
    bench.run("reading", "add", "BW1", "a", "b", "1320")
    bench.run("record", "correct", "BW1", "1", "--why", "swapped", "--value", "1230")
    bench.run("record", "correct", "BW1", "1", "--why", "again", "--value", "1231", code=1)
    bench.run("record", "tick", "BW1", "main_hoop", "tack", "--step", "3")
    bench.run("record", "tick", "BW1", "main_hoop", "glue", code=2)
    assert "1.5 h by" in bench.run("record", "hours", "BW1", "1:30", "--of", "main_hoop")
    bench.run("record", "hours", "BW1", "all day", code=1)
    bench.run("record", "note", "BW1", "door gap 4 mm", "--of", "door")
    (tmp_path / "p.jpg").write_bytes(b"abc")
    photo = bench.json("record", "photo", "BW1", tmp_path / "p.jpg", "--of", "foot")
    # SHA-256 of "abc": FIPS 180-2, appendix B.1
    assert photo["entry"]["other"] == "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
    bench.run("record", "sign", "BW1", "tacks are right", "--as", "welder")
    told = bench.json("record", "show", "BW1")
    assert [line["entry"]["kind"] for line in told["lines"]] == [
        "reading",
        "tick",
        "hours",
        "note",
        "photo",
        "sign-off",
    ]
    assert told["lines"][-1]["unchanged_since_signed"] is True
    assert len(bench.json("record", "show", "BW1", "--all")["lines"]) == 7
    assert "stands as it was signed" in bench.run("record", "show", "BW1")


def test_a_plan_is_kept_with_its_shop_file(bench: Bench):
    kept = bench.json("record", "plan", "BW1", PLAN)
    assert kept["file"] == "brackwater.yaml"
    assert bench.json("record", "plan", "BW1", PLAN)["uid"] == kept["uid"]


@pytest.mark.slow
def test_stock_and_offcuts(bench: Bench):
    size = ("--od", "38", "--wall", "2.5", "--steel", "E355+N")
    bench.run("record", "stock", "add", *size, "--length", "6 m", "--count", "2")
    bench.run("record", "offcut", "add", "R1", *size, "--length", "900")
    assert [p["count"] for p in bench.json("record", "stock", "list")["pieces"]] == [2, 1]
    bench.run("record", "offcut", "use", "BW1", "R1")
    bench.run("record", "offcut", "use", "BW1", "R1", code=1)
    assert bench.json("record", "offcut", "list")["pieces"] == []
    bench.run("record", "stock", "cut", "BW1", PLAN, code=1)
    moves = bench.json("record", "stock", "cut", "BW1", PLAN, "--bought")["pieces"]
    assert min(m["count"] for m in moves) == -1
    assert all(p["kind"] == "offcut" for p in bench.json("record", "stock", "list")["pieces"])


def test_backup_restore_export_import_check(bench: Bench, tmp_path: Path):
    bench.run("reading", "add", "BW1", "a", "b", "900")
    bench.run("record", "backup", tmp_path / "b.sqlite")
    bench.run("record", "backup", tmp_path / "b.sqlite", code=1)
    bench.run("record", "restore", tmp_path / "b.sqlite", code=1)
    assert bench.json("record", "restore", tmp_path / "b.sqlite", "--replace")["kept"]
    bench.run("record", "restore", tmp_path / "b.sqlite", "--record", "postgresql://x/y", code=2)
    bench.run("record", "export", "BW1", tmp_path / "j.zip")
    there = ("--record", tmp_path / "there.sqlite")
    assert bench.json("record", "import", tmp_path / "j.zip", *there)["added"]["entries"] == 1
    assert bench.json("record", "check", *there)["faults"] == []
    bench.run("reading", "write", "BW1", tmp_path / "f.yaml")
    assert "900 mm" in (tmp_path / "f.yaml").read_text()
    assert bench.json("record", "link", "BW1", "3")["target"] == "cagewright:jobs/BW1/steps/3"


@pytest.mark.slow
@pytest.mark.parametrize("kept", [True, False])
def test_written_readings_say_what_is_there_and_held_at_their_step(bench: Bench, tmp_path: Path, kept: bool):
    marks = ("hoop_left", "front_leg_left.end")
    bench.run("reading", "add", "BW1", *marks, "39 1/32 in", "--step", "3")
    file, by_marks = tmp_path / "f.yaml", tmp_path / "m.yaml"
    write = ("reading", "write", "BW1", file, "--step", "3")
    assert "no plan" in bench.json(*write)["caution"]
    assert "present" not in file.read_text()
    if kept:
        bench.run("record", "plan", "BW1", PLAN)
    assert bench.json(*write, *(() if kept else ("--plan", PLAN)))["caution"] == ""
    words = ["marks", str(PLAN), "--step", "3", "--file", str(by_marks)]
    assert CliRunner().invoke(command_line(["marks"]), words).exit_code == 0
    head = by_marks.read_text().partition("readings:\n")[0]
    assert "held: [main_hoop" in head
    assert file.read_text() == f"{head}readings:\n  - {{tape: [{', '.join(marks)}], says: 39 1/32 in}}\n"


def test_a_plan_from_elsewhere_writes_nothing_outside_its_folder(bench: Bench, tmp_path: Path):
    name = f"../{tmp_path.name}.yaml"
    with opened(str(bench.where)) as record:
        add_revision(record, "BW1", mark="m", file=name, text="title: out\n", by="Ann")
    assert bench.json("reading", "write", "BW1", tmp_path / "f.yaml", "--step", "3")["caution"]
    assert not (Path(gettempdir()) / name[3:]).exists()


def test_a_damaged_record_exits_with_1_and_is_read(bench: Bench, tmp_path: Path):
    bench.run("record", "backup", tmp_path / "b.sqlite")
    data = (tmp_path / "b.sqlite").read_bytes()
    bench.where.write_bytes(bytes(4096) + data[4096:])
    assert "--rescue" in bench.run("record", "check", code=1)
    told = bench.json("record", "check", "--rescue", tmp_path / "rows.jsonl")
    assert told["read"]["jobs"] == 1
    assert "BW1" in (tmp_path / "rows.jsonl").read_text()
    bench.run("record", "check", "--rescue", tmp_path / "r2", "--record", tmp_path / "none", code=1)


def commands(group: Any, path: str) -> Iterator[tuple[str, list[str]]]:
    """Every command by its whole name, with its options."""
    for name, command in group.commands.items():
        if hasattr(command, "commands"):
            yield from commands(command, f"{path} {name}")
        else:
            yield f"{path} {name}", [o for p in command.params for o in p.opts if o.startswith("--")]


TOLD = {
    name: options
    for name, options in commands(get_command(APP), "cagewright")
    if "record reading" not in name
}


@pytest.mark.parametrize("name", TOLD)
def test_every_command_and_option_is_told(name: str):
    assert f"`{name.removeprefix('cagewright ')}" in PAGE
    for option in TOLD[name]:
        assert f"`{option}" in PAGE


def test_one_that_is_not_told_is_missed():
    assert "`record burn" not in PAGE
    assert len(TOLD) >= 20
