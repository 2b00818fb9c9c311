"""A build book set from sheets and a cage made by hand, without a plan."""

from cagewright.book.papers import UNDATED, book_paper
from cagewright.job.papers import BuildBook
from cagewright.make.pages import PageText, wrap_pages
from cagewright.make.views import cage_view
from cagewright.make.wraps import wraps_of


def papers(sheets, *, cage, paper="a4", stamp="", cautions=(), created=UNDATED):
    """The PDF of those sheets, the cage on its cover and its wraps at the end."""
    text = PageText(title=cage.title, revision=cage.revision)
    book = BuildBook(
        title=cage.title, revision=cage.revision, stamp=stamp, cautions=cautions, sheets=sheets, paper=paper,
        cover=(cage_view(cage, "three-quarter", box=(176.0, 120.0), numbers=False),),
        wraps=wrap_pages(wraps_of(cage), paper, text=text, units=cage.units),
    )  # fmt: skip
    return book_paper(book, created=created)
