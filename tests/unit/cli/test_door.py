"""The door of every command: a mistake of ours is a sentence, and any output can take what is said."""

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from cagewright.cli import app
from commands import ROOT, shell, typed

PLAN = ROOT / "examples" / "roll-bar.yaml"


def spoilt(folder: Path, starts: str, now: str) -> Path:
    """The plan beside its shop file, with the line that starts so replaced."""
    shutil.copy(PLAN.with_name("brackwater.shop.yaml"), folder)
    lines = PLAN.read_text(encoding="utf-8").splitlines()
    n = next(n for n, line in enumerate(lines) if line.startswith(starts))
    plan = folder / "plan.yaml"
    plan.write_text("\n".join([*lines[:n], now, *lines[n + 1 :]]), encoding="utf-8")
    return plan


def test_a_mistake_of_ours_is_a_sentence_with_a_reference_and_a_log(monkeypatch, capsys, tmp_path):
    def broken(names):
        raise ZeroDivisionError("ours")

    monkeypatch.setenv("TMPDIR", str(tmp_path))
    monkeypatch.setattr("tempfile.tempdir", None)
    monkeypatch.setattr(app, "command_line", broken)
    monkeypatch.setattr(sys, "argv", ["cagewright", "show", "plan.yaml"])
    with pytest.raises(SystemExit) as ended:
        app.main()
    said = capsys.readouterr()
    assert ended.value.code == app.OURS == 70
    assert not said.out
    assert "Traceback" not in said.err
    (log,) = tmp_path.glob("cagewright-*.log")
    assert log.stem.removeprefix("cagewright-") in said.err
    assert "ZeroDivisionError: ours" in log.read_text()


@pytest.mark.skipif(os.name == "nt", reason="a POSIX shell closes the output")
def test_a_closed_output_is_no_traceback():
    command = f"{sys.executable} -m cagewright show {PLAN} >&-"
    ended = subprocess.run(["sh", "-c", command], capture_output=True, text=True, timeout=120)
    assert ended.returncode == 0, ended.stderr
    assert not ended.stderr


def test_an_output_that_lacks_a_letter_prints_another(monkeypatch):
    monkeypatch.setenv("PYTHONIOENCODING", "ascii")
    ended = shell("cope", "--branch", "38x2.5", "--main", "45", "--angle", "60", "--points", "8")
    assert ended.returncode == 0, ended.stderr
    assert ended.stdout.isascii()


def test_a_control_character_of_a_file_never_reaches_the_terminal(tmp_path):
    plan = spoilt(tmp_path, "title: ", 'title: "\\e[31mroll bar\\a"')
    ended = typed("show", plan)
    assert ended.returncode == 0, ended.stderr
    assert "roll bar" in ended.stdout + ended.stderr
    assert "\x1b" not in ended.stdout + ended.stderr
    assert "\x07" not in ended.stdout + ended.stderr


def test_units_that_are_a_list_are_a_mistake_with_its_line(tmp_path):
    plan = spoilt(tmp_path, "units: ", "units: [mm]")
    ended = typed("check", plan)
    assert ended.returncode == 1
    assert "units" in ended.stderr
    assert "plan.yaml:" in ended.stderr
