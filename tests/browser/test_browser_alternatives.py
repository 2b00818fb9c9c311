"""The Alternatives page in the browser: made in two clicks, laid over the plan, pushed side by side."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from conftest import LAPTOP, TABLET, Bench, OpenPage, Watch, grave

pytestmark = pytest.mark.slow
Picture = Callable[[Any, str], Path]


def ready(page: Any) -> Any:
    page.wait_for_selector("#study")
    page.wait_for_function("() => window.cagewrightView?.snapshot().members.length > 0")
    page.wait_for_timeout(500)  # the first look of the picture has come to rest
    return page


def middle_of(page: Any, name: str) -> tuple[float, float]:
    """Where the middle of a straight tube is on the page, pixels."""
    at = page.evaluate(
        "name => { const v = window.cagewrightView;"
        " const a = v.scene.members.find((m) => m.name === name).axis;"
        " return v.where(a[0].map((x, i) => (x + a[a.length - 1][i]) / 2)); }",
        name,
    )
    return at["x"], at["y"]


def test_two_clicks_make_an_alternative_that_is_laid_over_the_plan(bench: Bench, open_page: OpenPage):
    page = ready(open_page("alternatives"))
    page.mouse.click(*middle_of(page, "pillar_brace_left"))  # the first
    page.wait_for_selector(".chip")
    page.click("[data-what=without]")  # the second
    page.wait_for_selector("#shown:has-text('over the plan')")
    made = bench.get("/alternatives")["studies"][0]["alternatives"]
    assert [a["changes"] for a in made] == [["removed pillar brace left and pillar brace right"]]
    assert (bench.folder / "brackwater.alternatives.yaml").is_file()
    shown = page.evaluate("() => window.cagewrightView.snapshot()")
    assert "pillar_brace_left" not in shown["members"]
    assert "pillar_brace_left" in shown["under"]
    assert "Gone: pillar brace left" in page.locator("#shown").inner_text()
    page.click("text=Back to the plan")
    assert "pillar_brace_left" in page.evaluate("() => window.cagewrightView.snapshot().members")


def test_by_keyboard_alone(bench: Bench, open_page: OpenPage):
    page = ready(open_page("alternatives", plan="roll-bar"))
    page.focus("#tube-list")
    page.keyboard.type("diag")
    page.wait_for_selector(".chip")
    page.focus("[data-what=without]")
    page.keyboard.press("Enter")
    page.wait_for_selector("#shown:has-text('over the plan')")
    names = [a["name"] for a in bench.get("/alternatives", "roll-bar")["studies"][0]["alternatives"]]
    assert names == ["without diagonal"]


def test_what_cannot_be_built_is_said_and_not_kept(bench: Bench, open_page: OpenPage, watch: Watch):
    watch.expect("422")
    page = ready(open_page("alternatives", plan="roll-bar"))
    page.select_option("#tube-list", "diagonal")
    page.click("text=Move it …")
    page.fill("[data-way=back]", "400")
    page.click("[data-what=moved]")
    page.wait_for_selector("dialog.wrong-box")
    assert page.locator("dialog .problems li").count() >= 1
    assert bench.get("/alternatives", "roll-bar")["studies"][0]["alternatives"] == []


def test_alternatives_are_pushed_side_by_side_and_can_be_stopped(bench: Bench, open_page: OpenPage):
    page = ready(open_page("alternatives", plan="roll-bar"))
    page.select_option("#tube-list", "diagonal")
    page.click("[data-what=without]")
    page.wait_for_selector("#shown:has-text('over the plan')")
    page.click("#run-compare")
    page.click("#stop-compare")
    page.wait_for_selector("#run-compare")
    assert page.locator("table.compared").count() == 0
    page.click("#run-compare")
    page.wait_for_selector("table.compared", timeout=150_000)
    ran = bench.get("/alternatives", "roll-bar")["studies"][0]["ran"]
    shown = {"by_J", "energy_J", "travel_mm", "peak_N", "margin_mm", "joint_N"}
    for row, drawn in zip(ran["rows"], page.locator(".push-compared tbody tr").all()[:2], strict=True):
        words = drawn.inner_text()
        for one in row["pushes"][0]["figures"]:
            if one["key"] in shown:
                assert one["value"]["said"] in words
                assert one["said"] in words
    assert page.locator(".plot-key li").count() == 2
    beside = page.locator("#compared table:has(caption:has-text('to decide by')) tbody tr")
    said = [row["value"]["said"] for row in ran["rows"][0]["summary"]]
    assert beside.first.locator("td").all_inner_texts()[1:] == said
    assert "compare alternatives before trusting" in page.locator("#compared .compare-first").inner_text()


def test_an_alternative_is_renamed_and_taken_out(bench: Bench, open_page: OpenPage):
    page = ready(open_page("alternatives", plan="roll-bar"))
    page.select_option("#tube-list", "diagonal")
    page.click("[data-what=without]")
    page.click("text=Rename")
    page.fill("dialog input", "bare hoop")
    page.keyboard.press("Enter")
    page.wait_for_selector(".alternative-name:text-is('bare hoop')")
    page.click("text=Take out")
    page.click("dialog button:has-text('Take it out')")
    page.wait_for_selector("#studies:has-text('None yet')")
    assert not (bench.folder / "roll-bar.alternatives.yaml").exists()


@pytest.mark.parametrize(("size", "name"), [(LAPTOP, "laptop"), (TABLET, "tablet")])
def test_the_page_can_be_used_by_all_and_is_pictured(open_page: OpenPage, picture: Picture, size, name: str):
    page = ready(open_page("alternatives", size=size))
    page.select_option("#tube-list", "dash_bar")
    page.click("[data-what=lighter]")
    page.wait_for_selector("#shown:has-text('over the plan')")
    page.wait_for_timeout(400)
    picture(page, f"alternatives-{name}")
    assert grave(page) == []
    wide = page.evaluate("() => [document.documentElement.scrollWidth, innerWidth]")
    assert wide[0] <= wide[1]
