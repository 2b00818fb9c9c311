"""The Strength page in the browser: a push run and looked at along its travel, another stopped."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from conftest import LAPTOP, TABLET, Bench, OpenPage, grave

pytestmark = pytest.mark.slow
Picture = Callable[[Any, str], Path]
PUSH = "main-hoop-down"


def ready(page: Any) -> Any:
    page.wait_for_selector(".push-list li")
    page.wait_for_function("() => window.cagewrightView?.snapshot().members.length > 0")
    return page


def only(page: Any, *names: str) -> None:
    """Tick these pushes and no others."""
    more = page.locator(".more-pushes:not([open]) > summary")
    if more.count():
        more.click()
    ticked = page.locator(".push-list input:checked")
    while ticked.count():
        ticked.first.uncheck()
    for name in names:
        page.locator(f"[data-push='{name}'] input").check()


def run(page: Any, *names: str) -> None:
    only(page, *names)
    page.click("#run-pushes")
    page.wait_for_selector(".tiles", timeout=150_000)


def test_a_push_is_run_and_shown_along_its_travel(bench: Bench, open_page: OpenPage):
    page = ready(open_page("strength", plan="roll-bar"))
    run(page, PUSH)
    kept = bench.get(f"/strength/results/{PUSH}", "roll-bar")
    tile = page.locator(".tile", has_text="largest load")
    assert next(f["value"]["said"] for f in kept["figures"] if f["key"] == "peak") in tile.inner_text()
    assert "compare alternatives before trusting" in page.locator(".compare-first").inner_text()
    slider = page.locator("#travel-slider")
    slider.focus()
    for _ in range(100):
        page.keyboard.press("PageDown")
        if slider.input_value() == "0":
            break
    rest = page.evaluate("() => window.cagewrightView.moved.map((one) => one.axis[0])")
    assert rest == [m["points"][0] for m in kept["moments"]["members"]]
    page.keyboard.press("PageUp")
    moved = page.evaluate("() => window.cagewrightView.moved.map((one) => one.axis)")
    assert moved != rest
    first = next(h for h in kept["happened"] if h["kind"] in {"hinge", "foot", "joint"})
    page.locator(".happening").first.click()
    assert float(slider.input_value()) == pytest.approx(first["travel"]["value"], abs=0.01)
    assert page.locator(".happening.past").count() >= 1
    assert page.evaluate("() => window.cagewrightView.snapshot().marks.length") >= 1


def test_tubes_carry_their_use_in_colour_and_in_words(bench: Bench, open_page: OpenPage):
    page = ready(open_page("strength", plan="roll-bar"))
    run(page, PUSH)
    kept = bench.get(f"/strength/results/{PUSH}", "roll-bar")
    shades = page.evaluate("() => Object.fromEntries(window.cagewrightView.shades)")
    used = {m["member"]: m["used"]["value"] for m in kept["tubes"]}
    for name, shade in shades.items():
        # the page opens at the largest load, up to which the table tells the use; sent as whole percents
        # up to yield it is coloured in step with the use, and past it the more the more it is used
        if used[name] <= 1.0:
            assert shade["value"] == pytest.approx(0.7 * used[name], abs=0.011)
        else:
            assert 0.69 < shade["value"] <= 1.0
        assert shade["words"].endswith("used")
    ranked = sorted(shades, key=lambda name: used[name])
    assert shades[ranked[-1]]["value"] == max(shade["value"] for shade in shades.values())
    assert page.locator("table caption", has_text="Tubes").count() == 1
    page.click("text=Colours")
    assert page.evaluate("() => window.cagewrightView.shades") is None


def test_a_push_can_be_stopped_and_another_run_after_it(bench: Bench, open_page: OpenPage):
    page = ready(open_page("strength"))
    only(page, *[p["name"] for p in bench.get("/strength")["pushes"]])
    page.click("#run-pushes")
    page.click("#stop-pushes")
    page.wait_for_selector("#run-pushes")
    assert "Stopped" in page.locator("#status").inner_text()
    run(page, "harness")
    assert [r["name"] for r in bench.get("/strength")["ran"]].count("harness") == 1


def test_after_an_edit_a_result_says_that_it_is_of_an_earlier_plan(bench: Bench, open_page: OpenPage):
    page = ready(open_page("strength", plan="roll-bar"))
    run(page, PUSH)
    assert not page.locator(".stale-words").is_visible()
    change = {"move": {"members": "diagonal", "places": 2, "across": -300}}
    number = bench.get("", "roll-bar")["number"]
    answer = page.evaluate(
        "([url, body, n]) => fetch(url, {method: 'POST', body, headers: {'Content-Type': 'application/json',"
        " 'If-Match': `\"${n}\"`}}).then((r) => r.status)",
        [f"/api/plans/{bench.id('roll-bar')}/edits", json.dumps(change), number],
    )
    assert answer == 200
    page.wait_for_selector(".stale-words:visible")
    assert "earlier state of the plan" in page.locator(".stale-words").inner_text()
    page.locator(f"[data-push='{PUSH}'] .tag", has_text="older plan").wait_for()
    page.click("#undo")
    page.wait_for_selector(".stale-words", state="hidden")


@pytest.mark.parametrize(("size", "name"), [(LAPTOP, "laptop"), (TABLET, "tablet")])
def test_the_page_can_be_used_by_all_and_is_pictured(open_page: OpenPage, picture: Picture, size, name: str):
    page = ready(open_page("strength", size=size))
    run(page, "front-corner-left")
    page.wait_for_timeout(300)
    picture(page, f"strength-{name}")
    assert grave(page) == []
    wide = page.evaluate("() => [document.documentElement.scrollWidth, innerWidth]")
    assert wide[0] <= wide[1]
