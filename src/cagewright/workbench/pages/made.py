"""Folders of made papers: whether one is older than the plan, and its files one by one."""

from __future__ import annotations

import tempfile
import zipfile
from collections.abc import Iterable
from pathlib import Path
from typing import IO, TYPE_CHECKING, cast

if TYPE_CHECKING:
    from cagewright.base.made import Made
    from cagewright.job.opening import Job

KINDS = {
    ".pdf": "application/pdf",
    ".svg": "image/svg+xml",
    ".dxf": "image/vnd.dxf",
    ".csv": "text/csv; charset=utf-8",
    ".json": "application/json",
}


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
