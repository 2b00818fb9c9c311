"""The Inspect page in the browser: a car walked round on a tablet and a phone, read, and reported."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from conftest import TABLET, Bench, OpenPage, Watch, grave

pytestmark = pytest.mark.slow
Picture = Callable[[Any, str], Path]
PHONE = (390, 844)


def walked(page: Any) -> Any:
    """A car that is not planned here, its record started, by the 2020 book."""
    page.select_option("#book", "fia-253-2020")
    page.wait_for_selector("li[data-row='main-tube']")
    page.get_by_label("Job").fill("red hatch")
    page.fill("#who", "Jo")
    page.click("#start-job")
    page.wait_for_selector(".job-name")
    return page


def row(page: Any, name: str) -> Any:
    return page.locator(f"li[data-row='{name}']")


@pytest.mark.parametrize(("size", "name"), [(TABLET, "tablet"), (PHONE, "phone")])
def test_a_car_not_planned_here_is_walked_round(
    own_bench: Bench, open_page: OpenPage, watch: Watch, picture: Picture, size: Any, name: str
):
    watch.expect("422")
    page = walked(open_page(at="/inspect", on=own_bench, size=size))
    before = int(page.locator("#headline").inner_text().split()[0])
    box = row(page, "main-tube").locator("input")
    box.fill("blue")
    box.press("Enter")
    page.wait_for_selector("dialog.wrong-box")
    assert "no tube size" in page.locator("dialog").inner_text()
    page.keyboard.press("Escape")
    assert box.input_value() == "blue", "what was typed stays to be put right"
    box.fill("45 x 2.5")
    box.press("Enter")
    row(page, "main-tube").locator(".tag.pass").wait_for()
    row(page, "seamless").get_by_role("button", name="No", exact=True).click()
    row(page, "seamless").locator(".tag.wrong").wait_for()
    assert int(page.locator("#headline").inner_text().split()[0]) == before - 1
    assert "fail, read no" in page.locator(".inspect-open").inner_text()
    page.reload()
    row(page, "main-tube").locator(".tag.pass").wait_for()
    assert row(page, "main-tube").locator("input").input_value() == "45 x 2.5 mm"
    row(page, "main-tube").get_by_role("button", name="Take it back").click()
    row(page, "main-tube").get_by_text("not looked at").wait_for()
    picture(page, f"inspect-{name}")
    assert grave(page) == []
    assert page.evaluate("document.documentElement.scrollWidth") <= size[0]


def test_a_planned_car_shows_what_is_planned_and_hides_what_is_done(
    bench: Bench, open_page: OpenPage, picture: Picture
):
    page = open_page("inspect", size=TABLET)
    page.wait_for_selector("li[data-row]")
    assert page.input_value("#book") == "fia-253-2009", "the book that the plan names"
    every = page.locator("li[data-row]").count()
    page.get_by_role("button", name="Only what is open").click()
    assert page.locator("li[data-row]").count() == page.locator(".inspect-open li").count() < every
    assert row(page, "main-tube").locator("input").count() == 0
    picture(page, "inspect-planned")
    assert grave(page) == []


def test_the_folder_leads_to_a_car_that_is_not_planned(bench: Bench, open_page: OpenPage):
    page = open_page(at="/")
    page.get_by_role("link", name="Inspect a car").click()
    page.wait_for_selector("#book")
    assert page.locator("li[data-row]").count() == 0
