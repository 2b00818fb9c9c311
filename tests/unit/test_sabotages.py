"""The sabotages' own runner: whose turn it is, what counts as caught, and that a spoilt file is as before."""

import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
sys.path.append(str(ROOT / "tests" / "mutants"))

import run  # noqa: E402

MADE = [
    run.Sabotage(name=f"made-{i}", file=f"{'ab'[i % 2]}.py", old="+", new="-", test="t") for i in range(10)
]


def names(sabotages: list[run.Sabotage]) -> list[int]:
    return [int(s.name.removeprefix("made-")) for s in sabotages]


def test_what_the_last_change_touched_comes_first_and_none_is_left_out():
    assert names(run.in_turn(MADE, {"b.py"}, 0)) == [1, 3, 5, 7, 9, 0, 2, 4, 6, 8]
    assert names(run.in_turn(MADE, set(), 0)) == list(range(10))
    for commit in range(7):
        assert sorted(names(run.in_turn(MADE, {"b.py"}, commit))) == list(range(10))


def test_the_rest_takes_turns_from_commit_to_commit(monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setattr(run, "STRIDE", 3)
    begins = [names(run.in_turn(MADE, set(), commit))[0] for commit in range(4)]
    assert begins == [0, 3, 6, 9]


def test_the_last_landed_change_is_what_came_after_the_last_pause(monkeypatch: pytest.MonkeyPatch):
    said = {"log": "c3 90000\nc2 89000\nc1 1000\nc0 0", "merge-base": "", "rev-parse": "c3"}
    monkeypatch.setattr(run, "git", lambda *words: said[words[0]])
    assert run.landed_before() == "c1"
    said["log"] = "c3 90000\nc2 89000"  # a clone that goes back no further
    assert run.landed_before() == "c2"
    said["merge-base"] = "c9"
    assert run.landed_before() == "c9"
    said["merge-base"] = said["log"] = ""
    assert run.landed_before() == ""
    assert run.changed_files("") == set()


def test_only_a_failed_test_has_caught_it():
    assert not run.judged(MADE[0], 1, "FAILED tests/x.py::test_y", 1.0).wrong
    assert run.judged(MADE[0], 0, "1 passed", 1.0).wrong == "1 passed"
    assert run.judged(MADE[0], 1, "no FAIL", 1.0).wrong
    assert run.judged(MADE[0], 2, "ERROR collecting", 1.0).wrong
    assert run.judged(MADE[0], -9, "", 1.0).wrong == "exit -9"


def test_a_spoilt_file_is_restored_with_its_time(tmp_path: Path):
    file = tmp_path / "a.py"
    file.write_text("x = 1 + 2\n", encoding="utf-8")
    time = file.stat().st_mtime_ns
    was = run.spoil(file, "+", "-")
    assert file.read_text(encoding="utf-8") == "x = 1 - 2\n"
    run.restore(file, was)
    assert (file.read_text(encoding="utf-8"), file.stat().st_mtime_ns) == ("x = 1 + 2\n", time)
    with pytest.raises(ValueError, match="stands 0 times"):
        run.spoil(file, "*", "-")
    with pytest.raises(ValueError, match="stands 2 times"):
        run.spoil(file, " ", "-") if file.write_text("a b c") else None


@pytest.mark.slow
def test_a_sabotage_that_no_test_catches_fails_the_run(tmp_path: Path):
    row = '[[mutant]]\nfile = "base/units.py"\nold = {old!r}\nnew = {new!r}\ntest = "{test}"\n'
    old, test = 'float(found["num"])', "tests/unit/base/test_units.py"
    for name, new in (("harmless", f" {old}"), ("grave", f"-{old}")):
        (tmp_path / f"{name}.toml").write_text(row.format(old=old, new=new, test=test), encoding="utf-8")
    ended = subprocess.run(
        [sys.executable, ROOT / "tests" / "mutants" / "run.py", *sorted(tmp_path.glob("*.toml"))],
        capture_output=True, text=True,
    )  # fmt: skip
    assert ended.returncode == 1, ended.stdout + ended.stderr
    assert "1 caught, 1 not caught, 0 for another turn" in ended.stdout
    assert "NOT CAUGHT harmless-0-base/units.py" in ended.stdout
