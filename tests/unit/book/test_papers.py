"""The book, read back with pdfplumber and pypdf."""

import io
from dataclasses import replace
from datetime import UTC, datetime
from itertools import pairwise
from typing import get_args, get_type_hints

import pdfplumber
import pytest
from pypdf import PdfReader

import handmade
from bookmade import papers
from cagewright.base.sheet import PAPERS, Column, Sheet, Table
from cagewright.book.data import PARTS, UPRIGHT, breakable, column_widths
from cagewright.book.papers import CAUTION, pages_paper
from cagewright.make.pages import PageText, wrap_pages
from cagewright.make.sketch import bend_sketch
from cagewright.make.wraps import wraps_of

NASTY = (
    "#panic(1)", "$x^2$", "*bold*", "_under_", "\\", '"quoted"', "'single'", "`raw`", "@ref", "<label>",
    "//x", "= head", "- item", '#include "x"', "[content]", "{code}", "~", "https://x.invalid/a_b",
    "/* c */", "--- --",
)  # fmt: skip
STAMP = "rules: 1 fail, 3 cannot tell"


def sheet(kind, title, *rows, member=None, notes=(), drawings=()):
    table = Table(
        title="", columns=(Column(head="what"), Column(head="long", unit="mm", align="right")), rows=rows
    )
    return Sheet(
        name="s", title=title, kind=kind, member=member, tables=(table,), notes=notes, drawings=drawings
    )


def text_of(book):
    with pdfplumber.open(io.BytesIO(book)) as pdf:
        return [page.extract_text() for page in pdf.pages]


SHEETS = (
    sheet("weld map", "Weld map", ("front_leg", "1.0")),
    sheet("cut list", "Cut list", ("front_leg", "1234.5"), notes=("Rough length is what to cut.",)),
    sheet("summary", "Summary", ("weight", "58.8")),
    sheet("bend sheet", "Bend sheet: main_hoop", ("bend 1", "12"), member="main_hoop",
          drawings=bend_sketch(handmade.hoop()), notes=("To be seen to: no die fits.",)),
    sheet("bend sheet", "Bend sheet: front_leg_left", ("bend 1", "34"), member="front_leg_left"),
    sheet("findings", "Findings", ("253-8.3.3.1.1", "fail")),
)  # fmt: skip


@pytest.fixture(scope="module")
def book():
    return papers(SHEETS, cage=handmade.cage(), stamp=STAMP, cautions=("Check the book.", "Weld with care."))


@pytest.fixture(scope="module")
def pages(book):
    return text_of(book)


@pytest.mark.slow
def test_every_page_bears_title_revision_number_stamp_and_caution(pages):
    for number, text in enumerate(pages, 1):
        flat = " ".join(text.split())
        assert "Brackwater two-door, gravel hill-climb" in flat
        assert "3f9a01c2d4" in flat
        assert f"page {number} of {len(pages)}" in flat
        assert STAMP in flat
        assert " ".join(CAUTION.split()[-9:]) in flat


def test_parts_come_in_the_order_they_are_needed(book):
    def titles(outline):
        return [t if isinstance(t, str) else t["/Title"] for t in outline if not isinstance(t, list)]

    outline = PdfReader(io.BytesIO(book)).outline
    assert titles(outline) == ["Cautions", "Findings", "Cut list", "Bend sheets", "Weld map", "Wraps at 1:1"]
    bends = outline[
        outline.index(next(o for o in outline if not isinstance(o, list) and o["/Title"] == "Bend sheets"))
        + 1
    ]
    assert titles(bends) == ["Bend sheet: main_hoop", "Bend sheet: front_leg_left"]


def test_bookmarks_lead_to_the_page_that_bears_the_title(book, pages):
    reader = PdfReader(io.BytesIO(book))
    flat = [o for o in reader.outline if not isinstance(o, list)]
    for mark in flat[:-1]:
        assert mark["/Title"].rstrip("s") in pages[reader.get_destination_page_number(mark)]
    assert "this line: 100 mm" in pages[reader.get_destination_page_number(flat[-1])]


def test_bend_sheets_start_their_own_pages(pages):
    with_sheet = [i for i, text in enumerate(pages) if "Bend sheet: " in text and "Contents" not in text]
    assert len(with_sheet) == 2
    assert "To be seen to: no die fits." in pages[with_sheet[0]]
    assert "76.3° R135" in pages[with_sheet[0]]


def test_cautions_are_told_whole(pages):
    whole = " ".join(pages)
    assert "Check the book." in whole
    assert "Weld with care." in whole


def test_metadata_labels_and_print_scaling(book):
    reader = PdfReader(io.BytesIO(book))
    assert reader.metadata.title == "Brackwater two-door, gravel hill-climb"
    assert "3f9a01c2d4" in reader.metadata.subject
    assert reader.metadata.creation_date == datetime(2000, 1, 1, tzinfo=UTC)
    assert reader.page_labels[:3] == ["1", "2", "3"]
    assert reader.root_object["/ViewerPreferences"]["/PrintScaling"] == "/None"


def test_created_is_written_where_given():
    made = papers((), cage=handmade.cage(), created=datetime(2026, 3, 4, 5, 6, 7, tzinfo=UTC))
    assert PdfReader(io.BytesIO(made)).metadata.creation_date == datetime(2026, 3, 4, 5, 6, 7, tzinfo=UTC)


def test_same_plan_same_bytes(book):
    again = papers(SHEETS, cage=handmade.cage(), stamp=STAMP, cautions=("Check the book.", "Weld with care."))
    assert again == book
    assert papers(SHEETS, cage=handmade.cage(revision="0000000000"), stamp=STAMP) != book


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_pages_are_of_the_asked_paper(paper):
    wide, high = PAPERS[paper]
    with pdfplumber.open(io.BytesIO(papers(SHEETS, cage=handmade.cage(), paper=paper))) as pdf:
        sizes = {
            (round(float(p.width) * 25.4 / 72, 1), round(float(p.height) * 25.4 / 72, 1)) for p in pdf.pages
        }
    assert sizes <= {(wide, high), (high, wide)}


@pytest.mark.slow
def test_what_the_builder_writes_is_only_ever_text():
    """Every sign with a meaning in the typesetter's language comes out as it was written."""
    rows = tuple((word, "1") for word in NASTY)
    cage = handmade.cage(title=" ".join(NASTY))
    made = papers(
        (sheet("cut list", "Cut " + " ".join(NASTY), *rows, notes=NASTY),), cage=cage, stamp="#stamp $x$"
    )
    whole = "\n".join(text_of(made))
    for word in NASTY:
        assert word in whole
    assert "#stamp $x$" in whole
    assert PdfReader(io.BytesIO(made)).metadata.title == " ".join(NASTY)


@pytest.mark.slow
def test_very_long_names_are_broken_and_stay_on_the_page():
    long_name = "very_long_name_" * 30
    made = papers(
        (sheet("cut list", long_name, (long_name, "x" * 400), notes=(long_name,)),),
        cage=handmade.cage(title="t" * 500), stamp="s" * 300,
    )  # fmt: skip
    with pdfplumber.open(io.BytesIO(made)) as pdf:
        for page in pdf.pages:
            assert all(c["x0"] >= -0.5 and c["x1"] <= float(page.width) + 0.5 for c in page.chars)
    assert long_name in "".join("".join(text_of(made)).split())


@pytest.mark.parametrize("title", ["", " ", "\u0000\u001f", "日本語 🚗", "\ud800", "a\nb\tc", "ــــ"])
def test_no_title_stops_the_papers(title):
    assert papers((), cage=handmade.cage(title=title)).startswith(b"%PDF")


def test_a_table_without_rows_or_columns_is_no_trouble():
    empty = Sheet(name="e", title="e", kind="findings", tables=(Table(title="t", columns=(), rows=()),))
    assert papers((empty, sheet("nesting", "n")), cage=handmade.cage()).startswith(b"%PDF")


def test_names_can_be_searched_for(pages):
    assert "Bend sheet: front_leg_left" in " ".join(pages)
    assert "\u200b" not in "".join(pages)


def test_breaks_are_put_inside_long_words_only():
    assert breakable("short words stay") == "short words stay"
    assert breakable("a_b").replace("\u200b", "") == "a_b"
    assert max(len(part) for part in breakable("x" * 100).split("\u200b")) <= 16


def test_a_wrap_alone_is_printed_without_a_book_round_it():
    title = "cope 38 on 45"
    drawn = wrap_pages(wraps_of(handmade.cage())[1:2], "letter", text=PageText(title=title, revision="none"))
    made = pages_paper(drawn, "letter", title=title, stamp="rules: not checked")
    (text,) = text_of(made)
    for words in (
        "this line: 100 mm",
        "rules: not checked",
        "page 1 of 1",
        "cope 38 on 45",
        "Not a certificate",
    ):
        assert words in text
    assert PdfReader(io.BytesIO(made)).root_object["/ViewerPreferences"]["/PrintScaling"] == "/None"


def test_a_table_that_fits_is_as_wide_as_it_needs():
    table = Table(title="", columns=(Column(head="a"), Column(head="b")), rows=(("x" * 20, "y" * 20),))
    assert column_widths(table, UPRIGHT) == [0.0, 0.0]


def test_long_columns_share_the_room_by_what_they_hold():
    columns = (Column(head="clause"), Column(head="asks"), Column(head="do"))
    row = ("253-8.3.2.1.1", "word " * 6, "word " * 40)
    clause, asks, do = column_widths(Table(title="", columns=columns, rows=(row,) * 4), UPRIGHT)
    assert clause >= 13.0
    assert do > 2.0 * asks > 0.0
    assert clause + asks + do == pytest.approx(UPRIGHT, abs=0.2)


def test_a_slim_column_is_left_whole_and_one_of_many_lines_gets_more():
    columns = tuple(Column(head=h) for h in ("where", "found", "why", "seen"))
    row = ("main hoop", "\n".join(["x " * 40] * 9), "y " * 60, "does not apply")
    where, found, why, seen = column_widths(Table(title="", columns=columns, rows=(row,) * 4), UPRIGHT)
    assert where >= len("main hoop")
    assert seen >= len("does not apply")
    assert found > why > 0.0


@pytest.mark.slow
def test_no_word_runs_into_the_next_column():
    """Words of columns side by side keep apart: no letter stands on another."""
    columns = tuple(Column(head=h) for h in ("clause", "what it asks", "measured", "where", "what to do"))
    row = (
        "253-8.3.2.1.4", "Its upper end is near the joint " * 2, "161.0 mm / less than 100 mm",
        "pillar_brace_left (start), pillar_brace_right", "the figure is from memory, unchecked " * 4,
    )  # fmt: skip
    table = Table(title="", columns=columns, rows=(row,) * 3)
    made = papers((Sheet(name="f", title="f", kind="findings", tables=(table,)),), cage=handmade.cage())
    with pdfplumber.open(io.BytesIO(made)) as pdf:
        (page,) = [p for p in pdf.pages if "161.0 mm" in p.extract_text()]
        chars = sorted(page.chars, key=lambda c: (round(c["top"], 1), c["x0"]))
        for one, other in pairwise(chars):
            if abs(one["top"] - other["top"]) < 0.1:
                assert other["x0"] >= one["x1"] - 0.6  # kerning draws pairs together by up to 0.5 pt


def test_every_kind_of_sheet_has_a_part_of_the_book():
    """The summary stands before the parts; wraps are whole pages after them."""
    kinds = set(get_args(get_type_hints(Sheet)["kind"]))
    assert kinds - {"summary"} == {part.kind for part in PARTS}


def test_a_sheet_that_no_part_prints_is_an_error():
    odd = replace(SHEETS[0], kind="nobody's")
    with pytest.raises(ValueError, match="nobody's"):
        papers((odd,), cage=handmade.cage(), stamp=STAMP, cautions=())
