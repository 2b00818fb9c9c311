"""The drop on the Strength page: filled in, followed, told; and what cannot be is said."""

from __future__ import annotations

import pytest

from conftest import Bench, OpenPage

pytestmark = [pytest.mark.slow]


def test_a_drop_is_let_go_and_told(bench: Bench, open_page: OpenPage):
    page = open_page(at=f"/plans/{bench.id('roll-bar')}/strength")
    page.wait_for_selector("#run-drop", timeout=150_000)
    page.fill("#drop input[name=height]", "high")
    page.click("#run-drop")
    page.get_by_text("height: wanted a length").wait_for(timeout=150_000)
    page.fill("#drop input[name=height]", "60 mm")
    page.click("#run-drop")
    page.wait_for_selector(".drop-headline", timeout=150_000)
    assert page.locator(".drop-headline").inner_text().startswith("Dropped from 60 mm: the cage takes up")
    assert page.locator(".drop-picture").count() == 2
    assert "still push as the ground lies" in page.locator("#drop").inner_text()
    page.wait_for_function(
        "() => [...document.querySelectorAll('.drop-picture')].every((p) => p.naturalWidth > 0)"
    )
