"""Importing a job's zip: new rows are added, rows that are here already stay, nothing is overwritten."""

from __future__ import annotations

import json
import math
from collections.abc import Generator, Mapping
from contextlib import contextmanager
from pathlib import Path
from typing import Any, cast, get_args

from sqlalchemy import Connection, Table
from sqlalchemy.exc import IntegrityError

from cagewright.base.files import cannot_write, write_atomically
from cagewright.base.problems import Problem, ProblemsFound, Where
from cagewright.records.archive import Archive, json_of, lines_of, read_archive
from cagewright.records.hashing import row_hash
from cagewright.records.opening import Record, writing
from cagewright.records.photos import photo_file
from cagewright.records.rows import Row, append, fields_or_problems, keepable, rows_of, to_job
from cagewright.records.tables import entries, jobs, revisions
from cagewright.records.troubles import problem
from cagewright.records.types import Axis, Brought, EntryKind, ReadingSort

Located = tuple[Where, Row]
_TYPES: Mapping[str, tuple[type, ...]] = {"DOUBLE": (float, int), "BOOLEAN": (bool,), "INTEGER": (int,)}
_WORDS = {"kind": get_args(EntryKind), "sort": ("", *get_args(ReadingSort)), "axis": get_args(Axis)}


def import_job(record: Record, source: Path, *, name: str = "", papers_to: Path | None = None) -> Brought:
    """What was brought in; all of it, or nothing.

    A job that is here already grows by the lines it lacks. Stock that the job used up elsewhere stays in the
    other shop's ledger.

    Args:
        record: open.
        source: the zip.
        name: the job's name here; its own where empty.
        papers_to: folder for the zip's papers; None to leave them in it.

    Raises:
        ProblemsFound: the zip is not sound, its rows clash with those that are here, or the name is taken.
    """
    archive = read_archive(source)
    job, plans, lines = _job(archive), _rows(archive, ("revisions.jsonl",), revisions), _entries(archive)
    _belong(job, plans, lines)
    papers = tuple(n for n in archive.files if n.startswith("papers/"))
    places = _places(archive, papers, papers_to, record)
    _room_for(archive, places)
    try:
        with writing(record) as connection, _written(archive, places):
            here = _settle(connection, record, job, fields_or_problems(record.name, {"name": name})["name"])
            counts = {
                "revisions": _add(connection, revisions, plans),
                "entries": _add(connection, entries, lines),
            }
    except IntegrityError as wrong:
        found = "a line corrects one that was corrected here otherwise, or refers to one that is nowhere"
        raise ProblemsFound([
            problem("clash", archive.name, found, "wanted one correction of each line")
        ]) from wrong
    return Brought(
        job=to_job(here),
        added={table: new for table, (new, _) in counts.items()},
        known={table: old for table, (_, old) in counts.items()},
        papers=papers,
    )


def _job(archive: Archive) -> Row:
    where = Where(file=f"{archive.name}!job.json")
    row = _checked(jobs, json_of(archive.files["job.json"], where), where)
    if row["units"] not in ("mm", "in") or not row["name"].strip():
        raise ProblemsFound([_bad(where, "its name or units cannot be")])
    return row


def _entries(archive: Archive) -> list[Located]:
    """The history's lines, in the order they were entered.

    Raises:
        ProblemsFound: one is of a kind that there is not.
    """
    found = _rows(archive, ("readings.jsonl", "history.jsonl"), entries)
    wrong = [
        _bad(where, f"'{row[key][:40]}' is no {key}")
        for where, row in found
        for key, words in _WORDS.items()
        if row[key] not in words
    ]
    if wrong:
        raise ProblemsFound(wrong)
    return found


def _rows(archive: Archive, files: tuple[str, ...], table: Table) -> list[Located]:
    """The rows of those files, in the order they were entered."""
    found = [(w, _checked(table, data, w)) for file in files for w, data in lines_of(archive, file)]
    return sorted(found, key=lambda located: located[1]["id"])


def _checked(table: Table, data: dict[str, Any], where: Where) -> Row:
    """The row, with the columns of the table and values of their kinds, as it was sealed.

    Raises:
        ProblemsFound: it has not.
    """
    columns = {c.name: c for c in table.columns}
    if set(data) != set(columns):
        odd = sorted(set(data) ^ set(columns))
        raise ProblemsFound([_bad(where, f"it lacks, or has besides: {', '.join(odd)[:100]}")])
    for key, value in data.items():
        kinds = _TYPES.get(str(columns[key].type).split(" ")[0], (str,))
        if not ((value is None and columns[key].nullable) or _is_one(value, kinds)):
            raise ProblemsFound([_bad(where, f"'{key}' is no {kinds[0].__name__}")])
    if row_hash(data) != data["seal"]:
        raise ProblemsFound([_bad(where, "it is not as it was entered")])
    if not _files_or_none(data.get("others", "")):
        raise ProblemsFound([_bad(where, "'others' is no list of files")])
    return data


def _files_or_none(said: str) -> bool:
    """Whether the text is a list of paths and texts, as a revision keeps the files beside its plan."""
    try:
        found = json.loads(said or "[]")
    except (ValueError, RecursionError):
        return False
    rows = cast("list[Any]", found) if isinstance(found, list) else [None]
    return all(isinstance(row, dict) and _is_file(cast("dict[str, Any]", row)) for row in rows)


def _is_file(row: dict[str, Any]) -> bool:
    return row.keys() == {"path", "text"} and all(isinstance(value, str) for value in row.values())


def _is_one(value: Any, kinds: tuple[type, ...]) -> bool:
    if isinstance(value, bool):
        return kinds == (bool,)
    if not isinstance(value, kinds):
        return False
    return keepable(value) == value if isinstance(value, str) else abs(value) < 1e15 and math.isfinite(value)


def _bad(where: Where, why: str) -> Problem:
    return Problem(
        code="bad-row", where=where, found=f"the row cannot be taken: {why}", wanted="wanted a row"
    )


def _belong(job: Row, plans: list[Located], lines: list[Located]) -> None:
    """Refuse rows of another job, or that refer to rows outside the zip.

    Raises:
        ProblemsFound: there is one.
    """
    marks = {row["uid"] for _, row in plans}
    before = {row["uid"] for _, row in lines}
    wrong = [
        _bad(where, "it is another job's") for where, row in (*plans, *lines) if row["job_uid"] != job["uid"]
    ]
    for where, row in lines:
        if row["revision_uid"] not in {None, *marks} or row["corrects_uid"] not in {None, *before}:
            wrong.append(_bad(where, "it refers to a row that is not here"))
    if wrong:
        raise ProblemsFound(wrong)


def _settle(connection: Connection, record: Record, job: Row, name: str) -> Row:
    """The job's row here, added where it is new.

    Raises:
        ProblemsFound: another job has the name.
    """
    found = rows_of(connection, jobs, jobs.c.uid == job["uid"])
    if found:
        return found[0]
    wanted = name or job["name"]
    if rows_of(connection, jobs, jobs.c.name == wanted):
        told = f"another job is called '{wanted}'"
        raise ProblemsFound([problem("job-exists", record.name, told, "wanted another name: give --as")])
    return append(connection, jobs, {**_fields(job), "name": wanted})


def _fields(row: Row) -> Row:
    return {key: value for key, value in row.items() if key not in {"id", "seal"}}


def _add(connection: Connection, table: Table, rows: list[Located]) -> tuple[int, int]:
    """How many rows were added, and how many were here.

    Raises:
        ProblemsFound: a row is here with another content.
    """
    here = {row["uid"]: row["seal"] for row in rows_of(connection, table)}
    clash = [
        _bad(w, "it is here with another content")
        for w, r in rows
        if here.get(r["uid"], r["seal"]) != r["seal"]
    ]
    if clash:
        raise ProblemsFound(clash)
    new = [row for _, row in rows if row["uid"] not in here]
    for row in new:
        append(connection, table, _fields(row))
    return len(new), len(rows) - len(new)


def _room_for(archive: Archive, places: Mapping[str, Path]) -> None:
    """Refuse to put a paper or photo over another one, or through a link.

    Raises:
        ProblemsFound: one is there with another content, or a link stands in its place.
    """
    wrong = [
        problem("exists", path.as_posix(), "another file is there", "wanted a folder where it is not")
        for name, path in places.items()
        if path.exists() and (path.is_dir() or path.read_bytes() != archive.files[name])
    ]
    inside = {path: Path(name.removeprefix("papers/")).parts for name, path in places.items()}
    wrong += [
        problem("outside", path.as_posix(), "a link stands there", "wanted a folder without links")
        for path, parts in inside.items()
        if any(part.is_symlink() for part in (path, *list(path.parents)[: len(parts) - 1]))
    ]
    if wrong:
        raise ProblemsFound(wrong)


def _places(
    archive: Archive, papers: tuple[str, ...], folder: Path | None, record: Record
) -> dict[str, Path]:
    """Where each paper and photo of the zip goes: papers where they are wanted, photos beside the record."""
    there = {} if folder is None else {name: folder / name.removeprefix("papers/") for name in papers}
    if record.path is not None:
        photos = {n: photo_file(record.path.parent, n) for n in archive.files if n.startswith("photos/")}
        there |= {name: path for name, path in photos.items() if path is not None}
    return there


@contextmanager
def _written(archive: Archive, places: Mapping[str, Path]) -> Generator[None]:
    """Write the files; those that are new are taken away again where what comes after fails.

    Raises:
        ProblemsFound: one cannot be written.
    """
    new: list[Path] = []
    try:
        for name, path in places.items():
            if path.exists():
                continue
            try:
                path.parent.mkdir(parents=True, exist_ok=True)
            except OSError as wrong:
                raise ProblemsFound([cannot_write(path, wrong)]) from wrong
            write_atomically(path, archive.files[name])
            new.append(path)
        yield
    except BaseException:
        for path in new:
            path.unlink(missing_ok=True)
        raise
