"""A record of an older version is brought up to date, whole or not at all; a copy is put beside it first."""

import sqlite3
from contextlib import closing
from pathlib import Path

import pytest
from alembic.autogenerate import compare_metadata
from alembic.config import Config
from alembic.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy import text

from cagewright.base.problems import ProblemsFound
from cagewright.records import opening, tables
from cagewright.records.entries import Hand, add_inspected, add_reading, correct
from cagewright.records.integrity import health
from cagewright.records.jobs import history, new_job
from cagewright.records.migrations.versions import v0004_inspections
from cagewright.records.opening import Record, opened, reading, writing
from cagewright.records.rack import on_hand

JOB, LINE = "1" * 32, "2" * 32


def older(path: Path) -> Path:
    """A record as version 0001 made it, with a job and a reading."""
    record = opening._reach(path, 5.0)
    with writing(record) as connection:
        opening.migrate(connection, "0001")
        connection.execute(
            text(
                "INSERT INTO jobs (uid, name, units, by, entered)"
                " VALUES (:uid, 'OLD', 'mm', 'Ann', '2025-01-01')"
            ),
            {"uid": JOB},
        )
        connection.execute(
            text(
                "INSERT INTO entries (uid, job_uid, kind, subject, other, text, unit, sort, value, used, by)"
                " VALUES (:uid, :job, 'reading', 'a', 'b', '1032.5', 'mm', 'tape', 1032.5, 1, 'Ann')"
            ),
            {"uid": LINE, "job": JOB},
        )
    record.engine.dispose()
    return path


def version(path: Path) -> str:
    with closing(sqlite3.connect(path)) as raw:
        return raw.execute("SELECT version_num FROM alembic_version").fetchone()[0]


def test_an_older_record_is_brought_up_to_date(path: Path):
    older(path)
    assert version(path) == "0001"
    with opened(path) as record:
        (line,) = history(record, "OLD").entries
        assert (line.text, line.value, line.used, line.by) == ("1032.5", 1032.5, True, "Ann")
        assert health(record).faults == ()
        assert on_hand(record) == ()
        add_reading(record, "OLD", ("a", "c"), "900", hand=Hand(by="Bea"))
        with pytest.raises(ProblemsFound, match="append-only"):
            overwrite(record)
    assert version(path) == tables.HEAD


def test_lines_of_an_older_record_keep_their_seals_numbers_and_corrections(path: Path):
    """The table of entries is made anew for a new kind of line: nothing else about it may change."""
    record = opening._reach(path, 5.0)
    with writing(record) as connection:
        opening.migrate(connection, "0002")
    hand = Hand(by="Ann")
    new_job(record, "OLD", by="Ann")
    first = add_reading(record, "OLD", ("a", "b"), "900", hand=hand).entry
    correct(record, "OLD", first.id, hand=hand, why="misread", text="901")
    before = history(record, "OLD").entries
    record.engine.dispose()
    with opened(path) as now:
        assert history(now, "OLD").entries == before
        assert health(now).faults == ()
        kept = add_inspected(now, "OLD", "fia-253-2020", "main-tube", "45 x 2.5 mm", hand=hand)
        assert kept.id == before[-1].id + 1
        assert (
            correct(now, "OLD", kept.id, hand=hand, why="misread", text="45 x 2.4 mm").entry.corrects_uid
            == kept.uid
        )
        with pytest.raises(ProblemsFound, match="corrected-before"):
            correct(now, "OLD", first.id, hand=hand, why="again", text="902")
    with closing(sqlite3.connect(path)) as raw, pytest.raises(sqlite3.IntegrityError, match="entries_kind"):
        raw.execute(
            "INSERT INTO entries (uid, job_uid, kind, used) SELECT 'x', job_uid, 'hope', 1 FROM entries"
        )


def overwrite(record: Record) -> None:
    with writing(record) as connection:
        connection.exec_driver_sql("UPDATE entries SET text = 'x'")


def test_a_copy_of_the_older_record_is_kept(path: Path):
    older(path)
    with opened(path):
        pass
    (copy,) = path.parent.glob("record.before-0004.*.sqlite")
    assert version(copy) == "0001"
    with closing(sqlite3.connect(copy)) as raw:
        assert raw.execute("SELECT text FROM entries").fetchall() == [("1032.5",)]


def test_a_migration_that_stops_half_way_changes_nothing(path: Path, monkeypatch: pytest.MonkeyPatch):
    older(path)

    def stops(table: str) -> None:
        if table == "entries":
            raise KeyboardInterrupt

    with monkeypatch.context() as patched:
        patched.setattr(ScriptDirectory, "run_env", _env_with(stops, ScriptDirectory.run_env))
        with pytest.raises(KeyboardInterrupt), opened(path):
            pass
    assert version(path) == "0001"
    with closing(sqlite3.connect(path)) as raw:
        columns = [row[1] for row in raw.execute("PRAGMA table_info(jobs)")]
        assert "seal" not in columns
    with opened(path) as record:
        assert health(record).faults == ()


def _env_with(stops, run_env):
    """Alembic loads each version's file anew: the sabotage is put into what it loaded."""

    def run(self: ScriptDirectory) -> None:
        for script in self.walk_revisions():
            if script.revision == "0002":
                script.module._seal_all = stops
        run_env(self)

    return run


def test_a_newer_record_is_refused(record: Record, path: Path):
    with writing(record) as connection:
        connection.exec_driver_sql("UPDATE alembic_version SET version_num = '9999'")
    with pytest.raises(ProblemsFound, match="newer-record"), opened(path):
        pass


def test_the_tables_are_those_that_the_migrations_make(record: Record):
    with reading(record) as connection:
        context = MigrationContext.configure(connection, opts={"compare_type": True})
        assert compare_metadata(context, tables.metadata) == []


def test_a_table_that_no_migration_makes_is_seen(record: Record):
    with writing(record) as connection:
        connection.exec_driver_sql("DROP TABLE moves")
        context = MigrationContext.configure(connection)
        assert compare_metadata(context, tables.metadata) != []
        connection.rollback()


def test_the_newest_version_is_known():
    config = Config()
    config.set_main_option("script_location", str(Path(opening.__file__).parent / "migrations"))
    scripts = ScriptDirectory.from_config(config)
    assert scripts.get_heads() == [tables.HEAD]
    assert tuple(reversed([s.revision for s in scripts.walk_revisions()])) == tables.VERSIONS
    assert v0004_inspections.revision == tables.HEAD
