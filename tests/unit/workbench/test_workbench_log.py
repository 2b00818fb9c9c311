"""The log of revisions: a tree of texts, walked by undo and redo, that outlives the program."""

import sqlite3
from pathlib import Path

import pytest

from cagewright.base.problems import ProblemsFound
from cagewright.job.history.log import EditsLog, hash_of


@pytest.fixture
def log(tmp_path: Path) -> EditsLog:
    return EditsLog(tmp_path / "edits.db")


def added(log: EditsLog, text: str, plan: str = "a", **more: object):
    last = log.last(plan)
    given = {"before": last and last.step, "words": text, "on_disk": "", **more}
    return log.add(plan, text.encode(), **given)  # type: ignore[arg-type]


def test_numbers_grow_by_one_in_each_plan(log: EditsLog):
    assert log.last("a") is None
    assert [added(log, t).number for t in ("one", "two", "three")] == [1, 2, 3]
    assert added(log, "other", plan="b").number == 1
    assert log.last("a").number == 3


def test_every_text_comes_back_whole(log: EditsLog):
    data = bytes(range(256)) * 40
    step = log.add("a", data, before=None, words="opened", on_disk="").step
    assert log.text(step) == data
    assert step.hash == hash_of(data)


def test_the_step_ahead_is_the_one_that_was_current_last(log: EditsLog):
    one = added(log, "one").step
    two = added(log, "two").step
    log.turn_to("a", one, how="undo", on_disk="")
    other = added(log, "other", before=one).step
    assert log.ahead(one) == other
    log.turn_to("a", one, how="undo", on_disk="")
    assert log.ahead(one) == other
    log.turn_to("a", two, how="redo", on_disk="")
    assert log.ahead(one) == two
    assert log.ahead(two) is None


def test_a_step_that_was_never_current_is_kept_and_lies_ahead(log: EditsLog):
    one = added(log, "one").step
    theirs = log.kept("a", b"theirs", before=one, words="theirs")
    assert log.last("a").step == one
    assert log.ahead(one) == theirs
    assert log.text(theirs) == b"theirs"


def test_it_is_there_after_a_restart(tmp_path: Path):
    first = EditsLog(tmp_path / "edits.db")
    one, two = added(first, "one"), added(first, "two", part_of="stroke")
    first.mark_saved("a", two.number)
    first.close()
    again = EditsLog(tmp_path / "edits.db")
    assert again.last("a") == two
    assert again.step(two.step.before) == one.step
    assert again.saved("a") == 2


def test_it_is_there_where_the_program_was_ended_without_closing(tmp_path: Path):
    """A second connection sees what the first has written down, before the first lets go of it."""
    log = EditsLog(tmp_path / "edits.db")
    added(log, "one")
    copy = tmp_path / "copy"
    copy.mkdir()
    for file in tmp_path.glob("edits.db*"):
        (copy / file.name).write_bytes(file.read_bytes())
    assert EditsLog(copy / "edits.db").last("a").step.words == "one"


def test_writing_waits_for_the_disk(tmp_path: Path):
    log = EditsLog(tmp_path / "edits.db")
    assert log._base.execute("PRAGMA synchronous").fetchone() == (2,)  # FULL
    log.mark_saved("a", 1)
    assert log._base.execute("PRAGMA synchronous").fetchone() == (2,)


def test_a_second_workbench_in_the_folder_is_refused(tmp_path: Path):
    first = EditsLog(tmp_path / "edits.db")
    added(first, "one")
    with pytest.raises(ProblemsFound) as found:
        EditsLog(tmp_path / "edits.db")
    assert found.value.problems[0].code == "log-locked"
    first.close()
    assert EditsLog(tmp_path / "edits.db").last("a").number == 1


def test_a_broken_log_is_said_so(tmp_path: Path):
    (tmp_path / "edits.db").write_bytes(b"no database" * 1000)
    with pytest.raises(ProblemsFound) as found:
        EditsLog(tmp_path / "edits.db")
    assert found.value.problems[0].code == "log-refused"


def test_a_log_of_a_newer_version_is_not_touched(tmp_path: Path):
    EditsLog(tmp_path / "edits.db").close()
    base = sqlite3.connect(tmp_path / "edits.db")
    base.execute("PRAGMA user_version=99")
    base.close()
    with pytest.raises(ProblemsFound):
        EditsLog(tmp_path / "edits.db")
    assert sqlite3.connect(tmp_path / "edits.db").execute("PRAGMA user_version").fetchone() == (99,)


def test_no_such_step(log: EditsLog):
    with pytest.raises(ValueError, match="no step"):
        log.step(77)
