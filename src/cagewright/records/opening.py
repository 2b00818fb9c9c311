"""Opening a record, an SQLite file or PostgreSQL by its address: brought up to date, refused if damaged."""

from __future__ import annotations

import sqlite3
import time
from collections.abc import Generator
from contextlib import closing, contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, Engine, create_engine, event, inspect, text
from sqlalchemy.engine import URL, make_url
from sqlalchemy.exc import ArgumentError
from sqlalchemy.pool import NullPool

from cagewright.base.problems import ProblemsFound
from cagewright.records.copying import copy_aside
from cagewright.records.rescuing import can_be_read
from cagewright.records.tables import APPLICATION_ID, HEAD, VERSIONS
from cagewright.records.troubles import in_words, problem

PATIENCE = 30.0
"""A bench waits this long for another to finish writing, s."""
_LOCK = APPLICATION_ID


@dataclass(frozen=True, slots=True, kw_only=True)
class Record:
    """A record that is open.

    Attributes:
        name: as told to people: the file's path, or the address without its password.
        path: of the file; None for a server's.
        engine: for this package's own use.
    """

    name: str
    path: Path | None
    engine: Engine


def utc_now() -> str:
    """The time now, UTC in ISO 8601 to the millisecond, e.g. ``2026-03-01T09:30:00.000Z``."""
    return datetime.now(UTC).isoformat(timespec="milliseconds").replace("+00:00", "Z")


@contextmanager
def opened(where: str | Path, *, create: bool = False, patience: float = PATIENCE) -> Generator[Record]:
    """The record at that path or address, sound and of this version, closed afterwards.

    A record of an older version is brought up to date; a copy of an SQLite file is put beside it first.

    Args:
        where: path of an SQLite file, or an address such as ``postgresql://bench@shop/records``.
        create: make it where there is none.
        patience: how long to wait while another bench writes, s.

    Raises:
        ProblemsFound: there is none, it is damaged, of a newer version, or cannot be reached.
    """
    record = _reach(where, patience)
    try:
        with in_words(record.name):
            if record.path is not None:
                _look_at(record.path, record.name, create=create)
            _bring_up_to_date(record, create=create)
        yield record
    finally:
        record.engine.dispose()


def _reach(where: str | Path, patience: float) -> Record:
    if "://" not in str(where):
        path = Path(where)
        return Record(name=path.as_posix(), path=path, engine=_sqlite(path, patience))
    url = _url(str(where))
    name = url.render_as_string(hide_password=True)
    if url.get_backend_name() == "sqlite":
        path = Path(url.database or "record.sqlite")
        return Record(name=path.as_posix(), path=path, engine=_sqlite(path, patience))
    return Record(name=name, path=None, engine=_postgresql(url, name))


def _url(where: str) -> URL:
    wanted = "wanted a file, or an address such as postgresql://bench@shop/records"
    try:
        url = make_url(where)
    except ArgumentError as wrong:
        raise ProblemsFound([
            problem("no-address", "record", "the record's address cannot be read", wanted)
        ]) from wrong
    if url.get_backend_name() not in {"sqlite", "postgresql"}:
        raise ProblemsFound([
            problem("no-address", "record", f"'{url.get_backend_name()}' is no database for a record", wanted)
        ])
    return url


def _postgresql(url: URL, name: str) -> Engine:
    try:
        engine = create_engine(url.set(drivername="postgresql+psycopg"), poolclass=NullPool)
    except ImportError as wrong:
        wanted = "wanted the package psycopg: pip install 'psycopg[binary]'"
        raise ProblemsFound([
            problem("no-driver", name, "PostgreSQL cannot be spoken to from here", wanted)
        ]) from wrong

    @event.listens_for(engine, "begin")
    def _begin(connection: Connection) -> None:
        # benches write one after the other, as they do with a file: stock is counted and taken in one go
        if connection.get_execution_options().get("writes"):
            connection.exec_driver_sql(f"SELECT pg_advisory_xact_lock({_LOCK})")

    return engine


def _sqlite(path: Path, patience: float) -> Engine:
    # connections are kept while the record is open: the last to close folds the log into the file each time
    engine = create_engine(URL.create("sqlite", database=str(path)), connect_args={"timeout": patience})

    @event.listens_for(engine, "connect")
    def _connect(raw: Any, _: Any) -> None:
        raw.isolation_level = None  # transactions are begun below, so that tables are made in one too
        _write_ahead(raw, patience)
        raw.execute("PRAGMA synchronous=FULL")  # a commit is on the disk before it is said to be done
        raw.execute("PRAGMA foreign_keys=ON")

    @event.listens_for(engine, "begin")
    def _begin(connection: Connection) -> None:
        writes = connection.get_execution_options().get("writes")
        connection.exec_driver_sql("BEGIN IMMEDIATE" if writes else "BEGIN")

    return engine


def _write_ahead(raw: Any, patience: float) -> None:
    """Switch to write-ahead logging; the switch itself does not wait for other benches, so wait here.

    Raises:
        OperationalError: another bench kept the file busy for too long.
    """
    until = time.monotonic() + patience
    while raw.execute("PRAGMA journal_mode").fetchone()[0].lower() != "wal":
        try:
            raw.execute("PRAGMA journal_mode=WAL")
        except sqlite3.OperationalError as wrong:
            if "locked" not in str(wrong) or time.monotonic() > until:
                raise
            time.sleep(0.02)


@contextmanager
def reading(record: Record) -> Generator[Connection]:
    """A connection to read by, all of one moment.

    Raises:
        ProblemsFound: the database refused.
    """
    with in_words(record.name), record.engine.connect() as connection, connection.begin():
        yield connection


@contextmanager
def writing(record: Record) -> Generator[Connection]:
    """A connection to write by: all of it is recorded, or none; one bench at a time.

    Raises:
        ProblemsFound: the database refused, and nothing of it was recorded.
    """
    with in_words(record.name), record.engine.connect() as connection:
        connection = connection.execution_options(writes=True)
        with connection.begin():
            yield connection


def _look_at(path: Path, name: str, *, create: bool) -> None:
    """Refuse a file that is not there, is something else, or is damaged.

    Raises:
        ProblemsFound: it is one of these.
    """
    if not path.exists():
        if create:
            return
        raise ProblemsFound([
            problem("no-record", name, "there is no record", "wanted one: record new-job makes it")
        ])
    if path.is_dir():
        raise ProblemsFound([problem("no-record", name, "a folder stands there", "wanted a file")])
    if not path.stat().st_size:
        if create:
            return
        raise ProblemsFound([
            problem("no-record", name, "the file is empty", "wanted a record: restore a backup")
        ])
    faults = quick_faults(path)
    if faults:
        found = f"the record is damaged ({faults[0]}); {can_be_read(path)} can still be read"
        wanted = "wanted a sound file: write them out with record check --rescue, or restore a backup"
        raise ProblemsFound([problem("damaged", name, found, wanted)])


def quick_faults(path: Path) -> tuple[str, ...]:
    """What is wrong with an SQLite file at first look, in words; empty where nothing is.

    Raises:
        ProblemsFound: it is a sound file of another program.
        DatabaseError: another bench kept the file busy for too long.
    """
    with closing(sqlite3.connect(path, timeout=PATIENCE)) as raw:
        try:
            mark = raw.execute("PRAGMA application_id").fetchone()[0]
            found = [row[0] for row in raw.execute("PRAGMA quick_check(5)")]
            tables = raw.execute("SELECT count(*) FROM sqlite_master").fetchone()[0]
        except sqlite3.DatabaseError as wrong:
            if "locked" in str(wrong):
                raise
            return (str(wrong),)
        except UnicodeError:  # sqlite3 reads the damaged text out to say what is wrong with it
            return ("text in it is not text any more",)
    if found != ["ok"]:
        return tuple(line for said in found for line in said.splitlines() if not line.startswith("***"))
    if mark != APPLICATION_ID and tables:
        wanted = "wanted a record: a path where there is none yet, or the right file"
        raise ProblemsFound([
            problem("not-a-record", path.as_posix(), "the file belongs to another program", wanted)
        ])
    return ()


def version_of(connection: Connection) -> str:
    """The version of the record's tables; empty where there are none yet."""
    if not inspect(connection).has_table("alembic_version"):
        return ""
    return connection.execute(text("SELECT version_num FROM alembic_version")).scalar() or ""


def _bring_up_to_date(record: Record, *, create: bool) -> None:
    with reading(record) as connection:
        version = version_of(connection)
    if version == HEAD:
        return
    _can_be(record, version, create=create)
    if version and record.path is not None:
        copy_aside(record.path, f"before-{HEAD}")
    with writing(record) as connection:
        # another bench may have done it while this one waited
        if version_of(connection) != HEAD:
            migrate(connection, HEAD)


def _can_be(record: Record, version: str, *, create: bool) -> None:
    if not version and not create:
        raise ProblemsFound([
            problem("no-record", record.name, "there is no record", "wanted one: record new-job makes it")
        ])
    if version and version not in VERSIONS:
        found = f"the record is of version {version}, this program knows up to {HEAD}"
        raise ProblemsFound([problem("newer-record", record.name, found, "wanted a newer cagewright")])


def migrate(connection: Connection, to: str) -> None:
    """Bring the tables to that version, in the connection's transaction.

    Args:
        connection: to write by.
        to: the version wanted.
    """
    # alembic takes a tenth of a second to load, and is wanted once in a record's life
    from alembic import command
    from alembic.config import Config

    config = Config()
    config.set_main_option("script_location", str(Path(__file__).parent / "migrations").replace("%", "%%"))
    config.attributes["connection"] = connection
    if connection.dialect.name == "sqlite":
        connection.exec_driver_sql(f"PRAGMA application_id={APPLICATION_ID}")
    command.upgrade(config, to)
