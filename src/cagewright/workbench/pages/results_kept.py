"""Results of long work kept beside the plan, so that a page has them again after a reload or a restart.

They stand in ``.cagewright/results/<plan>/`` of the plan's folder, one JSON file each, written whole or not
at all. A file that cannot be read is as good as none: its work is done again.
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any, cast
from urllib.parse import quote

from cagewright.base.files import write_atomically

FORMAT = 3
"""Of the results; one of another format is as good as none."""
MOST_BYTES = 20_000_000
"""No kept result is larger."""


def folder_of(plan: Path, page: str) -> Path:
    """Where the page's results of that plan are kept."""
    return plan.parent / ".cagewright" / "results" / quote(plan.name, safe="") / page


def keep(plan: Path, page: str, name: str, result: dict[str, Any]) -> None:
    """Keep the result under that name in place of an older one.

    Raises:
        ProblemsFound: the folder cannot be written to.
    """
    folder = folder_of(plan, page)
    folder.mkdir(parents=True, exist_ok=True)
    data = json.dumps(
        {"format": FORMAT, **result}, ensure_ascii=False, allow_nan=False, separators=(",", ":")
    ).encode()
    write_atomically(folder / f"{_file(name)}.json", data)


def kept(plan: Path, page: str, name: str) -> dict[str, Any] | None:
    """The result of that name, or None where none is kept or its file is spoilt."""
    path = next((p for p in _files(plan, page) if p.stem == _file(name)), None)
    return None if path is None else _read(path)


def all_kept(plan: Path, page: str) -> list[dict[str, Any]]:
    """Every result of the page, the newest last."""
    found = sorted(_files(plan, page), key=lambda p: p.stat().st_mtime)
    return [result for path in found if (result := _read(path)) is not None]


def forget(plan: Path, page: str, name: str) -> None:
    """Take the result of that name away."""
    for path in _files(plan, page):
        if path.stem == _file(name):
            path.unlink(missing_ok=True)


def _file(name: str) -> str:
    return quote(name, safe="")[:150]


def _files(plan: Path, page: str) -> list[Path]:
    folder = folder_of(plan, page)
    return [p for p in folder.glob("*.json") if p.is_file()] if folder.is_dir() else []


def _read(path: Path) -> dict[str, Any] | None:
    try:
        if path.stat().st_size > MOST_BYTES:
            return None
        found = json.loads(path.read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return None
    if not isinstance(found, dict) or cast("dict[str, Any]", found).pop("format", None) != FORMAT:
        return None
    return cast("dict[str, Any]", found)
