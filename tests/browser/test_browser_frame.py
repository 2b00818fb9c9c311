"""What every page has: keys, dropped files, a lost connection, the plan's problems, the frame's own marks."""

from __future__ import annotations

import base64
import re
from typing import Any

import pytest
from served import LAPTOP, TABLET, Bench, OpenPage, Watch, grave, until

pytestmark = pytest.mark.slow

DROP = """([name, data]) => {
    const bytes = Uint8Array.from(atob(data), (letter) => letter.charCodeAt(0));
    const dataTransfer = new DataTransfer();
    dataTransfer.items.add(new File([bytes], name));
    const how = { dataTransfer, bubbles: true, cancelable: true };
    document.dispatchEvent(new DragEvent('dragenter', how));
    window.lit = document.body.classList.contains('dropping');
    document.dispatchEvent(new DragEvent('drop', how));
}"""


def connected(page: Any) -> Any:
    """The page once it knows the plan's state."""
    page.wait_for_selector("#saved[data-saved='yes']")
    page.wait_for_function("() => document.getElementById('undo').title !== ''")
    return page


def drop(page: Any, name: str, data: bytes) -> None:
    page.evaluate(DROP, [name, base64.b64encode(data).decode()])


def dialog(page: Any) -> Any:
    return page.locator("dialog[open]")


def test_a_question_mark_lists_the_keys_and_escape_goes_back(open_page: OpenPage):
    page = connected(open_page("papers"))
    page.keyboard.press("?")
    assert "take the last change back" in dialog(page).inner_text()
    assert grave(page) == []
    page.keyboard.press("Escape")
    page.wait_for_function("() => !document.querySelector('dialog')")
    page.click("#keys")
    assert dialog(page).count() == 1


def test_the_first_tab_stop_skips_to_the_page(open_page: OpenPage):
    page = connected(open_page("papers"))
    page.keyboard.press("Tab")
    assert page.evaluate("() => document.activeElement.textContent") == "Skip to the page"
    page.keyboard.press("Enter")
    assert page.evaluate("() => document.activeElement.id") == "main"


def test_a_plan_dropped_on_a_page_is_added_and_opened(bench: Bench, open_page: OpenPage):
    page = connected(open_page("papers"))
    alone = re.sub(r"(?m)^shop:.*$", "", bench.text("roll-bar"))  # its shop file stays where it was
    drop(page, "dropped.yaml", alone.encode())
    page.wait_for_url(re.compile(r"/plans/[^/]*dropped[^/]*/cage"))
    until(lambda: any(bench.server.place.rglob("dropped*.yaml")), "the plan file is in the folder")


def test_a_file_of_no_use_is_refused_in_words(open_page: OpenPage):
    page = connected(open_page("papers"))
    drop(page, "holiday.jpg", b"no plan")
    assert "holiday.jpg" in dialog(page).inner_text()
    assert ".yaml" in dialog(page).inner_text()
    assert page.evaluate("() => window.lit")
    assert page.evaluate("() => document.body.classList.contains('dropping')") is False


def test_a_plan_with_a_mistake_is_opened_at_its_lines(open_page: OpenPage, watch: Watch):
    watch.expect("409")  # there is no cage to show yet
    page = connected(open_page("papers"))
    drop(page, "broken.yaml", b"cagewright: 1\ntitle: x\nmembres: {}\n")
    page.wait_for_url(re.compile(r"/plans/[^/]*broken[^/]*/cage"))
    page.wait_for_selector("#problems:not([hidden]) li")
    words = page.inner_text("#problems")
    assert "Line 3" in words
    assert "Did you mean ‘members’?" in words


def test_a_scan_is_taken_only_after_a_question(bench: Bench, open_page: OpenPage):
    page = connected(open_page("papers"))
    drop(page, "body.stl", b"solid none\nendsolid none\n")
    assert "Take ‘body.stl’" in dialog(page).inner_text()
    page.get_by_role("button", name="No", exact=True).click()
    page.wait_for_function("() => !document.querySelector('dialog')")
    assert "scan:" not in bench.text()


def test_a_lost_server_is_told_and_comes_back_by_itself(own_bench: Bench, open_page: OpenPage, watch: Watch):
    watch.expect("ERR_CONNECTION_REFUSED|WebSocket connection|ERR_CONNECTION_RESET|ERR_EMPTY_RESPONSE")
    page = connected(open_page("papers", on=own_bench))
    port = own_bench.server.port
    own_bench.server.kill()
    page.wait_for_selector("body.unlinked #saved:has-text('No connection')")
    assert "does not answer" in page.inner_text("#status")
    own_bench.server.start(port)
    page.wait_for_selector("body:not(.unlinked) #saved:has-text('Saved')", timeout=60_000)
    assert page.inner_text("#status") == ""


def test_a_mistake_made_in_the_file_is_shown_with_its_line_and_goes_when_put_right(
    bench: Bench, open_page: OpenPage
):
    page = connected(open_page("papers"))
    file, text = bench.folder / "brackwater.yaml", bench.text()
    wrong = text.replace("role: dash bar", "role: dush bar")
    line = 1 + wrong[: wrong.index("dush bar")].count("\n")
    file.write_text(wrong, encoding="utf-8")
    page.wait_for_selector("#problems:not([hidden]) li")
    words = page.inner_text("#problems")
    assert f"Line {line}" in words
    assert "Did you mean ‘dash bar’?" in words
    file.write_text(text, encoding="utf-8")
    page.wait_for_selector("#problems", state="hidden")


@pytest.mark.parametrize("size", [LAPTOP, TABLET], ids=["laptop", "tablet"])
def test_nothing_of_the_frame_is_cut_off(open_page: OpenPage, size: tuple[int, int]):
    page = connected(open_page("papers", size=size))
    assert page.evaluate("() => document.documentElement.scrollWidth <= innerWidth")
    hidden = page.evaluate(
        """() => [...document.querySelectorAll('.top a, .top button, .foot p')].filter((one) => {
            const box = one.getBoundingClientRect();
            const seen = one.checkVisibility() && !one.matches('.skip') && box.width;
            return seen && (box.left < 0 || box.right > innerWidth);
        }).map((one) => one.outerHTML.slice(0, 80))"""
    )
    assert hidden == []
