"""The record at the car: a phone whose network drops mid-entry loses nothing and keeps nothing twice."""

from __future__ import annotations

import random
import sqlite3
import time
from contextlib import closing
from pathlib import Path
from typing import Any
from urllib.parse import urlencode

import pytest

from conftest import Bench, OpenPage, Watch, grave

pytestmark = pytest.mark.slow
PHONE = (390, 844)
TABLET = (820, 1180)
PLAN = "roll-bar"
GONE = r"ERR_INTERNET_DISCONNECTED|ERR_FAILED|ERR_CONNECTION|WebSocket"
PNG = bytes.fromhex(
    "89504e470d0a1a0a0000000d49484452000000010000000108060000001f15c4890000000d4944415478da63fcff9fa11e000782"
    "027f3dc848ef0000000049454e44ae426082"
)


def at_the_car(open_page: OpenPage, bench: Bench, watch: Watch, **more: Any) -> Any:
    """The Fit-up page on a phone, its job started."""
    watch.expect(GONE)
    page = open_page("fitup", on=bench, plan=PLAN, size=PHONE, **more)
    page.wait_for_selector("#tab-record")
    page.fill("#who", "Jo")
    page.click("#start-job")
    page.wait_for_selector(".job-name")
    return page


def lines(bench: Bench) -> list[tuple[str, str, str]]:
    """Name, kind and text of every line of the plan's job."""
    record = bench.server.place / "record.sqlite"
    file = record if record.is_file() else bench.folder / "record.sqlite"
    with closing(sqlite3.connect(f"file:{file}?mode=ro", uri=True)) as raw:
        return raw.execute(
            "SELECT e.uid, e.kind, e.text FROM entries e JOIN jobs j ON j.uid = e.job_uid WHERE j.name = ?"
            " ORDER BY e.id",
            (bench.id(PLAN),),
        ).fetchall()


def kept(page: Any, bench: Bench, many: int, seconds: float = 60.0) -> list[tuple[str, str, str]]:
    """The lines once there are so many; the page goes on meanwhile, and so does what stands in its line."""
    end = time.monotonic() + seconds
    while len(found := lines(bench)) < many:
        assert time.monotonic() < end, f"{len(found)} of {many} lines"
        page.wait_for_timeout(100)
    return found


def test_what_is_entered_without_network_is_there_once_when_it_is_back(
    bench: Bench, open_page: OpenPage, watch: Watch
):
    page = at_the_car(open_page, bench, watch)
    page.context.set_offline(True)
    page.click("#tab-record")
    page.fill("#record-note", "spatter on the left plate")
    page.click("#keep-note")
    page.fill("#record-hours", "1:30")
    page.click("#keep-hours")
    page.set_input_files("#take-photo", {"name": "IMG 1.png", "mimeType": "image/png", "buffer": PNG})
    page.wait_for_selector("#waiting-count:has-text('3 entries wait for the network')")
    assert "that needs TLS" in page.inner_text("#waiting")
    assert page.locator(".record-rows .tag:has-text('on its way')").count() == 3
    assert page.locator("#sign").is_disabled()
    page.click("#tab-do")
    page.click(".done-tick >> nth=0")
    page.wait_for_selector(".done-tick:has-text('on its way')")
    page.click("#tab-pull")
    page.wait_for_selector("#panel-pull:has-text('needs the network')")
    assert lines(bench) == []
    # closed and opened again in the same browser
    page.close(run_before_unload=False)
    page.context.set_offline(False)
    again = page.context.new_page()
    again.goto(f"{bench.base}/plans/{bench.id(PLAN)}/fitup")
    assert [kind for _, kind, _ in kept(again, bench, 4)] == ["note", "hours", "photo", "tick"]
    again.click("#tab-record")
    again.wait_for_selector(".record-rows li >> nth=2")
    again.wait_for_selector(".record-rows .tag:has-text('on its way')", state="detached")
    again.wait_for_selector("#waiting", state="hidden")


def test_what_cannot_be_taken_is_said_in_a_sentence_and_not_lost(
    bench: Bench, open_page: OpenPage, watch: Watch
):
    watch.expect("422")
    page = at_the_car(open_page, bench, watch)
    page.click("#tab-record")
    letter = {"name": "letter.pdf", "mimeType": "application/pdf", "buffer": b"%PDF-1.7"}
    page.set_input_files("#choose-photo", letter)
    page.wait_for_selector("#status:has-text('letter.pdf’ is no photo that this browser can show')")
    page.fill("#record-hours", "all day")
    page.click("#keep-hours")
    page.wait_for_selector(".refused:has-text('is no time worked')")
    page.reload()
    page.wait_for_selector(".refused:has-text('is no time worked')")
    page.click(".refused >> text=Throw it away")
    page.wait_for_selector(".refused", state="detached")
    page.fill("#who", "")
    page.keyboard.press("Tab")
    page.click("#tab-record")
    page.wait_for_selector("#keep-note[disabled]")
    assert lines(bench) == []
    assert grave(page) == []


def test_what_is_typed_stays_until_the_browser_has_it(bench: Bench, open_page: OpenPage, watch: Watch):
    page = at_the_car(open_page, bench, watch)
    page.click("#tab-record")
    page.evaluate(
        "() => { const add = IDBObjectStore.prototype.add; IDBObjectStore.prototype.add = function () {"
        " IDBObjectStore.prototype.add = add; throw new Error('no room in this browser'); }; }"
    )
    page.fill("#record-note", "root open at the back")
    page.click("#keep-note")
    page.wait_for_selector("#status:has-text('no room in this browser')")
    assert page.input_value("#record-note") == "root open at the back"
    page.click("#keep-note")
    assert [text for _, _, text in kept(page, bench, 1)] == ["root open at the back"]
    page.wait_for_function("() => document.querySelector('#record-note').value === ''")


def test_five_hundred_entries_with_the_network_cut_again_and_again(
    bench: Bench, open_page: OpenPage, watch: Watch
):
    """Cut before an entry goes, after it has arrived and before its answer is heard, and between entries."""
    page = at_the_car(open_page, bench, watch)
    drawn = random.Random(7)

    def line(route: Any) -> None:
        chance = drawn.random()
        if chance < 0.08:
            route.abort("connectionfailed")
        elif chance < 0.2:
            route.fetch()
            route.abort("connectionfailed")
        else:
            route.continue_()

    page.route("**/fitup/entries", line)
    page.click("#tab-record")
    for number in range(500):
        if drawn.random() < 0.05:
            page.context.set_offline(drawn.random() < 0.6)
        page.fill("#record-note", f"note {number}")
        page.click("#keep-note")
        if number in {170, 340}:
            page.wait_for_function("() => document.querySelector('#record-note').value === ''")
            page.context.set_offline(False)
            page.reload()
            page.wait_for_selector("#tab-record")
            page.click("#tab-record")
    page.context.set_offline(False)
    kept(page, bench, 500, 240.0)
    page.wait_for_selector("#waiting", state="hidden")
    page.wait_for_timeout(500)
    found = lines(bench)
    assert [text for _, _, text in found] == [f"note {n}" for n in range(500)]
    assert len({uid for uid, _, _ in found}) == 500


def test_two_people_at_two_phones_lose_nothing_and_are_told(bench: Bench, open_page: OpenPage, watch: Watch):
    jo = at_the_car(open_page, bench, watch)
    step = next(n for n in range(1, 9) if bench.get(f"/fitup/steps/{n}", PLAN)["readings"])
    ann = open_page("fitup", on=bench, plan=PLAN, size=TABLET)
    ann.wait_for_selector(".job-name")
    ann.fill("#who", "Ann")
    ann.keyboard.press("Tab")
    first = bench.get(f"/fitup/steps/{step}", PLAN)["readings"][0]
    for page in (ann, jo):
        page.locator("#steps button").nth(step - 1).click()
        page.wait_for_selector(f"#step h2:has-text('Step {step}:')")
        page.click("#tab-measure")
    for many, page in enumerate((ann, jo), start=1):
        page.fill("#reading", f"{first['planned']['value'] + 0.1 * many:.1f}")
        page.click("#keep-reading")
        kept(page, bench, many)
    jo.wait_for_selector("#status:has-text('Ann read')")
    told = bench.get(f"/fitup/steps/{step}?{urlencode({'job': bench.id(PLAN)})}", PLAN)["taken"]
    assert told[0]["also"].startswith("Ann read")


@pytest.mark.parametrize(("size", "name"), [(PHONE, "phone"), (TABLET, "tablet")])
def test_the_record_fits_a_phone_and_a_tablet(
    bench: Bench, open_page: OpenPage, picture: Any, watch: Watch, size: tuple[int, int], name: str
):
    page = at_the_car(open_page, bench, watch)
    page.set_viewport_size({"width": size[0], "height": size[1]})
    for tab in ("do", "measure", "record"):
        page.click(f"#tab-{tab}")
        page.wait_for_timeout(500)
        picture(page, f"car-{tab}-{name}")
        wide = page.evaluate("() => [document.documentElement.scrollWidth, innerWidth]")
        assert wide[0] <= wide[1]
        assert grave(page) == []
    assert isinstance(Path(picture(page, f"car-{name}")), Path)
