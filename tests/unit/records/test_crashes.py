"""What was committed survives: killed benches, a full disk, two benches at once."""

import random
import signal
import sqlite3
import subprocess
import sys
import time
from contextlib import closing
from pathlib import Path

import pytest

from cagewright.base.problems import ProblemsFound
from cagewright.records.entries import Hand, add_reading
from cagewright.records.integrity import health
from cagewright.records.jobs import history
from cagewright.records.opening import Record, opened, reading, writing
from cagewright.records.rack import on_hand, put, use_up
from cagewright.records.types import StockPiece

BENCH = Path(__file__).with_name("bench.py")


def bench(path: Path, first: int, count: int, name: str, *more: str) -> subprocess.Popen[str]:
    asked = [sys.executable, str(BENCH), str(path), str(first), str(count), name, *more]
    return subprocess.Popen(asked, stdout=subprocess.PIPE, text=True)


def readings_of(path: Path) -> list[str]:
    """The second marks of all readings kept, with the file looked through by SQLite itself first."""
    with closing(sqlite3.connect(path)) as raw:
        assert raw.execute("PRAGMA integrity_check").fetchone()[0] == "ok"
        return [row[0] for row in raw.execute("SELECT other FROM entries ORDER BY id")]


def lost(said: set[int], kept: list[str]) -> set[int]:
    return {n for n in said if f"k{n}" not in kept}


def kill_and_start_again(path: Path, writes: int, most: int, seed: int) -> tuple[set[int], int]:
    """The numbers said to be committed by benches killed within ``most`` writes, and how many were killed.

    A bench is killed a random moment after a random number of its writes: by the clock alone a quick machine
    would be done before, and a slow one not begun.
    """
    chance, said, killed, first = random.Random(seed), set[int](), 0, 0
    while first < writes:
        worker = bench(path, first, writes - first, "k")
        assert worker.stdout is not None
        assert worker.stdout.readline() == "open\n"
        seen = [worker.stdout.readline() for _ in range(chance.randrange(most))]
        time.sleep(chance.uniform(0.0, 0.01))
        worker.send_signal(signal.SIGKILL)
        rest = worker.stdout.read().split("\n")[:-1]
        killed += worker.wait() == -signal.SIGKILL
        said |= {int(line) for line in (*seen, *rest) if line.strip()}
        kept = readings_of(path)
        assert lost(said, kept) == set()
        # the next bench goes on after what was kept, also where the word of it was cut off
        first = max([first, *(int(k[1:]) + 1 for k in kept)])
    return said, killed


def test_a_killed_bench_loses_nothing_it_said_was_kept(record: Record, path: Path):
    _, killed = kill_and_start_again(path, 50, 25, seed=7)
    assert killed > 0
    kept = readings_of(path)
    assert sorted(kept) == sorted(f"k{n}" for n in range(50))
    assert health(record).faults == ()


@pytest.mark.slow
def test_five_hundred_writes_killed_at_random_points(record: Record, path: Path):
    _, killed = kill_and_start_again(path, 500, 60, seed=11)
    assert killed >= 5
    assert sorted(readings_of(path)) == sorted(f"k{n}" for n in range(500))
    assert health(record).faults == ()


def test_a_loss_would_be_seen():
    assert lost({1, 2, 3}, ["k1", "k3"]) == {2}


def test_a_write_that_is_not_committed_is_not_kept(record: Record):
    def half_way() -> None:
        with writing(record) as connection:
            connection.exec_driver_sql(
                "INSERT INTO jobs (uid, name) VALUES ('0123456789abcdef0123456789abcdef', 'half')"
            )
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        half_way()
    with reading(record) as connection:
        assert connection.exec_driver_sql("SELECT count(*) FROM jobs").scalar() == 1


def test_every_commit_is_forced_to_the_disk(record: Record):
    # PRAGMA synchronous: 2 is FULL; journal_mode WAL (sqlite.org, "PRAGMA Statements"; from memory)
    with reading(record) as connection:
        assert connection.exec_driver_sql("PRAGMA synchronous").scalar() == 2
        assert connection.exec_driver_sql("PRAGMA journal_mode").scalar() == "wal"


def test_a_file_that_may_not_grow_is_told_and_keeps_what_it_had(record: Record, path: Path):
    add_reading(record, "BW1", ("a", "k0"), "1000", hand=Hand(by="Ann"))
    most = max(found.stat().st_size for found in path.parent.glob(f"{path.name}*")) + 30_000
    worker = bench(path, 1, 400, "k", str(most))
    said = worker.communicate(timeout=120)[0].split()
    assert worker.returncode == 1
    assert said[-1] in {"disk-full", "disk-error"}
    numbers = {int(word) for word in said[1:-1]}
    assert 0 < len(numbers) < 400
    assert lost(numbers | {0}, readings_of(path)) == set()
    assert add_reading(record, "BW1", ("a", "b"), "900", hand=Hand(by="Ann")).wrong == ()


def test_a_full_disk_is_told_and_keeps_what_it_had(record: Record):
    """SQLite's own limit of pages stands for the disk's; only this one connection has it."""
    kept = 0
    told: ProblemsFound | None = None
    for number in range(200):
        add_reading(record, "BW1", ("a", f"k{number}"), "1000", hand=Hand(by="Ann"))
        kept += 1
        if number == 20:
            break
    try:
        with writing(record) as connection:
            pages = connection.exec_driver_sql("PRAGMA page_count").scalar() or 0
            connection.exec_driver_sql(f"PRAGMA max_page_count={pages}")
            connection.exec_driver_sql(
                "INSERT INTO jobs (uid, name, title)"
                " VALUES ('0123456789abcdef0123456789abcdef', 'x', printf('%.100000c', 'x'))"
            )
    except ProblemsFound as found:
        told = found
    assert told is not None
    assert told.problems[0].code == "disk-full"
    assert len(history(record, "BW1").entries) == kept
    assert health(record).faults == ()


def test_two_benches_at_once_lose_nothing(record: Record, path: Path):
    workers = [bench(path, 0, 40, name) for name in ("left", "right")]
    said = [worker.communicate(timeout=300)[0].split() for worker in workers]
    assert [worker.returncode for worker in workers] == [0, 0]
    assert said == [["open", *map(str, range(40))]] * 2
    assert sorted(readings_of(path)) == sorted(f"{n}{i}" for n in ("left", "right") for i in range(40))
    assert health(record).faults == ()


def test_two_benches_cannot_use_the_same_offcut(record: Record, path: Path):
    piece = StockPiece(kind="offcut", name="R1", od=38.0, wall=2.5, steel="E355+N", length=900.0)
    put(record, [piece], by="Ann")
    with opened(path) as other:
        use_up(other, "BW1", [piece], by="Bea")
        with pytest.raises(ProblemsFound, match="not-there"):
            use_up(record, "BW1", [piece], by="Ann")
    assert on_hand(record) == ()


def test_a_bench_that_waits_too_long_is_told(record: Record, path: Path):
    with opened(path, patience=0.2) as other, writing(record), pytest.raises(ProblemsFound, match="busy"):
        add_reading(other, "BW1", ("a", "b"), "1000", hand=Hand(by="Bea"))
