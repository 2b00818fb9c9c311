"""A job as one zip: its plans, readings and the rest of its history as JSON lines, stock used, and papers."""

from __future__ import annotations

import hashlib
import io
import json
import re
import zipfile
from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import Any

from cagewright.base.files import write_atomically
from cagewright.base.problems import ProblemsFound
from cagewright.records.jobs import job_row
from cagewright.records.opening import Record, reading, utc_now
from cagewright.records.photos import photo_file
from cagewright.records.rows import Row, rows_of, to_entry, to_revision
from cagewright.records.tables import entries, moves, revisions
from cagewright.records.troubles import problem
from cagewright.records.types import PlanRevision, RecordEntry

FORMAT = 1
"""Version of the zip's layout."""
MOST_FILES = 2000
"""Most files in one zip."""
MOST_BYTES = 200_000_000
"""Most bytes in one zip, unpacked: a thick book with photos is a tenth of that."""
_UNSAFE = re.compile(r"[^A-Za-z0-9._-]+")


def export_job(
    record: Record, job: str, target: Path, *, papers: Path | None = None, replace: bool = False
) -> tuple[str, ...]:
    """The names of the files put into the zip.

    Args:
        record: open.
        job: its name.
        target: the zip.
        papers: a folder of papers to be put in; None for none.
        replace: an older zip there may be replaced.

    Raises:
        ProblemsFound: no such job, the zip is there already or cannot be written, or too much to pack.
    """
    if target.exists() and not replace:
        found = "the file is there already"
        raise ProblemsFound([
            problem("exists", target.as_posix(), found, "wanted another name, or --replace")
        ])
    files = {**_history(record, job), **_papers(papers)}
    if len(files) > MOST_FILES or sum(map(len, files.values())) > MOST_BYTES:
        found = f"{len(files)} files are too much for one zip"
        wanted = f"wanted at most {MOST_FILES} files and {MOST_BYTES // 1_000_000} MB"
        raise ProblemsFound([problem("too-much", target.as_posix(), found, wanted)])
    files["manifest.json"] = _manifest(job, files)
    write_atomically(target, _zipped(files))
    return tuple(files)


def _history(record: Record, job: str) -> dict[str, bytes]:
    with reading(record) as connection:
        row = job_row(connection, record.name, job)
        plans = rows_of(connection, revisions, revisions.c.job_uid == row["uid"])
        lines = rows_of(connection, entries, entries.c.job_uid == row["uid"])
        stock = rows_of(connection, moves, moves.c.job_uid == row["uid"])
    return {
        "job.json": _json(row),
        "revisions.jsonl": _lines(plans),
        "readings.jsonl": _lines(r for r in lines if r["kind"] == "reading"),
        "history.jsonl": _lines(r for r in lines if r["kind"] != "reading"),
        "stock.jsonl": _lines(stock),
        **_photos(record, map(to_entry, lines)),
        **_plans([to_revision(r) for r in plans]),
    }


def _json(data: Any) -> bytes:
    return json.dumps(data, ensure_ascii=False, allow_nan=False).encode("utf-8")


def _lines(rows: Iterable[Row]) -> bytes:
    return b"".join(_json(row) + b"\n" for row in rows)


def _plans(found: Sequence[PlanRevision]) -> dict[str, bytes]:
    """Each revision's files, to be read by people; what is imported stands in revisions.jsonl."""
    files: dict[str, bytes] = {}
    for number, revision in enumerate(found, start=1):
        folder = f"plans/{number:03d}-{_safe(revision.mark)}"
        files[f"{folder}/{_safe(Path(revision.file).name or 'plan.yaml')}"] = revision.text.encode("utf-8")
        for other in revision.others:
            name = "/".join(_safe(part) for part in Path(other.path).parts if part not in {"/", ".", ".."})
            files[f"{folder}/{name or 'other'}"] = other.text.encode("utf-8")
    return files


def _photos(record: Record, lines: Iterable[RecordEntry]) -> dict[str, bytes]:
    """The photos that are kept beside the record; one that is gone is told by a check of the record."""
    if record.path is None:
        return {}
    kept = {e.text: photo_file(record.path.parent, e.text) for e in lines if e.kind == "photo"}
    return {name: file.read_bytes() for name, file in kept.items() if file is not None and file.is_file()}


def _safe(name: str) -> str:
    return _UNSAFE.sub("_", name).strip(".") or "_"


def _papers(folder: Path | None) -> dict[str, bytes]:
    """The folder's files, without links and hidden ones.

    Raises:
        ProblemsFound: there is no such folder.
    """
    if folder is None:
        return {}
    if not folder.is_dir():
        raise ProblemsFound([
            problem("no-folder", folder.as_posix(), "there is no such folder", "wanted one")
        ])
    files: dict[str, bytes] = {}
    for path in sorted(folder.rglob("*")):
        inside = path.relative_to(folder)
        if path.is_file() and not path.is_symlink() and not any(p.startswith(".") for p in inside.parts):
            files[f"papers/{inside.as_posix()}"] = path.read_bytes()
    return files


def _manifest(job: str, files: dict[str, bytes]) -> bytes:
    sums = {name: hashlib.sha256(data).hexdigest() for name, data in files.items()}
    return _json({"cagewright_record": FORMAT, "job": job, "exported": utc_now(), "sha256": sums})


def _zipped(files: dict[str, bytes]) -> bytes:
    held = io.BytesIO()
    with zipfile.ZipFile(held, "w", zipfile.ZIP_DEFLATED) as packed:
        for name in ("manifest.json", *(n for n in files if n != "manifest.json")):
            packed.writestr(name, files[name])
    return held.getvalue()
