"""The folder's page in the browser: an empty folder leads on, a plan is started, opened and dropped."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pdfplumber
import pytest

from conftest import LAPTOP, TABLET, Bench, OpenPage, grave, until

pytestmark = pytest.mark.slow
Picture = Callable[[Any, str], Path]


def test_an_empty_folder_leads_to_a_first_plan(empty_bench: Bench, open_page: OpenPage, picture: Picture):
    page = open_page(at="/", on=empty_bench, size=TABLET)
    page.get_by_role("heading", name="Welcome").wait_for()
    picture(page, "folder-empty-tablet")
    assert grave(page) == []
    page.get_by_label("What is it called?").fill("Reed saloon")
    page.get_by_label("Doorbars").select_option("X")
    page.get_by_role("button", name="Start", exact=True).click()
    page.wait_for_url("**/plans/reed-saloon/cage", timeout=60_000)
    page.get_by_text("Reed saloon").first.wait_for()
    assert (empty_bench.folder / "reed-saloon.yaml").is_file()


def test_a_plan_without_a_name_is_asked_for_one(empty_bench: Bench, open_page: OpenPage):
    page = open_page(at="/", on=empty_bench)
    page.get_by_role("button", name="Start", exact=True).click()
    page.get_by_text("Give it a name first").wait_for()
    assert page.evaluate("document.activeElement.name") == "title"
    assert [path.name for path in empty_bench.folder.iterdir() if not path.name.startswith(".")] == []


def test_from_an_empty_folder_to_a_template_in_the_printer(empty_bench: Bench, open_page: OpenPage):
    """What a newcomer does without reading anything: start, look, cut, print; each step is one press."""
    page = open_page(at="/", on=empty_bench)
    page.get_by_text("A roll bar").click()
    page.get_by_label("What is it called?").fill("First bar")
    page.get_by_role("button", name="Start", exact=True).click()
    page.wait_for_url("**/plans/first-bar/cage", timeout=60_000)
    page.get_by_role("link", name="Cut & bend").click()
    page.wait_for_selector(".sheet table", timeout=150_000)
    page.get_by_role("navigation", name="Sheets").get_by_role("link", name="diagonal").click()
    page.get_by_role("heading", name="Wrap for the end").wait_for()
    with page.expect_download() as waiting:
        page.locator("a[data-file='wraps/diagonal-end-a4.pdf']").click()
    with pdfplumber.open(waiting.value.path()) as pdf:
        text = pdf.pages[0].extract_text()
    assert "diagonal" in text
    assert "Not a certificate" in text


def test_a_roll_bar_is_asked_nothing_about_doors(empty_bench: Bench, open_page: OpenPage):
    page = open_page(at="/", on=empty_bench)
    page.get_by_label("Doorbars").wait_for()
    page.get_by_text("A roll bar").click()
    page.get_by_label("Doorbars").wait_for(state="hidden")


def test_the_plans_are_shown_with_their_pictures(bench: Bench, open_page: OpenPage, picture: Picture):
    for size, name in ((LAPTOP, "laptop"), (TABLET, "tablet")):
        page = open_page(at="/", size=size)
        card = page.locator(f"[data-plan-card='{bench.id()}']")
        card.scroll_into_view_if_needed()
        card.get_by_text("27 members").wait_for()
        drawn = "card => (i => i?.complete && i.naturalWidth > 0)(card.querySelector('img'))"
        page.wait_for_function(drawn, arg=card.element_handle())
        picture(page, f"folder-{name}")
        assert grave(page) == []
    card.click()
    page.wait_for_url(f"**/plans/{bench.id()}/cage")


def test_a_broken_plan_says_so_on_its_card(bench: Bench, open_page: OpenPage):
    (bench.folder / "broken.yaml").write_text(
        "cagewright: 1\ntitle: <img src=x onerror=alert(1)>\nmembers: 3\n"
    )
    page = open_page(at="/")
    card = page.locator(f"[data-plan-card='{bench.id('broken')}']")
    card.scroll_into_view_if_needed()
    card.get_by_text("in its text").wait_for()
    assert card.get_by_role("heading").inner_text() == "<img src=x onerror=alert(1)>"
    assert card.locator("img").count() == 0


def test_a_plan_file_is_taken_in(empty_bench: Bench, open_page: OpenPage, bench: Bench):
    page = open_page(at="/", on=empty_bench)
    page.get_by_role("button", name="Choose a file").wait_for()
    page.get_by_label("A plan file", exact=True).set_input_files({
        "name": "roll-bar.yaml",
        "mimeType": "application/yaml",
        "buffer": (bench.folder / "roll-bar.yaml").read_text().replace("shop: ", "# shop: ").encode(),
    })
    page.wait_for_url("**/plans/roll-bar/cage", timeout=60_000)
    assert (empty_bench.folder / "roll-bar.yaml").is_file()


def test_a_new_survey_opens_at_its_readings(empty_bench: Bench, open_page: OpenPage):
    page = open_page(at="/", on=empty_bench)
    page.get_by_text("From my own tape readings").click()
    page.get_by_label("What is it called?").fill("Marsh saloon")
    page.get_by_label("Your tape reads").select_option("in")
    page.get_by_role("button", name="Start", exact=True).click()
    page.wait_for_url("**/surveys/marsh-saloon-survey", timeout=60_000)
    page.get_by_text("0 of", exact=False).first.wait_for()
    until(lambda: (empty_bench.folder / "marsh-saloon-survey.yaml").is_file(), "the survey's file")
