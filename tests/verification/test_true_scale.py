"""Templates print at true scale: lengths read back from the PDF by an independent reader.

Source: ISO 32000-1:2008 8.3.2.3 (one unit of default user space is 1/72 in; from memory, unchecked) and
pdfplumber's reading of the page. The tolerance, 0.01 mm, is a fifth of what a good steel rule shows.
"""

from __future__ import annotations

import io

import numpy as np
import pdfplumber
import pytest
from pypdf import PdfReader

import handmade
from bookmade import papers
from cagewright.make.wraps import wraps_of

MM = 25.4 / 72.0


@pytest.fixture(scope="module", params=["a4", "letter"])
def book(request):
    return papers((), cage=handmade.cage(), paper=request.param, stamp="rules: 0 fail, 2 cannot tell")


def horizontal(page):
    """Lengths of all level straight lines of the page, mm."""
    return np.array([
        (line["x1"] - line["x0"]) * MM for line in page.lines if abs(line["top"] - line["bottom"]) < 1e-6
    ])


def wrap_page_list(book):
    with pdfplumber.open(io.BytesIO(book)) as pdf:
        return [
            (horizontal(p), p.extract_text()) for p in pdf.pages if "this line: 100 mm" in p.extract_text()
        ]


@pytest.mark.slow
def test_every_template_page_has_a_100_mm_line_and_a_4_inch_line(book):
    pages = wrap_page_list(book)
    assert len(pages) >= 4
    for lengths, text in pages:
        assert np.abs(lengths - 100.0).min() < 0.01
        assert np.abs(lengths - 101.6).min() < 0.01
        assert "this line: 4 in" in text


@pytest.mark.slow
def test_reference_edge_is_as_long_as_the_tube_is_round(book):
    """pi D: 119.38 mm for 38 mm (38 pi)."""
    with pdfplumber.open(io.BytesIO(book)) as pdf:
        found = [c for p in pdf.pages for c in p.curves if "TOWARD" in p.extract_text()]
    widths = np.array([(c["x1"] - c["x0"]) * MM for c in found])
    assert np.sum(np.abs(widths - 119.3805) < 0.01) >= 2 * len(wraps_of(handmade.cage()))


def test_viewer_is_told_not_to_scale(book):
    """ISO 32000-1:2008 Table 150, PrintScaling (from memory, unchecked)."""
    assert PdfReader(io.BytesIO(book)).root_object["/ViewerPreferences"]["/PrintScaling"] == "/None"
