"""Pages of wraps: everything is there once, at 1:1, inside what a home printer prints."""

from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest

import handmade
from cagewright.base.drawing import label_corners, text_width
from cagewright.base.sheet import PAPERS
from cagewright.make.pages import FOOT, MARGIN, OVERLAP, PageText, printable, shortened, wrap_pages
from cagewright.make.wrapdraw import once_round
from cagewright.make.wraps import wraps_of

TEXT = PageText(title="Brackwater two-door", revision="3f9a01c2d4")
WRAPS = wraps_of(handmade.cage())


def long_wrap(length):
    """A wrap whose cut reaches ``length`` mm up a 45 mm tube."""
    wrap = WRAPS[2]
    wave = length / 2.0 * (1.0 - np.cos(wrap.phi))
    return replace(wrap, radius=22.5, outside=wave, inside=wave + 0.5, long_point=0.0, edge=length + 60.0)


def cut_lines(page):
    """The cut lines of a page: those of many points."""
    return [s.points for s in page.strokes if s.layer == "cut" and len(s.points) > 50]


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_each_wrap_is_on_one_page_and_unscaled(paper):
    pages = wrap_pages(WRAPS, paper, text=TEXT)
    lines = [line for page in pages for line in cut_lines(page)]
    assert len(lines) == len(WRAPS)
    for line, wrap in zip(lines, WRAPS, strict=True):
        assert line[:, 0] - line[0, 0] == pytest.approx(wrap.phi * wrap.radius)
        assert line[:, 1] - line[0, 1] == pytest.approx(wrap.outside - wrap.outside[0])


@pytest.mark.parametrize("paper", ["a4", "letter"])
@pytest.mark.parametrize("wraps", [WRAPS, (long_wrap(330.0),)], ids=["many", "long"])
def test_nothing_stands_in_the_printer_s_margin(paper, wraps):
    for page in wrap_pages(wraps, paper, text=TEXT):
        x0, y0, x1, y1 = page.box
        assert {x1, y1} == set(PAPERS[paper])
        clouds = [s.points for s in page.strokes] + [label_corners(t) for t in page.labels]
        cloud = np.concatenate(clouds)
        assert (cloud.min(axis=0) >= np.array([x0, y0]) + MARGIN - 1e-6).all()
        assert (cloud.max(axis=0) <= np.array([x1, y1]) - MARGIN + 1e-6).all()


def test_wraps_on_one_page_keep_apart():
    for page in wrap_pages(WRAPS, "a4", text=TEXT):
        boxes = [(line.min(axis=0), line.max(axis=0)) for line in cut_lines(page)]
        for i, (low, high) in enumerate(boxes):
            for other_low, other_high in boxes[:i]:
                assert (high <= other_low).any() or (other_high <= low).any()


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_every_page_has_both_check_lines_title_revision_and_number(paper):
    pages = wrap_pages(WRAPS, paper, text=TEXT)
    for number, page in enumerate(pages, 1):
        spans = [float(np.ptp(s.points[:, 0])) for s in page.strokes if np.ptp(s.points[:, 1]) == 0.0]
        assert min(abs(s - 100.0) for s in spans) < 1e-9
        assert min(abs(s - 101.6) for s in spans) < 1e-9
        words = " ".join(t.text for t in page.labels)
        assert "Brackwater two-door" in words
        assert f"rev 3f9a01c2d4  wraps {number} of {len(pages)}" in words
        assert "Print at 100 %" in words
        assert "Check both lines" in words


def test_a_page_is_turned_where_that_saves_pages():
    """Two 38 mm wraps side by side take 258 mm: only a page on its side holds them."""
    narrow = tuple(w for w in WRAPS if w.member == "harness_bar") * 2
    (page,) = wrap_pages(narrow, "a4", text=TEXT)
    assert page.box[2:] == (297.0, 210.0)
    assert len(cut_lines(page)) == 4


def test_no_wraps_no_pages():
    assert wrap_pages((), "a4", text=TEXT) == ()


@pytest.mark.parametrize("length", [250.0, 400.0, 700.0])
@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_a_long_wrap_is_split_with_the_same_cross_at_the_same_spot(length, paper):
    """Put back by the offset its first cross gives, each page's other marks fall on those of the others."""
    wrap = long_wrap(length)
    pages = wrap_pages((wrap,), paper, text=TEXT)
    assert len(pages) >= 2
    crosses = [{t.text: np.array(t.at) for t in page.labels if len(t.text) == 1} for page in pages]
    for here, there in pairwise(crosses):
        shared = sorted(set(here) & set(there))
        assert len(shared) == 2
        shifts = [there[letter] - here[letter] for letter in shared]
        assert shifts[0] == pytest.approx(shifts[1])
        assert np.abs(here[shared[0]] - here[shared[1]]).max() > 50.0


def test_a_split_wrap_put_together_is_whole():
    """The cut's length on all pages is that of the whole plus what lies twice in the shared strips."""
    wrap = long_wrap(400.0)
    pages = wrap_pages((wrap,), "a4", text=TEXT)
    whole = np.column_stack([wrap.phi * wrap.radius, wrap.outside])
    heights = []
    for page in pages:
        cut = np.concatenate([s.points for s in page.strokes if s.layer == "cut"])
        heights.append(float(np.ptp(cut[:, 1])))
    total = wrap.edge - float(wrap.outside.min())
    assert sum(heights) == pytest.approx(total + OVERLAP * (len(pages) - 1), abs=2.5)  # margins of the box
    assert np.ptp(whole[:, 0]) == pytest.approx(once_round(wrap))
    assert all("part" in " ".join(t.text for t in page.labels) for page in pages)


def test_a_wrap_too_wide_and_too_long_is_tiled_both_ways():
    """A 130 mm tube is 408 mm round: two pages across, more up."""
    wrap = replace(long_wrap(400.0), radius=65.0)
    pages = wrap_pages((wrap,), "a4", text=TEXT)
    letters = [t.text for page in pages for t in page.labels if len(t.text) == 1]
    assert len(letters) >= 8
    assert all(letters.count(letter) == 2 for letter in set(letters))
    assert len(pages) >= 4


def test_templates_leave_the_foot_free():
    for page in wrap_pages(WRAPS, "a4", text=TEXT):
        assert min(line[:, 1].min() for line in cut_lines(page)) >= FOOT
        assert printable(page.box[2:])[1] == FOOT


def test_a_long_title_is_cut_short():
    short = shortened("word " * 100, 3.0, 80.0)
    assert short.endswith("…")
    assert text_width(short, 3.0) <= 80.0
    assert shortened("as it is", 3.0, 80.0) == "as it is"
