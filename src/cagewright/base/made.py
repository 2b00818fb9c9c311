"""Folders of made papers: put in place as one, what else stands there left alone."""

from __future__ import annotations

import contextlib
import ctypes
import errno
import glob
import json
import os
import shutil
import sys
import tempfile
import time
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any, cast

from cagewright.base.files import LEFT, cannot_write, mode_of, settle
from cagewright.base.problems import Problem, ProblemsFound, Where

CONTENTS = "contents.json"
"""Names the revision and every file that was made; the next making takes away what it no longer makes."""
_NEW, _OLD = ".new-papers", ".old-papers"
_CWD, _EXCHANGE = -100, 2


@dataclass(frozen=True, slots=True, kw_only=True)
class Made:
    """What a folder of papers holds.

    Attributes:
        folder: where they are.
        revision: of the plan they were made from.
        files: their names, as the folder's own contents list has them.
        when: when they were made, seconds since 1970.
    """

    folder: Path
    revision: str
    files: tuple[str, ...]
    when: float


def made_in(folder: Path) -> Made | None:
    """What the folder holds; None where nothing was made."""
    listed = folder / CONTENTS
    try:
        data: Any = json.loads(listed.read_text(encoding="utf-8"))
        revision, names = data["revision"], data["files"]
        when = listed.stat().st_mtime
    except (OSError, ValueError, KeyError, TypeError):
        return None
    if not isinstance(revision, str) or not isinstance(names, list):
        return None
    files = tuple(n for n in cast("list[Any]", names) if isinstance(n, str) and _inside(folder, n))
    return Made(folder=folder, revision=revision, files=files, when=when)


def _inside(folder: Path, name: str) -> bool:
    path = folder / name
    return ".." not in Path(name).parts and path.is_file() and path.resolve().is_relative_to(folder.resolve())


def put_together(folder: Path, files: Mapping[str, bytes], revision: str) -> tuple[Path, ...]:
    """Put the files in the folder in place of those made there before; returns their paths, the list last.

    They are written into a folder beside it and the two change places: whenever this is broken off, the whole
    old set stands there or the whole new one. What was not made here stays where it is.

    Args:
        folder: of the papers; made where it is not there.
        files: by name.
        revision: of the plan they were made from.

    Raises:
        ProblemsFound: it cannot be written to, the disk is full, or the command stands in the folder.
    """
    place = Path(os.path.realpath(folder))
    if Path(os.path.realpath(os.curdir)).is_relative_to(place):
        raise ProblemsFound([_stood_in(folder)])
    listed = json.dumps({"revision": revision, "files": sorted(files)}, indent=1).encode()
    try:
        place.parent.mkdir(parents=True, exist_ok=True)
        _sweep(place)
        _swapped_in(place, {**files, CONTENTS: listed})
    except OSError as wrong:
        raise ProblemsFound([cannot_write(folder, wrong)]) from wrong
    return tuple(folder / name for name in (*files, CONTENTS))


def _stood_in(folder: Path) -> Problem:
    return Problem(
        code="stands-in-it",
        where=Where(file=folder.as_posix()),
        found="the papers' folder is the one the command was started in, and it is put in place as a whole",
        wanted="wanted a folder of its own inside or beside it, such as -o papers",
    )


def _swapped_in(place: Path, files: Mapping[str, bytes]) -> None:
    if place.exists() and not place.is_dir():
        raise NotADirectoryError(errno.ENOTDIR, os.strerror(errno.ENOTDIR), str(place))
    beside = Path(tempfile.mkdtemp(prefix=f".{place.name[:40]}.", suffix=_NEW, dir=place.parent))
    try:
        for name, data in files.items():
            _write(beside / name, data)
        os.chmod(beside, mode_of(place, new=0o777))
        before = made_in(place)
        _take_along(place, beside, {*files, *(before.files if before else ())})
        _change_places(beside, place)
        settle(place.parent)
    finally:
        shutil.rmtree(beside, ignore_errors=True)


def _write(path: Path, data: bytes) -> None:
    path.parent.mkdir(parents=True, exist_ok=True)
    with path.open("wb") as stream:
        stream.write(data)
        stream.flush()
        os.fsync(stream.fileno())


def _take_along(place: Path, beside: Path, made: set[str]) -> None:
    """Everything in the folder that was not made here, as second names of the same files."""
    for at, folders, names in os.walk(place):
        here = Path(at).relative_to(place)
        links = [name for name in folders if (Path(at) / name).is_symlink()]
        for name in (*names, *links):
            if (here / name).as_posix() not in made:
                (beside / here).mkdir(parents=True, exist_ok=True)
                _second(Path(at) / name, beside / here / name)
        if not folders and not names:
            (beside / here).mkdir(parents=True, exist_ok=True)


def _second(there: Path, here: Path) -> None:
    try:
        os.link(there, here, follow_symlinks=False)
    except (OSError, NotImplementedError):  # a file system without them
        shutil.copy2(there, here, follow_symlinks=False)


def _change_places(beside: Path, place: Path) -> None:
    """The new folder where the old one stood, in one step where the system has it, else in two renames."""
    if not place.exists():
        os.rename(beside, place)
    elif not _exchanged(beside, place):
        aside = beside.with_suffix(_OLD)
        os.rename(place, aside)
        with contextlib.ExitStack() as back:
            back.callback(os.rename, aside, place)
            os.rename(beside, place)
            back.pop_all()
        shutil.rmtree(aside, ignore_errors=True)


def _exchanged(one: Path, other: Path) -> bool:
    """Whether the two changed places in one step: Linux's renameat2 with RENAME_EXCHANGE."""
    if not sys.platform.startswith("linux"):
        return False
    try:
        swap = ctypes.CDLL(None, use_errno=True).renameat2
    except (OSError, AttributeError):
        return False
    return swap(_CWD, os.fsencode(one), _CWD, os.fsencode(other), _EXCHANGE) == 0


def _sweep(place: Path) -> None:
    """What a killed making left: an old set whose place is empty goes back, the rest goes after an hour."""
    for end in (_OLD, _NEW):
        for left in place.parent.glob(f".{glob.escape(place.name[:40])}.*{end}"):
            if end == _OLD and not place.exists():
                os.rename(left, place)
            elif time.time() - left.stat().st_mtime > LEFT:
                shutil.rmtree(left, ignore_errors=True)
