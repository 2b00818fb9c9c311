"""The build book as one PDF at true scale."""

from __future__ import annotations

import io
from datetime import UTC, datetime
from importlib import resources

import pikepdf
import typst

from cagewright.base.drawing import Drawing
from cagewright.base.sheet import Paper, Sheet
from cagewright.book.data import book_files
from cagewright.job.papers import BuildBook

UNDATED = datetime(2000, 1, 1, tzinfo=UTC)
"""Creation date of papers whose maker gives none, so that the same plan always makes the same bytes."""
CAUTION = (
    "Not a certificate. Check the current rule book of your series; welding by a qualified welder; "
    "local codes and the licensed engineer or scrutineer decide."
)


def book_paper(book: BuildBook, *, created: datetime = UNDATED) -> bytes:
    """The build book as PDF: title page, contents, cautions, the sheets by kind, and all wraps at 1:1.

    Args:
        book: what it is set from.
        created: the document's date; the same arguments make the same bytes.
    """
    return _set(book, f"Roll cage build book, revision {book.revision}", front=True, created=created)


def pages_paper(
    pages: tuple[Drawing, ...], paper: Paper, *, title: str, revision: str = "none", stamp: str = "",
    subject: str = "",
) -> bytes:  # fmt: skip
    """Ready-drawn pages at 1:1 as PDF, without the rest of a book.

    Args:
        pages: each a drawing whose box is the page.
        paper: the home printer's.
        title: on every page.
        revision: of the plan; ``none`` without one.
        stamp: what stands where the rules' stamp stands in a build book.
        subject: of the document; the title where there is none.
    """
    book = BuildBook(title=title, revision=revision, stamp=stamp, cautions=(), wraps=pages, paper=paper)
    return _set(book, subject or title)


def sheets_paper(sheets: tuple[Sheet, ...], *, title: str, revision: str, paper: Paper = "a4") -> bytes:
    """Some sheets alone as PDF, without title page, contents and wraps.

    The cautions stand in every foot, and in full among each sheet's own notes: no page is given to them.

    Args:
        sheets: with their drawings.
        title: the plan's.
        revision: its mark.
        paper: the home printer's.
    """
    book = BuildBook(title=title, revision=revision, cautions=(), sheets=sheets, paper=paper)
    return _set(book, f"Sheets of revision {revision}")


def _set(book: BuildBook, subject: str, *, front: bool = False, created: datetime = UNDATED) -> bytes:
    """The PDF with print scaling switched off in its viewer preferences and its subject set."""
    template = resources.files("cagewright.book").joinpath("papers.typ").read_bytes()
    pdf = typst.compile(  # pyrefly: ignore[no-matching-overload]
        {"main.typ": template, **book_files(book, caution=CAUTION, front=front)},
        ignore_system_fonts=True,
        timestamp=int(created.timestamp()),
    )
    out = io.BytesIO()
    with pikepdf.open(io.BytesIO(pdf)) as document:
        shown = document.Root.get("/ViewerPreferences", pikepdf.Dictionary())
        shown.PrintScaling = pikepdf.Name("/None")
        document.Root.ViewerPreferences = shown
        document.docinfo["/Subject"] = subject
        document.save(out, deterministic_id=True)
    return out.getvalue()
