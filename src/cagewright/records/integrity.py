"""Whether a record is sound, page by page and row by row."""

from __future__ import annotations

from sqlalchemy import Connection, func, inspect, select, text

from cagewright.records.hashing import row_hash
from cagewright.records.opening import Record, reading, version_of
from cagewright.records.photos import photo_faults
from cagewright.records.rows import rows_of, to_entry
from cagewright.records.tables import TABLES
from cagewright.records.types import Health


def health(record: Record) -> Health:
    """What a full check of the record finds: pages, references, seals, guards, photos kept beside it.

    Raises:
        ProblemsFound: the database refused.
    """
    with reading(record) as connection:
        faults = [*_pages(connection), *_guards(connection)]
        rows = {
            name: connection.scalar(select(func.count()).select_from(TABLES[name])) or 0 for name in TABLES
        }
        for name in TABLES:
            faults += _hashes(connection, name)
        if record.path is not None:
            photos = rows_of(connection, TABLES["entries"], TABLES["entries"].c.kind == "photo")
            faults += photo_faults(record.path.parent, map(to_entry, photos))
        return Health(record=record.name, version=version_of(connection), rows=rows, faults=tuple(faults))


def _pages(connection: Connection) -> list[str]:
    if connection.dialect.name != "sqlite":
        return []
    said = [str(row[0]) for row in connection.execute(text("PRAGMA integrity_check"))]
    loose = connection.execute(text("PRAGMA foreign_key_check")).all()
    return [*(line for line in said if line != "ok"), *(f"{row[0]}: a row refers to none" for row in loose)]


def _hashes(connection: Connection, table: str) -> list[str]:
    broken = [row["id"] for row in rows_of(connection, TABLES[table]) if row_hash(row) != row["seal"]]
    return [f"{table}: row {number} is not as it was entered" for number in broken]


def _guards(connection: Connection) -> list[str]:
    """Whether the guards against change are still in place."""
    if connection.dialect.name == "sqlite":
        asked, each = "SELECT name FROM sqlite_master WHERE type = 'trigger'", ("no_update", "no_delete")
    else:
        asked, each = "SELECT tgname FROM pg_trigger WHERE NOT tgisinternal", ("only_grows",)
    there = set(connection.scalars(text(asked)))
    known = inspect(connection).get_table_names()
    return [
        f"{table}: the guard against changing rows is gone"
        for table in TABLES
        if table in known and not all(f"{table}_{tail}" in there for tail in each)
    ]
