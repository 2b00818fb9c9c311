"""The Cut & bend page in the browser: sheets made, read, walked by keyboard, and their files opened."""

from __future__ import annotations

import io
import math
import zipfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

import ezdxf
import pdfplumber
import pytest

from conftest import LAPTOP, TABLET, Bench, OpenPage, grave, until

pytestmark = pytest.mark.slow
Picture = Callable[[Any, str], Path]
PLAN = "roll-bar"
SLOWEST = 150_000
"""Milliseconds that the sheets may take: two cores may be shared by many tests."""


def ready(page: Any) -> Any:
    """The page once the sheets are made."""
    page.wait_for_selector(".sheet table", timeout=SLOWEST)
    page.get_by_text("the plan as it is now").wait_for(timeout=SLOWEST)
    page.wait_for_function("() => !document.body.classList.contains('papers-wanting')", timeout=SLOWEST)
    return page


def taken(page: Any, file: str) -> bytes:
    with page.expect_download() as waiting:
        page.locator(f"a[data-file='{file}']").first.click()
    return Path(waiting.value.path()).read_bytes()


def turn_to(page: Any, words: str) -> None:
    page.get_by_role("navigation", name="Sheets").get_by_role("link", name=words).first.click()


def test_the_sheets_are_made_when_the_page_is_opened(bench: Bench, open_page: OpenPage, picture: Picture):
    page = ready(open_page("cut", plan=PLAN))
    rows = page.locator(".sheet table").first.locator("tbody th").all_inner_texts()
    assert rows == [m["name"].replace("_", " ") for m in bench.get("/scene", PLAN)["members"]]
    for size, name in ((LAPTOP, "laptop"), (TABLET, "tablet")):
        page.set_viewport_size({"width": size[0], "height": size[1]})
        picture(page, f"cut-{name}")
        assert page.evaluate("document.documentElement.scrollWidth") <= size[0]
    assert grave(page) == []
    turn_to(page, "Lengths to buy and cut")
    page.get_by_role("article", name="Lengths to buy and cut").wait_for()
    turn_to(page, "main hoop")
    page.get_by_role("article", name="Bend sheet: main hoop").wait_for()
    picture(page, "cut-member")
    assert grave(page) == []


def test_a_wrap_is_downloaded_as_pdf_and_dxf_and_is_once_round_the_tube(bench: Bench, open_page: OpenPage):
    """Once round is pi x OD: the circumference of a circle."""
    page = ready(open_page("cut", plan=PLAN))
    turn_to(page, "diagonal")
    page.get_by_role("heading", name="Wrap for the start").wait_for()
    drawn = "() => [...document.querySelectorAll('.wraps-of img')].every(i => i.complete && i.naturalWidth)"
    page.wait_for_function(drawn)
    with pdfplumber.open(io.BytesIO(taken(page, "wraps/diagonal-start-a4.pdf"))) as pdf:
        paper = pdf.pages[0]
        marks = [*paper.lines, *paper.curves, *paper.rects]
        widths = [(one["x1"] - one["x0"]) * 25.4 / 72.0 for one in marks]
    assert any(abs(w - math.pi * 38.0) < 0.05 for w in widths)
    assert any(abs(w - 100.0) < 0.05 for w in widths)
    doc = ezdxf.read(io.StringIO(taken(page, "wraps/diagonal-start.dxf").decode()))
    xs = [x for line in doc.modelspace().query("LWPOLYLINE[layer=='CUT']") for x, *_ in line.get_points()]
    assert max(xs) - min(xs) == pytest.approx(math.pi * 38.0, abs=1e-3)


def test_all_of_one_paper_size_in_one_file(bench: Bench, open_page: OpenPage):
    page = ready(open_page("cut", plan=PLAN))
    with page.expect_download() as waiting:
        page.locator("a[data-zip='?paper=a4']").click()
    names = zipfile.ZipFile(waiting.value.path()).namelist()
    assert f"{PLAN}-cut-and-bend/all-wraps-a4.pdf" in names
    assert f"{PLAN}-cut-and-bend/wraps/diagonal-end.dxf" in names
    assert not any(name.endswith("-letter.pdf") for name in names)


def test_the_list_is_walked_by_keyboard_and_a_sheet_has_its_address(bench: Bench, open_page: OpenPage):
    page = ready(open_page("cut", plan=PLAN))
    turn_to(page, "Summary")
    page.keyboard.press("ArrowDown")
    page.keyboard.press("Enter")
    page.get_by_role("article", name="Cut list").wait_for()
    assert page.evaluate("document.activeElement.textContent") == "Cut list"
    turn_to(page, "Weld map")
    page.reload()
    page.get_by_role("article", name="Weld map").wait_for()


def test_sheets_follow_an_edit_only_when_they_are_made_again(bench: Bench, open_page: OpenPage):
    page = ready(open_page("cut", plan=PLAN))
    plan = bench.folder / f"{PLAN}.yaml"
    plan.write_text(plan.read_text().replace("up: 260", "up: 300"))
    page.get_by_text("older than the plan").wait_for(timeout=60_000)
    assert "Do not cut from these" in page.locator(".cut-head").inner_text()
    page.get_by_role("button", name="Make the sheets again").click()
    page.get_by_text("the plan as it is now").wait_for(timeout=SLOWEST)
    revision = bench.get("", PLAN)["revision"]
    until(lambda: revision in page.locator(".sheet header").first.inner_text(), "the new sheets")
