"""Folders of made papers: what stands in one, whether it is older than the plan, and its files one by one."""

from __future__ import annotations

import json
import tempfile
import zipfile
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import IO, TYPE_CHECKING, Any, cast

from cagewright.base.files import write_atomically

if TYPE_CHECKING:
    from cagewright.job.opening import Job

CONTENTS = "contents.json"
KINDS = {
    ".pdf": "application/pdf",
    ".svg": "image/svg+xml",
    ".dxf": "image/vnd.dxf",
    ".csv": "text/csv; charset=utf-8",
    ".json": "application/json",
}


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
    """What the folder holds; None where nothing was made, or the making was broken off."""
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


def file_of(made: Made | None, name: str) -> Path:
    """The file of that name.

    Raises:
        KeyError: the contents list has no such file.
    """
    if made is None or name not in made.files:
        raise KeyError(name)
    return made.folder / name


def older_words(made: Made, job: Job) -> str | None:
    """Why the papers are older than the plan, in words; None where they are its newest."""
    if made.revision != job.cage.revision:
        return f"made from revision {made.revision}; the plan is now at revision {job.cage.revision}"
    changed = [path.name for path in _read_besides(job) if _written(path) > made.when]
    return f"{', '.join(changed)} was changed after they were made" if changed else None


def _read_besides(job: Job) -> Iterable[Path]:
    """The files that papers depend on and the revision mark does not: shop, books, scan."""
    plan = job.plan
    scan = plan.shell.scan.file if plan.shell and plan.shell.scan else None
    books = (name for name in (plan.car.rules if plan.car else ()) if name.endswith(".toml"))
    return [job.path.parent / name for name in (plan.shop, scan, *books) if name]


def _written(path: Path) -> float:
    try:
        return path.stat().st_mtime
    except OSError:
        return 0.0


def rewritten(folder: Path, make: Callable[[Callable[[], None]], Iterable[str]]) -> None:
    """Make the folder's files anew, so that a break never leaves files of two revisions under one list.

    Args:
        folder: of the papers.
        make: makes and writes the files; calls what it is given just before the first is written; returns
            the names of all it wrote.
    """
    before = made_in(folder)

    def writing() -> None:
        (folder / CONTENTS).unlink(missing_ok=True)

    names = set(make(writing))
    for name in set(before.files if before else ()) - names - {CONTENTS}:
        (folder / name).unlink(missing_ok=True)


def write_all(folder: Path, files: dict[str, bytes], revision: str, *, more: Iterable[str] = ()) -> None:
    """Write the files and then the list of them.

    Args:
        folder: of the papers.
        files: by name.
        revision: of the plan they were made from.
        more: names of files of the same revision that are there already.
    """
    for name, data in files.items():
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        write_atomically(folder / name, data)
    listed = json.dumps({"revision": revision, "files": sorted({*files, *more})}, indent=1).encode()
    write_atomically(folder / CONTENTS, listed)


def zipped(made: Made, names: Iterable[str], top: str) -> IO[bytes]:
    """The files in one zip, at its start; it goes when it is closed.

    Args:
        made: the folder.
        names: which of its files.
        top: the folder they stand in inside the zip.

    Raises:
        KeyError: the contents list has no such file.
    """
    made_zip = tempfile.SpooledTemporaryFile(max_size=8_000_000)  # noqa: SIM115 (the caller closes it)
    with zipfile.ZipFile(made_zip, "w", zipfile.ZIP_DEFLATED) as packed:
        for name in names:
            packed.write(file_of(made, name), f"{top}/{name}")
    made_zip.seek(0)
    return cast("IO[bytes]", made_zip)


def size_words(size: int) -> str:
    """The size of a file in words, e.g. ``412 kB``."""
    return (
        f"{size} bytes" if size < 1000 else f"{size / 1e3:.0f} kB" if size < 1e6 else f"{size / 1e6:.1f} MB"
    )
