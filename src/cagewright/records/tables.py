"""The record's tables as they are at this version; how they came about stands in the migrations."""

from __future__ import annotations

from typing import get_args

from sqlalchemy import (
    Boolean,
    CheckConstraint,
    Column,
    Double,
    ForeignKey,
    Integer,
    MetaData,
    String,
    Table,
    Text,
)

from cagewright.records.types import EntryKind

HEAD = "0004"
"""Version of the tables below."""
VERSIONS = ("0001", "0002", "0003", "0004")
APPLICATION_ID = 0x43475752
"""Marks an SQLite file as a record of this program (PRAGMA application_id)."""

metadata = MetaData()


def _text(name: str) -> Column[str]:
    return Column(name, Text, nullable=False, server_default="")


def _uid() -> Column[str]:
    return Column("uid", String(32), nullable=False, unique=True)


def _number() -> Column[int]:
    return Column("id", Integer, primary_key=True)


def _seal() -> Column[str]:
    return Column("seal", String(64), nullable=False, server_default="")


jobs = Table(
    "jobs", metadata, _number(), _uid(),
    Column("name", Text, nullable=False, unique=True),
    _text("customer"), _text("reference"), _text("title"), _text("units"), _text("by"), _text("entered"),
    _seal(),
    sqlite_autoincrement=True,
)  # fmt: skip
revisions = Table(
    "revisions", metadata, _number(), _uid(),
    Column("job_uid", String(32), ForeignKey("jobs.uid"), nullable=False),
    _text("mark"), _text("file"), _text("text"), _text("others"), _text("note"), _text("by"),
    _text("entered"), _seal(),
    sqlite_autoincrement=True,
)  # fmt: skip
entries = Table(
    "entries", metadata, _number(), _uid(),
    Column("job_uid", String(32), ForeignKey("jobs.uid"), nullable=False, index=True),
    Column("revision_uid", String(32), ForeignKey("revisions.uid")),
    # one correction at most of each entry: a second bench that corrects the same one is told so
    Column("corrects_uid", String(32), ForeignKey("entries.uid"), unique=True),
    _text("kind"), _text("step"), _text("subject"), _text("other"), _text("text"), _text("unit"),
    _text("sort"), _text("axis"),
    Column("value", Double),
    Column("used", Boolean, nullable=False),
    _text("why"), _text("note"), _text("by"), _text("taken"), _text("entered"), _seal(),
    CheckConstraint(f"kind IN {get_args(EntryKind)!r}", name="entries_kind"),
    sqlite_autoincrement=True,
)  # fmt: skip
moves = Table(
    "moves", metadata, _number(), _uid(),
    Column("job_uid", String(32), ForeignKey("jobs.uid")),
    _text("kind"), _text("name"),
    Column("od", Double, nullable=False), Column("wall", Double, nullable=False), _text("steel"),
    Column("length", Double, nullable=False), Column("count", Integer, nullable=False),
    _text("why"), _text("by"), _text("entered"), _seal(),
    CheckConstraint("kind IN ('stock', 'offcut')", name="moves_kind"),
    sqlite_autoincrement=True,
)  # fmt: skip

TABLES: dict[str, Table] = {"jobs": jobs, "revisions": revisions, "entries": entries, "moves": moves}
"""By name, each after those it refers to."""
