"""A walk through every page of the demo (in `make deep` in inches too): each is filled, and none complains.

The quick look of every run; what each page does is tried in the files beside this one.
"""

from __future__ import annotations

import pytest

from cagewright.workbench.server.app import shown_pages
from conftest import Bench, OpenPage

FILLED = {
    "shell": "text=not laid out from tape readings",
    "cage": "#panel-tubes tr[data-row]",
    "rules": ".rules-do li[data-do]",
    "strength": ".push-list li",
    "alternatives": "#study",
    "cut": ".sheet table",
    "fitup": "#steps button[aria-current]",
    "inspect": "li[data-row]",
    "papers": "text=not built yet",
}
"""By page, what is there once it has its answers."""


@pytest.mark.parametrize("plan", ["brackwater", pytest.param("brackwater-inch", marks=pytest.mark.slow)])
def test_every_page_is_filled(plan: str, bench: Bench, open_page: OpenPage):
    page = open_page(at="/")
    page.locator(f"a[href='/plans/{bench.id(plan)}/cage']").first.click()
    names = [shown.name for shown in shown_pages()]
    assert set(names) == FILLED.keys()
    for name in names:
        page.locator(f"nav a[href='/plans/{bench.id(plan)}/{name}']").click()
        page.wait_for_selector(FILLED[name], timeout=90_000)
        assert not page.get_by_text("Something went wrong").count(), name
