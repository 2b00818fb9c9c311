"""A bent tube read on a phone: readings typed, drawn over the plan, taken over, put back."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from bent import leg_lines
from cagewright.plan.read import read_plan
from conftest import Bench, OpenPage, grave, until

pytestmark = pytest.mark.slow
PHONE = (390, 844)
LEG = "front_leg_left"


def test_a_tube_is_read_taken_over_and_put_back_on_a_phone(
    bench: Bench, open_page: OpenPage, picture: Callable[[Any, str], Path]
):
    plan = bench.folder / "brackwater.yaml"
    before = read_plan(plan).members[LEG].path
    page = open_page(at=f"/plans/{bench.id('brackwater')}/cut#tube%3A{LEG}", size=PHONE)
    page.wait_for_selector(".tube-readings input")
    lines = leg_lines(bend=[(2, -1.5)])
    assert page.locator(".tube-readings input").count() == len(lines)
    page.focus("#tube-reading-1")
    for line in lines:  # typed without waiting, Enter goes to the next
        page.keyboard.type(f"{float(line['says'].split()[0]):.1f}")
        page.keyboard.press("Enter")
    assert page.evaluate("document.activeElement.id") == "tube-what-now"
    picture(page, "tube-read-phone")
    page.reload()  # what was typed is still there
    page.wait_for_function("() => document.querySelector('#tube-reading-1')?.value")
    page.click("#tube-what-now")
    page.wait_for_selector("#take-over")
    assert page.locator(".tube-answer svg [stroke]").count() >= 4
    picture(page, "tube-answer-phone")
    assert "bend 2" in page.locator(".tube-card td.off").locator("..").first.inner_text()
    assert page.evaluate("document.documentElement.scrollWidth") <= PHONE[0]
    assert grave(page) == []
    with page.expect_download() as waiting:
        page.click("#tube-papers")
    assert Path(waiting.value.path()).read_bytes().startswith(b"%PDF")
    page.click("#take-over")
    page.wait_for_selector("#as-planned")
    until(lambda: read_plan(plan).members[LEG].planned == before, "the tube as built")
    page.click("#as-planned")
    page.wait_for_selector("#as-planned", state="detached")
    until(lambda: read_plan(plan).members[LEG].path == before, "the tube as planned")


def test_the_members_sheet_leads_to_it(bench: Bench, open_page: OpenPage):
    page = open_page("cut", plan="roll-bar")
    page.wait_for_selector(".sheet table", timeout=150_000)
    page.get_by_role("navigation", name="Sheets").get_by_role("link", name="main hoop").first.click()
    page.get_by_role("link", name="read it on the bench").click()
    page.wait_for_selector(".tube-readings input")
