"""The Fit-up page in the browser: a job's record started, a leg measured, and what to pull seen."""

from __future__ import annotations

import time
from collections.abc import Callable
from pathlib import Path
from typing import Any
from urllib.parse import urlencode

import pytest

from conftest import LAPTOP, TABLET, Bench, OpenPage, Watch, grave

pytestmark = pytest.mark.slow
Picture = Callable[[Any, str], Path]
LEGS = 3
"""The step that tacks the front legs and the backstays of the Brackwater."""


def ready(page: Any) -> Any:
    page.wait_for_selector("#steps button[aria-current]")
    page.wait_for_selector("#tab-do")
    page.wait_for_function("() => window.cagewrightView?.snapshot().members.length > 0")
    return page


def started(page: Any) -> Any:
    """The page with the plan's job in the record."""
    ready(page)
    page.fill("#who", "Jo")
    page.click("#start-job")
    page.wait_for_selector(".job-name")
    return page


def to_step(page: Any, number: int) -> None:
    page.locator("#steps button").nth(number - 1).click()
    page.wait_for_selector(f"#step h2:has-text('Step {number}:')")


def get(bench: Bench, path: str = "") -> Any:
    return bench.get(f"/fitup{path}?{urlencode({'job': 'brackwater'})}")


def says_of(reading: dict[str, Any], off: float) -> str:
    """What the tape says where the left leg's bottom mark is ``off`` mm further away."""
    if reading["kind"] == "lean":
        return f"{reading['planned']['value']:.2f}"
    far = off if "front_leg_left.start" in (reading["a"], reading["b"]) and reading["kind"] == "tape" else 0.0
    return f"{reading['planned']['value'] + far:.1f}"


def test_a_reading_that_is_far_off_is_asked_about(own_bench: Bench, open_page: OpenPage, picture: Picture):
    page = started(open_page("fitup", on=own_bench))
    to_step(page, LEGS)
    page.click("#tab-measure")
    first = get(own_bench, f"/steps/{LEGS}")["readings"][0]
    far = first["planned"]["value"] + (10.0 if first["kind"] == "lean" else 80.0)
    page.fill("#reading", f"{far:.1f}")
    page.click("#keep-reading")
    page.wait_for_selector(".reading-question")
    picture(page, "fitup-asked")
    assert get(own_bench, f"/steps/{LEGS}")["taken"] == []
    page.fill("#reading", f"{first['planned']['value']:.1f}")
    page.wait_for_selector(".reading-question", state="detached")
    page.fill("#reading", f"{far:.1f}")
    page.click("#keep-reading")
    page.click("#keep-far")
    page.wait_for_selector("caption:has-text('1 of')")
    assert len(get(own_bench, f"/steps/{LEGS}")["taken"]) == 1


def test_what_the_welds_pull_is_on_the_page(own_bench: Bench, open_page: OpenPage, picture: Picture):
    page = started(open_page("fitup", on=own_bench))
    last = max(s["number"] for s in get(own_bench)["steps"] if s["title"].startswith("weld "))
    to_step(page, last)
    page.click("#tab-welds")
    page.wait_for_selector(".shrink-headline")
    rows = page.locator("#panel-welds tbody tr").count()
    assert rows == len(get(own_bench, f"/steps/{last}/shrink")["welds"]) > 0
    picture(page, "fitup-welds")


JOINED = """bench_first:
  tubes: [main_hoop, diagonal_hoop, backstay_left]
  clamps: {low: {on: main_hoop, side: left, up: 300}, other: {on: main_hoop, side: right, up: 300}}
"""


def test_what_to_join_on_the_bench_is_looked_for_and_stays(
    bench: Bench, open_page: OpenPage, picture: Picture
):
    plan = bench.folder / "brackwater.yaml"
    plan.write_text(bench.text().replace("members:\n", f"{JOINED}members:\n", 1))
    page = ready(open_page("fitup"))
    to_step(page, 1)
    panel = page.locator(".bench-first")
    panel.locator("summary").first.click()
    panel.get_by_label("By which opening").select_option("door_opening_left")
    panel.get_by_role("button", name="Look what to join on the bench").click()
    panel.locator(".bench-first-headline").wait_for(timeout=90_000)
    found = bench.get("/fitup/bench-first")["found"]
    assert panel.locator(".bench-first-headline").inner_text() == found["headline"]
    rows = [row for table in found["work"]["tables"] for row in table["rows"]]
    assert panel.locator("tbody tr").count() == len(rows)
    for row, cells in zip(panel.locator("tbody tr").all(), rows, strict=True):
        assert row.locator("th, td").all_inner_texts() == cells
    assert [p.inner_text() for p in panel.locator(".moves p").all()] == [
        m["said"] for m in found["passage"]["moves"]
    ]
    drawn = panel.locator(".moves img").last
    drawn.scroll_into_view_if_needed()
    page.wait_for_function("image => image.complete && image.naturalWidth > 0", arg=drawn.element_handle())
    panel.locator(".bench-first-headline").scroll_into_view_if_needed()
    picture(page, "fitup-bench-first")
    assert grave(page) == []
    page.reload()
    ready(page).click("#tab-do")
    panel.locator("summary").first.click()
    panel.locator(".bench-first-headline").wait_for()
    assert panel.locator(".bench-first-headline").inner_text() == found["headline"]


def test_the_way_in_is_found_and_shown_move_by_move(own_bench: Bench, open_page: OpenPage, picture: Picture):
    page = ready(open_page("fitup", on=own_bench))
    bench = max(s["number"] for s in own_bench.get("/fitup")["steps"] if s["where"] == "bench")
    to_step(page, bench + 1)
    panel = page.locator(".way-in")
    assert not panel.locator(".moves").count()
    panel.get_by_label("Opening that it goes in by").select_option("door_opening_left")
    panel.get_by_role("button", name="Find a way in").click()
    panel.locator(".moves li").first.wait_for(timeout=90_000)
    found = own_bench.get("/fitup/passage/door_opening_left")
    assert panel.get_by_text(found["headline"], exact=True).is_visible()
    assert panel.get_by_text(found["counted"], exact=True).is_visible()
    shown = panel.locator(".moves li")
    assert shown.count() == len(found["moves"]) > 2
    for row, move in zip(shown.all(), found["moves"], strict=True):
        assert row.locator("p").inner_text() == move["said"]
        row.scroll_into_view_if_needed()
        drawn = row.locator("img").element_handle()
        page.wait_for_function("image => image.complete && image.naturalWidth > 0", arg=drawn)
    picture(page, "fitup-way-in")
    others = [name for name in own_bench.get("/fitup")["openings"] if name != "door_opening_left"]
    panel.get_by_label("Opening that it goes in by").select_option(others[0])
    assert not panel.locator(".moves").count()
    assert grave(page) == []


def test_readings_are_entered_one_after_another_and_what_to_pull_is_shown(
    own_bench: Bench, open_page: OpenPage
):
    page = started(open_page("fitup", on=own_bench))
    to_step(page, LEGS)
    page.click("#tab-measure")
    readings = get(own_bench, f"/steps/{LEGS}")["readings"]
    page.focus("#reading")
    for reading in readings:
        # typed without waiting, as a quick hand does: none may be lost or land on another
        assert f"Reading {reading['number']} of" in page.locator(".reading-count").inner_text()
        page.keyboard.type(says_of(reading, 9.0))
        page.keyboard.press("Enter")
    page.wait_for_selector(
        f"table.readings caption:has-text('{len(readings)} of {len(readings)}')", timeout=60_000
    )
    end = time.monotonic() + 60.0  # what the page counts may be on its way still
    while len(kept := get(own_bench, f"/steps/{LEGS}")["taken"]) < len(readings):
        assert time.monotonic() < end, f"{len(kept)} of {len(readings)}"
        page.wait_for_timeout(100)
    by_marks = {(t["kind"], t["a"], t["b"], t["axis"]): t["says"] for t in kept}
    for reading in readings:
        said = by_marks[reading["kind"], reading["a"], reading["b"], reading["axis"]]
        assert said.startswith(says_of(reading, 9.0))
    page.click("#tab-pull")
    page.wait_for_selector(".pulls li", timeout=60_000)
    assert "front leg left: bottom is" in page.locator(".pulls").inner_text()
    arrows = page.evaluate("() => window.cagewrightView.written.arrows")
    assert arrows
    assert arrows[0]["words"]
    ends = get(own_bench, f"/steps/{LEGS}/square")["square"]["ends"]
    assert page.locator("table.ends-table tbody tr").count() == len(ends) == 8, "four tubes, two ends each"
    assert page.locator(".pulls .tag").count() >= 1


def test_plus_and_minus_start_from_the_plan_and_keep_the_unit(own_bench: Bench, open_page: OpenPage):
    page = started(open_page("fitup", on=own_bench))
    to_step(page, LEGS)
    page.click("#tab-measure")
    first = get(own_bench, f"/steps/{LEGS}")["readings"][0]
    page.click(".nudge >> nth=1")
    assert page.input_value("#reading") == str(round(first["planned"]["value"]) + 1)
    page.fill("#reading", "40.5 in")
    page.click(".nudge >> nth=0")
    assert page.input_value("#reading") == "39.5 in"


def test_a_reading_that_cannot_be_used_is_named_and_can_be_taken_back(own_bench: Bench, open_page: OpenPage):
    page = started(open_page("fitup", on=own_bench))
    to_step(page, LEGS)
    page.click("#tab-measure")
    page.fill("#reading", "about a yard")
    page.click("#keep-reading")
    page.wait_for_selector("dialog.wrong-box")
    assert "not used" in page.locator("dialog").inner_text()
    page.keyboard.press("Escape")
    page.wait_for_selector("table.readings .tag:has-text('not used')")
    page.click("table.readings tbody tr:nth-child(1) .link")
    page.click(".reading-said .link")
    page.wait_for_selector("table.readings .tag:has-text('not used')", state="detached")


def test_a_tick_says_who_and_the_step_is_checked(own_bench: Bench, open_page: OpenPage):
    page = started(open_page("fitup", on=own_bench))
    to_step(page, LEGS)
    page.click(".done-tick >> nth=0")
    page.wait_for_selector(".done-tick:has-text('✓ Tacked by Jo')")
    page.click("#check-step")
    page.wait_for_selector("#steps button.done")
    assert get(own_bench)["steps"][LEGS - 1]["done"]["by"] == "Jo"


def test_without_a_job_nothing_can_be_written(own_bench: Bench, open_page: OpenPage):
    page = ready(open_page("fitup", on=own_bench))
    assert page.locator("#check-step").is_disabled()
    page.click("#tab-measure")
    assert page.locator("#keep-reading").is_disabled()
    assert not (own_bench.folder / "record.sqlite").exists()


def test_a_printed_code_opens_the_step_to_measure(own_bench: Bench, open_page: OpenPage):
    page = started(open_page("fitup", on=own_bench))
    page.goto(f"{own_bench.base}/jobs/brackwater/steps/4")
    ready(page)
    assert "Step 4" in page.locator("#step h2").inner_text()
    assert page.locator("#tab-measure").get_attribute("aria-selected") == "true"
    page.focus("#tab-measure")
    page.keyboard.press("ArrowRight")
    assert page.locator("#tab-pull").get_attribute("aria-selected") == "true"


def test_a_tube_moved_to_another_step_shows_what_that_breaks(
    own_bench: Bench, open_page: OpenPage, watch: Watch
):
    page = ready(open_page("fitup", on=own_bench))
    to_step(page, 4)
    page.click("text=Tack at another step …")
    page.select_option(".reorder select", "2")
    page.wait_for_selector(".broken")
    assert "header is cut on front leg left" in page.locator(".broken").inner_text()


@pytest.mark.parametrize(("size", "name"), [(LAPTOP, "laptop"), (TABLET, "tablet")])
def test_the_page_can_be_used_by_all_and_is_pictured(
    own_bench: Bench, open_page: OpenPage, picture: Picture, size, name: str
):
    page = started(open_page("fitup", on=own_bench, size=size))
    to_step(page, LEGS)
    for tab in ("do", "measure", "pull"):
        page.click(f"#tab-{tab}")
        page.wait_for_timeout(700)
        picture(page, f"fitup-{tab}-{name}")
        assert grave(page) == []
    wide = page.evaluate("() => [document.documentElement.scrollWidth, innerWidth]")
    assert wide[0] <= wide[1]


def test_hold_points_and_what_a_signature_covers_are_on_the_page(
    own_bench: Bench, open_page: OpenPage, picture: Picture
):
    page = started(open_page("fitup", on=own_bench))
    page.click("#tab-hold")
    page.wait_for_selector("details.hold")
    solid = page.locator("details.hold[data-act='weld-solid']")
    solid.locator("summary").first.click()
    before = solid.locator(".hold-open li").count()
    assert before == len([x for x in get(own_bench, "/hold")["acts"][1]["lines"] if x["line"] is None]) > 0
    picture(page, "fitup-hold")
    solid.locator(".hold-regardless input").fill("the light goes")
    solid.locator(".hold-regardless button").click()
    page.wait_for_function("() => document.body.innerText.includes('went on before')")
    page.click("#tab-do")
    page.locator("details.also summary").click()
    page.fill("#also-what", "left door cavity")
    page.select_option("#also-done", "close")
    page.click("#also-tick")
    page.wait_for_selector("details.also li:has-text('left door cavity: closed by Jo')")
    page.click("#tab-record")
    page.locator(".record-sign summary").click()
    page.wait_for_selector(".sign-covers li")
    assert "plan revision" in page.locator(".sign-covers").inner_text()
    assert "not welded" in page.locator(".sign-covers").inner_text()
    picture(page, "fitup-sign")
