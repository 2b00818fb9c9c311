"""The Papers page in the browser: built, listed, downloaded and opened, stopped half way, or old."""

from __future__ import annotations

import io
import zipfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pdfplumber
import pytest

from conftest import LAPTOP, TABLET, Bench, OpenPage, grave

pytestmark = pytest.mark.slow
Picture = Callable[[Any, str], Path]
PLAN = "roll-bar"
"""Four tubes: what is tried here is the page, not how long a large book takes."""
SLOWEST = 240_000
"""Milliseconds that a whole set may take: two cores may be shared by many tests."""


def built(page: Any) -> Any:
    page.get_by_role("button", name="Build the papers").click()
    page.get_by_text("the plan as it is now").wait_for(timeout=SLOWEST)
    return page


def downloaded(page: Any, words: str) -> bytes:
    with page.expect_download() as waiting:
        page.get_by_role("link", name=words).first.click()
    return Path(waiting.value.path()).read_bytes()


def test_the_set_is_built_and_its_book_opens(bench: Bench, open_page: OpenPage, picture: Picture):
    page = open_page("papers", plan=PLAN)
    page.get_by_text("not built yet").wait_for()
    assert grave(page) == []
    built(page)
    for size, name in ((LAPTOP, "laptop"), (TABLET, "tablet")):
        page.set_viewport_size({"width": size[0], "height": size[1]})
        picture(page, f"papers-{name}")
        assert page.evaluate("document.documentElement.scrollWidth") <= size[0]
    assert grave(page) == []
    revision = bench.get("", PLAN)["revision"]
    for words, wide in (("Build book, A4", 210.0), ("Build book, US Letter", 215.9)):
        with pdfplumber.open(io.BytesIO(downloaded(page, words))) as pdf:
            first = pdf.pages[0]
            assert float(first.width) * 25.4 / 72.0 == pytest.approx(wide, abs=0.1)
            assert revision in "".join(p.extract_text() for p in pdf.pages)
    names = zipfile.ZipFile(io.BytesIO(downloaded(page, "Everything in one file"))).namelist()
    listed = page.locator(".files-group td:first-child code").all_text_contents()
    assert sorted(names) == sorted(f"{PLAN}-papers/{name}" for name in listed)
    assert (bench.folder / f"{PLAN}-papers" / "papers-a4.pdf").is_file()


def test_building_can_be_stopped_and_nothing_is_left_half(bench: Bench, open_page: OpenPage):
    page = open_page("papers", plan="brackwater")
    page.get_by_role("button", name="Build the papers").click()
    page.locator(".make-progress .doing").wait_for()
    page.get_by_role("button", name="Stop building").click()
    page.get_by_role("button", name="Build the papers").wait_for(timeout=60_000)
    page.get_by_text("Stopped; nothing was changed.").wait_for()
    page.get_by_text("not built yet").wait_for()
    assert not (bench.folder / "brackwater-papers" / "contents.json").exists()


def test_papers_older_than_the_plan_are_marked(bench: Bench, open_page: OpenPage):
    page = built(open_page("papers", plan=PLAN))
    plan = bench.folder / f"{PLAN}.yaml"
    plan.write_text(plan.read_text().replace("[1450, -430, 1120]", "[1450, -430, 1110]"))
    page.get_by_text("older than the plan").wait_for(timeout=60_000)
    assert "Do not cut from these" in page.locator("#papers-status").inner_text()
    page.get_by_role("button", name="Build the papers again").wait_for()
