"""Reading a job's zip that may come from anywhere: no path out of it, no bomb, nothing changed since."""

from __future__ import annotations

import hashlib
import json
import stat
import zipfile
import zlib
from dataclasses import dataclass
from pathlib import Path, PurePosixPath
from typing import Any, cast

from cagewright.base.problems import Problem, ProblemsFound, Where
from cagewright.records.exporting import FORMAT, MOST_BYTES, MOST_FILES
from cagewright.records.troubles import problem

_OWN = frozenset({
    "manifest.json",
    "job.json",
    "revisions.jsonl",
    "readings.jsonl",
    "history.jsonl",
    "stock.jsonl",
})
_MUST = ("manifest.json", "job.json", "revisions.jsonl", "readings.jsonl", "history.jsonl")
_FOLDERS = ("plans", "papers", "photos")
_STEP = 1 << 20
_BROKEN = (zipfile.BadZipFile, zlib.error, EOFError, NotImplementedError, RuntimeError, ValueError, OSError)


@dataclass(frozen=True, slots=True, kw_only=True)
class Archive:
    """A zip's files by name, all of them as its manifest has them."""

    name: str
    files: dict[str, bytes]


def read_archive(path: Path) -> Archive:
    """The zip's files.

    Raises:
        ProblemsFound: it is no zip of a job, names a place outside of itself, is too large, or was changed.
    """
    name = path.as_posix()
    if not path.is_file():
        raise ProblemsFound([problem("no-file", name, "there is no such file", "wanted a job's zip")])
    try:
        with zipfile.ZipFile(path) as packed:
            files = _unpacked(packed, name)
    except _BROKEN as wrong:
        found = f"the zip cannot be read ({wrong})"
        raise ProblemsFound([problem("bad-zip", name, found, "wanted a job's zip")]) from wrong
    _as_sent(files, name)
    return Archive(name=name, files=files)


def _unpacked(packed: zipfile.ZipFile, name: str) -> dict[str, bytes]:
    infos = packed.infolist()
    if len(infos) > MOST_FILES:
        found = f"the zip has {len(infos)} files"
        raise ProblemsFound([problem("too-much", name, found, f"wanted at most {MOST_FILES}")])
    wrong = [_odd(info, name) for info in infos]
    if len({info.filename for info in infos}) != len(infos):
        wrong.append(problem("twice", name, "a name stands in the zip twice", "wanted each once"))
    if any(wrong):
        raise ProblemsFound([w for w in wrong if w])
    files: dict[str, bytes] = {}
    for info in infos:
        files[info.filename] = _taken(packed, info, name, MOST_BYTES - sum(map(len, files.values())))
    return files


def _odd(info: zipfile.ZipInfo, name: str) -> Problem | None:
    """The problem of a file in the zip that has no business there."""
    path = PurePosixPath(info.filename)
    unsafe = path.is_absolute() or ".." in path.parts or any(c in info.filename for c in "\\:\0")
    where = Where(file=f"{name}!{info.filename}")
    if unsafe or info.filename != path.as_posix() or stat.S_ISLNK(info.external_attr >> 16):
        found, wanted = "the file would be put outside of its folder", "wanted plain names"
        return Problem(code="outside", where=where, found=found, wanted=wanted)
    if info.filename not in _OWN and not (path.parts[0] in _FOLDERS and len(path.parts) > 1):
        return Problem(
            code="unknown-file", where=where, found="the file is no part of a job", wanted="wanted none"
        )
    return None


def _taken(packed: zipfile.ZipFile, info: zipfile.ZipInfo, name: str, room: int) -> bytes:
    """The file's bytes, read no further than there is room, whatever the zip says of its size.

    Raises:
        ProblemsFound: there is no room.
    """
    parts: list[bytes] = []
    with packed.open(info) as stream:
        while part := stream.read(_STEP):
            room -= len(part)
            if room < 0:
                found, wanted = (
                    "the zip is too large unpacked",
                    f"wanted at most {MOST_BYTES // 1_000_000} MB",
                )
                raise ProblemsFound([problem("too-much", name, found, wanted)])
            parts.append(part)
    return b"".join(parts)


def _as_sent(files: dict[str, bytes], name: str) -> None:
    """Refuse a zip that lacks a file, has one more, or one that differs from its manifest.

    Raises:
        ProblemsFound: it does.
    """
    missing = [need for need in _MUST if need not in files]
    if missing:
        found = f"the zip has no {missing[0]}"
        raise ProblemsFound([problem("bad-zip", name, found, "wanted a job's zip")])
    manifest = json_of(files["manifest.json"], Where(file=f"{name}!manifest.json"))
    if manifest.get("cagewright_record") != FORMAT:
        found = f"the zip is of format {str(manifest.get('cagewright_record'))[:20]}"
        raise ProblemsFound([problem("newer-record", name, found, f"wanted {FORMAT}")])
    sums = {n: hashlib.sha256(data).hexdigest() for n, data in files.items() if n != "manifest.json"}
    stated: Any = manifest.get("sha256")
    if stated != sums:
        known = cast("dict[str, str]", stated) if isinstance(stated, dict) else {}
        odd = sorted(n for n in {*sums, *known} if sums.get(n) != known.get(n))
        found = f"{', '.join(odd[:5]) or 'the manifest'} is not as it was sent"
        raise ProblemsFound([problem("changed", name, found, "wanted the zip as it was exported")])


def json_of(raw: bytes, where: Where) -> dict[str, Any]:
    """The one object in the text.

    Raises:
        ProblemsFound: it is none.
    """
    try:
        data = json.loads(raw.decode("utf-8"), parse_constant=_no_number)
    except (ValueError, RecursionError) as wrong:
        raise ProblemsFound([_bad(where, str(wrong))]) from wrong
    if not isinstance(data, dict):
        raise ProblemsFound([_bad(where, "it is no object")])
    return cast("dict[str, Any]", data)


def _no_number(name: str) -> Any:
    raise ValueError(f"{name} is no number")


def _bad(where: Where, why: str) -> Problem:
    wanted = "wanted one JSON object a line"
    return Problem(code="bad-line", where=where, found=f"the line cannot be read ({why})", wanted=wanted)


def lines_of(archive: Archive, file: str) -> list[tuple[Where, dict[str, Any]]]:
    """Each line of the file as an object, with where it stands.

    Raises:
        ProblemsFound: a line is none.
    """
    found: list[tuple[Where, dict[str, Any]]] = []
    for number, raw in enumerate(archive.files[file].split(b"\n"), start=1):
        if raw.strip():
            where = Where(file=f"{archive.name}!{file}", line=number, col=1)
            found.append((where, json_of(raw, where)))
    return found
