"""The built-in rule books, and house books beside the plan."""

from __future__ import annotations

from collections.abc import Iterable
from functools import cache
from importlib.resources import files
from pathlib import Path

from cagewright.base.problems import Problem, ProblemsFound, Where, nearest_word
from cagewright.check.read import parse_book, read_book
from cagewright.check.rules import Book


def book_ids() -> tuple[str, ...]:
    """The ids of the built-in books, in order."""
    folder = files("cagewright.check").joinpath("books")
    return tuple(
        sorted(entry.name.removesuffix(".toml") for entry in folder.iterdir() if entry.name.endswith(".toml"))
    )


@cache
def built_in(book_id: str) -> Book:
    """The built-in book of that id.

    Raises:
        KeyError: there is none.
    """
    if book_id not in book_ids():
        raise KeyError(book_id)
    text = files("cagewright.check").joinpath("books", f"{book_id}.toml").read_text(encoding="utf-8")
    return parse_book(text, f"{book_id}.toml")


def find_books(names: Iterable[str], folder: Path, where: Where) -> tuple[Book, ...]:
    """The books a plan names: built-in ids, or ``.toml`` files relative to the plan's folder.

    ``where`` is the spot in the plan for the problems.

    Raises:
        ProblemsFound: a book is not known, cannot be read, or has problems of its own.
    """
    books: list[Book] = []
    problems: list[Problem] = []
    for name in names:
        try:
            books.append(_find(name, folder, where))
        except ProblemsFound as found:
            problems.extend(found.problems)
    if problems:
        raise ProblemsFound(problems)
    return tuple(books)


def _find(name: str, folder: Path, where: Where) -> Book:
    if name.endswith(".toml"):
        return read_book(folder / name)
    if name in book_ids():
        return built_in(name)
    known = ", ".join(book_ids())
    raise ProblemsFound([
        Problem(
            code="unknown-book", where=where, found=f"no rule book is called '{name}'",
            wanted=f"wanted one of {known}, or a .toml file", nearest=nearest_word(name, book_ids()),
        )
    ])  # fmt: skip
