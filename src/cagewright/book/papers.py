"""The build book as one PDF at true scale."""

from __future__ import annotations

import io
from datetime import UTC, datetime
from importlib import resources

import typst
from pypdf import PdfReader, PdfWriter
from pypdf.generic import DictionaryObject, NameObject

from cagewright.base.drawing import Drawing
from cagewright.base.sheet import PAPERS, Paper, Sheet
from cagewright.base.units import LengthUnit
from cagewright.book.data import Words, book_files
from cagewright.make.pages import PageText, wrap_pages
from cagewright.make.views import cage_view
from cagewright.make.wraps import Wrap, wraps_of
from cagewright.shape.types import Cage

UNDATED = datetime(2000, 1, 1, tzinfo=UTC)
"""Creation date of papers whose maker gives none, so that the same plan always makes the same bytes."""
CAUTION = (
    "Not a certificate. Check the current rule book of your series; welding by a qualified welder; "
    "local codes and the licensed engineer or scrutineer decide."
)


def papers(
    sheets: tuple[Sheet, ...],
    *,
    cage: Cage,
    paper: Paper = "a4",
    stamp: str = "",
    caution: str = CAUTION,
    cautions: tuple[str, ...] = (),
    from_end: frozenset[str] = frozenset(),
    created: datetime = UNDATED,
) -> bytes:
    """The build book as PDF: title page, contents, cautions, the sheets by kind, and all wraps at 1:1.

    Args:
        sheets: in any order, with their drawings (``make.drawn.drawn_sheets``).
        cage: what is built; its title, revision and units stand on every page.
        paper: the home printer's.
        stamp: how the rules stand, e.g. ``rules: 0 fail, 3 cannot tell``; on every page.
        caution: one line for every page.
        cautions: all cautions, a paragraph each.
        from_end: names of members whose end goes into the bender first (``make.drawn.from_the_end``).
        created: the document's date; the same arguments make the same bytes.
    """
    words = Words(title=cage.title, revision=cage.revision, stamp=stamp, caution=caution, cautions=cautions)
    text = PageText(title=cage.title, revision=cage.revision)
    wraps = wrap_pages(wraps_of(cage, from_end=from_end), paper, text=text, units=cage.units)
    cover = (cage_view(cage, "three-quarter", box=(176.0, _cover_height(sheets)), numbers=False),)
    files = book_files(sheets, words, size=PAPERS[paper], cover=cover, wraps=wraps)
    return _true_scale(_typeset(files, created), f"Roll cage build book, revision {cage.revision}")


def wrap_paper(
    wrap: Wrap,
    paper: Paper = "a4",
    *,
    units: LengthUnit = "mm",
    title: str = "One cope, from no plan",
    caution: str = CAUTION,
) -> bytes:
    """One wrap at 1:1 as PDF, without a plan, on as many pages as it needs.

    Args:
        wrap: the cut.
        paper: the home printer's.
        units: what the builder's tape reads.
        title: on every page.
        caution: one line for every page.
    """
    words = Words(title=title, revision="none", stamp="rules: not checked", caution=caution, cautions=())
    pages = wrap_pages((wrap,), paper, text=PageText(title=title, revision="none"), units=units)
    files = book_files((), words, size=PAPERS[paper], cover=(), wraps=pages, front=False)
    return _true_scale(_typeset(files, UNDATED), "One cope at true scale")


def wraps_paper(
    wraps: tuple[Wrap, ...], *, cage: Cage, paper: Paper = "a4", stamp: str = "", caution: str = CAUTION
) -> bytes:
    """Some of a cage's wraps at 1:1 as PDF, without the rest of its book.

    Args:
        wraps: the cuts.
        cage: whose title and revision stand on every page.
        paper: the home printer's.
        stamp: how the rules stand.
        caution: one line for every page.
    """
    words = Words(title=cage.title, revision=cage.revision, stamp=stamp, caution=caution, cautions=())
    text = PageText(title=cage.title, revision=cage.revision)
    pages = wrap_pages(wraps, paper, text=text, units=cage.units)
    files = book_files((), words, size=PAPERS[paper], cover=(), wraps=pages, front=False)
    return _true_scale(_typeset(files, UNDATED), f"Wraps at true scale, revision {cage.revision}")


def drawn_paper(
    pages: tuple[Drawing, ...], paper: Paper, *, title: str, stamp: str, caution: str = CAUTION
) -> bytes:
    """Ready-drawn pages at 1:1 as PDF, without a plan.

    Args:
        pages: each a drawing whose box is the page.
        paper: the home printer's.
        title: of the document.
        stamp: what stands where the rules' stamp stands in a build book.
        caution: one line for every page.
    """
    words = Words(title=title, revision="none", stamp=stamp, caution=caution, cautions=())
    files = book_files((), words, size=PAPERS[paper], cover=(), wraps=pages, front=False)
    return _true_scale(_typeset(files, UNDATED), title)


def sheets_paper(
    sheets: tuple[Sheet, ...], *, cage: Cage, paper: Paper = "a4", cautions: tuple[str, ...] = ()
) -> bytes:
    """Some sheets alone as PDF, without title page, contents and wraps.

    Args:
        sheets: with their drawings.
        cage: whose title and revision stand on every page.
        paper: the home printer's.
        cautions: all cautions.
    """
    words = Words(title=cage.title, revision=cage.revision, stamp="", caution=CAUTION, cautions=cautions)
    files = book_files(sheets, words, size=PAPERS[paper], cover=(), wraps=(), front=False)
    return _true_scale(_typeset(files, UNDATED), f"Sheets of revision {cage.revision}")


def _cover_height(sheets: tuple[Sheet, ...]) -> float:
    """What the summary's tables leave of the title page for the picture, mm."""
    rows = sum(len(t.rows) + 2 for s in sheets if s.kind == "summary" for t in s.tables)
    return min(max(216.0 - 5.6 * rows, 70.0), 130.0)


def _typeset(files: dict[str, bytes], created: datetime) -> bytes:
    template = resources.files("cagewright.book").joinpath("papers.typ").read_bytes()
    return typst.compile(  # pyright: ignore[reportReturnType]
        {"main.typ": template, **files},  # pyright: ignore[reportArgumentType]
        ignore_system_fonts=True,
        timestamp=int(created.timestamp()),
    )


def _true_scale(pdf: bytes, subject: str) -> bytes:
    """The PDF with print scaling switched off in its viewer preferences and its subject set."""
    writer = PdfWriter(clone_from=PdfReader(io.BytesIO(pdf)))
    preferences = writer.root_object.setdefault(NameObject("/ViewerPreferences"), DictionaryObject())
    preferences[NameObject("/PrintScaling")] = NameObject("/None")
    writer.add_metadata({"/Subject": subject})
    out = io.BytesIO()
    writer.write(out)
    return out.getvalue()
