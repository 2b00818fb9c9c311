"""The shop's record as a whole: backup, restore, export, import, check and rescue."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from cagewright.base.answers import Answer
from cagewright.records.backup import back_up, restore
from cagewright.records.exporting import export_job
from cagewright.records.importing import import_job
from cagewright.records.integrity import health
from cagewright.records.opening import opened
from cagewright.records.rescuing import rescue, write_rescued
from cagewright.records.types import (
    ShopJob,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class FilesAnswer(Answer):
    """Files that were written: where, what is in them, and what is kept aside."""

    file: str
    files: tuple[str, ...] = ()
    kept: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class ImportAnswer(Answer):
    """What an import brought in: rows that are new and rows that were here, by table, and its papers."""

    job: ShopJob
    added: dict[str, int]
    known: dict[str, int]
    papers: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class HealthAnswer(Answer):
    """What a check of the record found: its version, how many rows each table has, and what is wrong."""

    record: str
    version: str
    rows: dict[str, int]
    faults: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class RescueAnswer(Answer):
    """What could be read of a damaged record: by table, rows read, rows whose seal fits, rows known lost."""

    file: str
    read: dict[str, int]
    sealed: dict[str, int]
    known_lost: dict[str, int]


def back_up_record(where: str, file: Path, *, replace: bool = False) -> FilesAnswer:
    """The backup: one file that holds all that was recorded.

    Raises:
        ProblemsFound: the file is there already, or cannot be written.
    """
    with opened(where) as record:
        made = back_up(record, file, replace=replace).as_posix()
    return FilesAnswer(headline=f"{made} holds all that was recorded.", file=made)


def restore_record(where: str, file: Path, *, replace: bool = False) -> FilesAnswer:
    """The record, put back from a backup; what stood there is kept aside.

    Raises:
        ProblemsFound: the backup is no record, or one is there and is not to be replaced.
    """
    aside = restore(file, Path(where), replace=replace)
    kept = aside.as_posix() if aside else ""
    words = f"{where} is restored." + (f" What stood there is kept as {kept}." if kept else "")
    return FilesAnswer(headline=words, file=where, kept=kept)


def export_to(
    where: str, job: str, file: Path, *, papers: Path | None = None, replace: bool = False
) -> FilesAnswer:
    """The zip of a job.

    Raises:
        ProblemsFound: there is no such job, or the file is there already or cannot be written.
    """
    with opened(where) as record:
        names = tuple(export_job(record, job, file, papers=papers, replace=replace))
    return FilesAnswer(
        headline=f"{len(names)} files in {file.as_posix()}.", file=file.as_posix(), files=names
    )


def import_from(where: str, file: Path, *, name: str = "", papers: Path | None = None) -> ImportAnswer:
    """What came in of a job that was exported elsewhere.

    Raises:
        ProblemsFound: the zip is not sound, or something of it is in the way here.
    """
    with opened(where, create=True) as record:
        got = import_job(record, file, name=name, papers_to=papers)
    words = f"Job {got.job.name}: {_counts(got.added)} new."
    return ImportAnswer(headline=words, job=got.job, added=got.added, known=got.known, papers=got.papers)


def _counts(by_table: Mapping[str, int]) -> str:
    return ", ".join(f"{count} {table}" for table, count in by_table.items())


def health_of(where: str) -> HealthAnswer:
    """Whether the whole record is sound.

    Raises:
        ProblemsFound: it cannot be opened.
    """
    with opened(where) as record:
        found = health(record)
    return HealthAnswer(
        headline=f"{found.record}, version {found.version}: {_counts(found.rows)}.",
        level="fail" if found.faults else "fine", record=found.record, version=found.version,
        rows=found.rows, faults=found.faults,
    )  # fmt: skip


def rescued_to(where: str, target: Path) -> RescueAnswer:
    """The rows that can be read of a damaged record, written; the record itself is not touched.

    Raises:
        OSError: there is no such file.
        ProblemsFound: the rows cannot be written.
    """
    Path(where).stat()
    found = rescue(Path(where))
    write_rescued(found, target)
    read, lost = {table: len(rows) for table, rows in found.rows.items()}, sum(found.lost.values())
    words = f"{target.as_posix()}: {_counts(read)} could be read."
    return RescueAnswer(
        headline=words + (f" {lost} rows are known to be lost." if lost else ""), file=target.as_posix(),
        read=read, sealed=found.sealed, known_lost=found.lost,
    )  # fmt: skip
