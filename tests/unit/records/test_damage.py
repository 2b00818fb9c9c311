"""A damaged record is refused, with what can be read of it; backups and restoring."""

import json
import os
import random
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from cagewright.base.problems import ProblemsFound
from cagewright.records.backup import back_up, restore
from cagewright.records.entries import Hand, add_reading
from cagewright.records.jobs import add_revision, history, new_job
from cagewright.records.opening import Record, opened
from cagewright.records.rescuing import rescue, write_rescued

ANN = Hand(by="Ann")
PAGE = 4096
LONG = "title: long\n" + "# " + "x" * 20_000 + "\n"


def filled(record: Record, readings: int = 200) -> None:
    add_revision(record, "BW1", mark="aa", file="b.yaml", text=LONG, by="Ann")
    for number in range(readings):
        add_reading(record, "BW1", ("a", f"k{number}"), f"{1000 + number}", hand=ANN)


@pytest.fixture
def backup(record: Record, tmp_path: Path) -> Path:
    filled(record)
    return back_up(record, tmp_path / "backup.sqlite")


def spoil(path: Path, page: int, count: int = PAGE) -> None:
    """Random bytes over the start of a page, numbered from 1."""
    data = bytearray(path.read_bytes())
    data[(page - 1) * PAGE : (page - 1) * PAGE + count] = random.Random(page).randbytes(count)
    path.write_bytes(data)


def test_a_sound_backup_holds_everything(backup: Path):
    found = rescue(backup)
    assert {name: len(rows) for name, rows in found.rows.items()} == {
        "jobs": 1,
        "revisions": 1,
        "entries": 200,
        "moves": 0,
    }
    assert found.sealed == {"jobs": 1, "revisions": 1, "entries": 200, "moves": 0}
    assert found.lost == dict.fromkeys(found.rows, 0)
    with opened(backup) as record:
        assert len(history(record, "BW1").entries) == 200


def test_a_file_whose_beginning_is_gone_is_refused_and_its_rows_are_read(backup: Path):
    spoil(backup, 1)
    with (
        pytest.raises(ProblemsFound, match=r"1 revisions, 200 entries.*--rescue"),
        opened(backup),
    ):
        pass
    found = rescue(backup)
    assert [row["text"] for row in found.rows["entries"]] == [str(1000 + n) for n in range(200)]
    assert found.rows["revisions"][0]["text"] == LONG
    assert found.sealed["entries"] == 200
    assert found.sealed["revisions"] == 1


def pages_of(path: Path, word: str) -> list[int]:
    """The leaf pages, numbered from 1, on which the word stands."""
    data = path.read_bytes()
    return [
        at // PAGE + 1
        for at in range(0, len(data), PAGE)
        if data[at] == 13 and word.encode() in data[at : at + PAGE]
    ]


def test_a_spoilt_page_in_the_middle_loses_its_own_rows_and_no_more(backup: Path):
    leaves = pages_of(backup, "tape")
    assert len(leaves) > 5
    spoil(backup, leaves[2])
    with pytest.raises(ProblemsFound, match="damaged"), opened(backup):
        pass
    found = rescue(backup)
    kept = len(found.rows["entries"])
    assert 200 - 40 < kept < 200
    assert found.lost["entries"] == 200 - kept
    assert found.sealed["entries"] == kept


def test_a_file_cut_short_is_refused_and_its_rows_are_read(backup: Path):
    data = backup.read_bytes()
    backup.write_bytes(data[: len(data) * 3 // 4])
    with pytest.raises(ProblemsFound, match="damaged"), opened(backup):
        pass
    assert len(rescue(backup).rows["entries"]) > 100


def test_a_row_that_was_changed_is_read_and_told(backup: Path, tmp_path: Path):
    data = backup.read_bytes()
    assert data.count(b"k1231123") == 1  # second mark and text of one reading, side by side
    backup.write_bytes(data.replace(b"k1231123", b"k1231124"))
    found = rescue(backup)
    assert found.sealed["entries"] == 199
    lines = write_rescued(found, tmp_path / "rows.jsonl").read_text(encoding="ascii").splitlines()
    rows = [json.loads(line) for line in lines]
    assert [row["other"] for row in rows if not row["sealed"]] == ["k123"]


def test_rows_in_the_write_ahead_log_are_read(record: Record, path: Path, tmp_path: Path):
    filled(record, 20)
    away = tmp_path / "away"
    away.mkdir()
    for tail in ("", "-wal"):
        data = Path(f"{path}{tail}").read_bytes()
        (away / f"record.sqlite{tail}").write_bytes(data)
    assert (away / "record.sqlite-wal").stat().st_size > 0
    copy = away / "record.sqlite"
    copy.write_bytes(os.urandom(PAGE) + copy.read_bytes()[PAGE:])
    # the log is read by itself: the database would take neither
    from cagewright.records.pages import rows_in

    rows = list(rows_in(copy))
    assert {row["other"] for name, row in rows if name == "entries"} == {f"k{n}" for n in range(20)}
    assert [row["text"] for name, row in rows if name == "revisions"] == [LONG]


@pytest.mark.parametrize(
    "content", [b"", b"not a record", b"SQLite format 3\0", os.urandom(5000), b"\r" * 9000]
)
def test_what_is_no_record_is_refused(path: Path, content: bytes):
    path.write_bytes(content)
    with pytest.raises(ProblemsFound), opened(path):
        pass
    assert sum(map(len, rescue(path).rows.values())) == 0
    assert path.read_bytes() == content


def test_another_programs_file_is_refused_and_left_alone(path: Path):
    with closing(sqlite3.connect(path)) as raw, raw:
        raw.execute("CREATE TABLE letters (text)")
    before = path.read_bytes()
    for create in (False, True):
        with pytest.raises(ProblemsFound, match="not-a-record"), opened(path, create=create):
            pass
    assert path.read_bytes() == before


def test_there_must_be_a_record(path: Path):
    with pytest.raises(ProblemsFound, match="no-record"), opened(path):
        pass
    assert not path.exists()
    with pytest.raises(ProblemsFound, match="no-record"), opened(path.parent):
        pass


def test_a_backup_does_not_go_over_another_file(record: Record, tmp_path: Path, path: Path):
    target = tmp_path / "b.sqlite"
    target.write_bytes(b"mine")
    with pytest.raises(ProblemsFound, match="exists"):
        back_up(record, target)
    with pytest.raises(ProblemsFound, match="same-file"):
        back_up(record, path, replace=True)
    assert target.read_bytes() == b"mine"
    assert back_up(record, target, replace=True) == target
    with pytest.raises(ProblemsFound, match="cannot-write"):
        back_up(record, tmp_path / "nowhere" / "b.sqlite")


def test_restoring_needs_to_be_told_and_keeps_what_stood_there(record: Record, backup: Path, path: Path):
    add_reading(record, "BW1", ("a", "late"), "999", hand=ANN)
    with pytest.raises(ProblemsFound, match="exists"):
        restore(backup, path)
    aside = restore(backup, path, replace=True)
    assert aside is not None
    # the bench that has the record open sees the restored one
    assert len(history(record, "BW1").entries) == 200
    with opened(aside) as kept:
        assert len(history(kept, "BW1").entries) == 201
    add_reading(record, "BW1", ("a", "later"), "998", hand=ANN)
    with opened(path) as again:
        assert len(history(again, "BW1").entries) == 201


def test_restoring_where_there_is_none(backup: Path, tmp_path: Path):
    target = tmp_path / "new.sqlite"
    assert restore(backup, target) is None
    with opened(target) as record:
        assert len(history(record, "BW1").entries) == 200


def test_restoring_over_a_damaged_record_keeps_it(backup: Path, tmp_path: Path):
    target = tmp_path / "shop.sqlite"
    target.write_bytes(b"x" * 9000)
    aside = restore(backup, target, replace=True)
    assert aside == tmp_path / "shop.damaged-1.sqlite"
    assert aside.read_bytes() == b"x" * 9000
    with opened(target) as record:
        assert len(history(record, "BW1").entries) == 200


def test_a_damaged_backup_is_not_restored(backup: Path, tmp_path: Path, record: Record, path: Path):
    spoil(backup, 3)
    with pytest.raises(ProblemsFound, match="damaged"):
        restore(backup, path, replace=True)
    with pytest.raises(ProblemsFound, match="no-record"):
        restore(tmp_path / "nothing", path, replace=True)
    assert len(history(record, "BW1").entries) == 200
    assert new_job(record, "BW2", by="Ann").name == "BW2"
