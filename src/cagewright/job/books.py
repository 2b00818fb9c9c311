"""Which rule books there are, a new one of the builder's own, and whether it reads well."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from cagewright.base.answers import Answer
from cagewright.check.house import new_book as _new_book
from cagewright.check.library import book_ids, built_in
from cagewright.check.read import read_book
from cagewright.check.rules import Book
from cagewright.plan.write import Document, set_value

CHECK = "Check the current rule book of your series: editions change every year."


@dataclass(frozen=True, slots=True, kw_only=True)
class BookRow:
    """One rule book.

    Attributes:
        id: what a plan names it.
        edition: which year or date.
        rows: how many rules it holds; None for a file beside the plan that nobody has read yet.
        note: what the reader should know.
    """

    id: str
    title: str
    edition: str
    rows: int | None
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class BooksAnswer(Answer):
    """The rule books that a plan can name."""

    books: tuple[BookRow, ...]


def books(folder: Path | None = None) -> BooksAnswer:
    """The built-in books, and those that stand beside a plan in the folder."""
    own = tuple(
        BookRow(id=path.name, title=path.stem, edition="your own", rows=None)
        for path in (sorted(folder.glob("*.toml")) if folder else ())
    )
    known = (*(_row(built_in(book_id)) for book_id in book_ids()), *own)
    return BooksAnswer(headline=f"{len(known)} rule books", cautions=(CHECK,), books=known)


def new_book(path: Path, name: str) -> None:
    """A commented book of the builder's own, to be filled in.

    Raises:
        ProblemsFound: no letter or figure in the name; the file exists, is no ``.toml``, cannot be written.
    """
    _new_book(path, name)


def book_in(path: Path) -> BookRow:
    """The book in the file.

    Raises:
        ProblemsFound: every mistake in it.
    """
    return _row(read_book(path))


def _row(book: Book) -> BookRow:
    return BookRow(id=book.id, title=book.title, edition=book.edition, rows=len(book.rules), note=book.note)


def answering_to(document: Document, chosen: list[str]) -> tuple[Document, str]:
    """The plan's text with those books, and what was done, in words.

    Raises:
        ProblemsFound: the text cannot be edited there.
    """
    words = f"answers to {', '.join(chosen)}" if chosen else "answers to no rule book"
    return set_value(document, ("car", "rules"), chosen), words
