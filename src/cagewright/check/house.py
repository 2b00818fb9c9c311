"""House books: a commented file that a builder fills in for his own series."""

from __future__ import annotations

import json
import re
from importlib.resources import files
from pathlib import Path

from cagewright.base.files import write_atomically
from cagewright.base.problems import Problem, ProblemsFound, Where


def new_book(path: Path, name: str) -> None:
    """A commented house book under ``path``, ready to be filled in; nothing is overwritten.

    The book's id is made from its ``name``; the path ends in ``.toml``.

    Raises:
        ProblemsFound: no letter or figure in the name; the file exists, is no ``.toml``, cannot be written.
    """
    book_id = re.sub(r"[^a-z0-9]+", "-", name.lower()).strip("-")
    wrong = _refusal(path, book_id)
    if wrong is not None:
        raise ProblemsFound([wrong])
    title = json.dumps(_printable(name), ensure_ascii=False)
    template = files("cagewright.check").joinpath("data", "house-book.toml").read_text(encoding="utf-8")
    filled = (
        template.replace("@FILE@", _printable(path.name)).replace("@ID@", book_id).replace("@TITLE@", title)
    )
    write_atomically(path, filled.encode("utf-8"))


def _printable(text: str) -> str:
    return "".join(sign if sign.isprintable() else "?" for sign in text)


def _refusal(path: Path, book_id: str) -> Problem | None:
    where = Where(file=str(path))
    if not book_id:
        return Problem(
            code="no-name", where=where, found="the name has no letter or figure", wanted="wanted a name"
        )
    if path.suffix != ".toml":
        return Problem(
            code="not-toml", where=where, found="not a .toml file", wanted="wanted a name ending in .toml"
        )
    if path.exists():
        return Problem(
            code="exists", where=where, found="the file is already there", wanted="wanted a new name"
        )
    return None
