"""Rows of the database to nouns, and new rows of the database."""

from __future__ import annotations

import json
import uuid
from collections.abc import Mapping, Sequence
from typing import Any

from sqlalchemy import Connection, Table, insert, select

from cagewright.base.problems import Problem, ProblemsFound
from cagewright.records.hashing import row_hash
from cagewright.records.opening import utc_now
from cagewright.records.troubles import problem
from cagewright.records.types import PlanRevision, PlanText, RecordEntry, ShopJob, StockMove, StockPiece

LONGEST = 2000
"""Most letters of one field, other than a plan's text."""

_NOBODY = ("nobody is named", "wanted the name of who did it")
Row = dict[str, Any]


def append(connection: Connection, table: Table, fields: Mapping[str, Any]) -> Row:
    """The new row as recorded: the fields, its own name, the time and its seal."""
    row: Row = {"uid": uuid.uuid4().hex, "entered": utc_now(), **fields}
    row["seal"] = row_hash(row)
    done = connection.execute(insert(table), row)
    return row | {"id": done.inserted_primary_key[0] if done.inserted_primary_key else 0}


def rows_of(connection: Connection, table: Table, *wanted: Any) -> list[Row]:
    """The table's rows for which all of ``wanted`` holds, in the order they were entered."""
    found = connection.execute(select(table).where(*wanted).order_by(table.c.id)).mappings()
    return [dict(row) for row in found]


def to_job(row: Mapping[str, Any]) -> ShopJob:
    """The row as a job."""
    return ShopJob(**{k: v for k, v in row.items() if k not in {"id", "seal"}})


def to_revision(row: Mapping[str, Any]) -> PlanRevision:
    """The row as a plan revision."""
    others = tuple(PlanText(**other) for other in json.loads(row["others"] or "[]"))
    return PlanRevision(**{k: v for k, v in row.items() if k not in {"id", "seal", "others"}}, others=others)


def to_entry(row: Mapping[str, Any]) -> RecordEntry:
    """The row as a line of a history."""
    return RecordEntry(**{k: v for k, v in row.items() if k != "seal"})


def to_move(row: Mapping[str, Any]) -> StockMove:
    """The row as a line of the stock's ledger."""
    keys = ("kind", "name", "od", "wall", "steel", "length", "count")
    piece = StockPiece(**{key: row[key] for key in keys})
    return StockMove(piece=piece, **{key: row[key] for key in ("uid", "job_uid", "why", "by", "entered")})


def others_text(others: Sequence[PlanText]) -> str:
    """The files as they are stored beside a plan's text."""
    return json.dumps([{"path": o.path, "text": o.text} for o in others], ensure_ascii=False)


def keepable(text: str) -> str:
    """The text with what no database keeps (zero bytes, halves of characters) written out as escapes."""
    return text.replace("\0", "\\x00").encode("utf-8", "backslashreplace").decode("utf-8")


def fields_or_problems(record: str, words: Mapping[str, str], *, must: Sequence[str] = ()) -> dict[str, str]:
    """The fields as they are kept, stripped.

    Args:
        record: the record's name, for problems.
        words: what was entered, by field.
        must: fields that may not be empty.

    Raises:
        ProblemsFound: a field is too long, or empty where it may not be.
    """
    kept = {key: keepable(value).strip() for key, value in words.items()}
    wrong: list[Problem] = []
    for key, value in kept.items():
        if len(value) > LONGEST:
            found = f"'{key}' has {len(value)} letters"
            wrong.append(problem("too-long", record, found, f"wanted at most {LONGEST}"))
        elif not value and key in must:
            empty = _NOBODY if key == "by" else (f"'{key}' is empty", "wanted a word or two")
            wrong.append(problem("empty", record, *empty))
    if wrong:
        raise ProblemsFound(wrong)
    return kept
