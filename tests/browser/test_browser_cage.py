"""The Cage page in the browser: every way to change a cage, and what is left in the file."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest
from cage_page import along, choose, member, number, ready, row, saved, scene, spot
from served import Bench, OpenPage, Watch, until

pytestmark = pytest.mark.slow


def drag_handle(page: Any, by: float) -> None:
    """Drag the handle of the chosen place up by so many pixels, in small steps as a hand does."""
    held = page.evaluate("() => window.cagewrightView.snapshot().handle.point")
    x, y = spot(page, held)
    page.mouse.move(x, y)
    page.mouse.down()
    for step in range(1, 11):
        page.mouse.move(x, y - by * step / 10)
    page.wait_for_selector("#cage-strip .cage-trying")
    page.mouse.up()


def test_a_joint_is_dragged_along_what_it_sits_on_and_taken_back(bench: Bench, open_page: OpenPage):
    page = ready(open_page())
    before = bench.text()
    choose(page, "dash_bar")
    page.click("#cage-chosen [data-key='pick 0']")
    drag_handle(page, 40)
    saved(page, "dash bar: start moved up")
    dragged = bench.text()
    found = re.search(
        r"path: \[\{on: front_leg_left, up: (\d+)\}, \{on: front_leg_right, up: 700\}\]", dragged
    )
    assert found, "only the dragged end has another number, a whole millimetre"
    assert 710 < int(found[1]) < 1100
    place = member(bench, "dash_bar")["places"][0]
    assert place["value"] == int(found[1])
    leg = member(bench, "front_leg_left")["axis"]
    assert min(abs(p[0] - place["at"][0]) + abs(p[1] - place["at"][1]) for p in leg) < 200
    assert number(page, "0 up").input_value() == found[1]
    page.keyboard.press("Escape")
    page.keyboard.press("Control+z")
    until(lambda: bench.text() == before, "the drag is taken back, to the letter")
    page.wait_for_function("() => !document.getElementById('redo').disabled")
    page.keyboard.press("Control+y")
    until(lambda: bench.text() == dragged, "the drag is done again")


def test_keys_on_the_handle_are_one_stroke(bench: Bench, open_page: OpenPage):
    page = ready(open_page())
    before = bench.text()
    choose(page, "dash_bar")
    page.click("#cage-chosen [data-key='pick 0']")
    page.locator(".view-handle").focus()
    for _ in range(4):
        page.keyboard.press("ArrowUp")
    until(lambda: member(bench, "dash_bar")["places"][0]["value"] == 704, "four keys are four millimetres")
    page.wait_for_function("() => document.querySelector(\"[data-key='number 0 up']\").value === '704'")
    page.keyboard.press("Control+z")
    until(lambda: bench.text() == before, "one undo takes all four back")


def test_a_number_typed_in_inches_moves_a_joint_of_a_plan_in_mm(bench: Bench, open_page: OpenPage):
    page = ready(open_page())
    choose(page, "dash_bar")
    number(page, "0 up").fill("27 3/8 in")
    number(page, "0 up").press("Enter")
    saved(page, "dash bar: start moved down")
    # an inch is 25.4 mm exactly (ISO 31-1, yard and pound agreement of 1959): 27.375 x 25.4 = 695.325
    assert member(bench, "dash_bar")["places"][0]["value"] == pytest.approx(695.325, abs=0.006)


def test_the_fraction_that_was_typed_stands_in_an_inch_plan(bench: Bench, open_page: OpenPage):
    page = ready(open_page(plan="brackwater-inch"))
    choose(page, "dash_bar")
    number(page, "0 up").fill("20 3/8 in")
    number(page, "0 up").press("Enter")
    saved(page, "dash bar: start moved down")
    assert re.search(r"on: front_leg_left, up: 20 3/8( in)?\}", bench.text("brackwater-inch"))
    assert number(page, "0 up").input_value() == "20 3/8 in"


def test_arrows_nudge_a_number_and_the_pause_makes_it_one_change(bench: Bench, open_page: OpenPage):
    page = ready(open_page())
    choose(page, "dash_bar")
    field = number(page, "0 up")
    field.focus()
    for key in ("ArrowUp", "ArrowUp", "Shift+ArrowUp"):
        field.press(key)
    assert field.input_value() == "712"
    saved(page, "dash bar: start moved up 12.0 mm")
    assert "{on: front_leg_left, up: 712}" in bench.text()


def test_a_number_that_cannot_be_is_refused_in_words_and_nothing_changes(
    bench: Bench, open_page: OpenPage, watch: Watch
):
    watch.expect("422")
    page = ready(open_page())
    before = bench.text()
    choose(page, "dash_bar")
    number(page, "0 up").fill("5000")
    number(page, "0 up").press("Enter")
    page.wait_for_selector("dialog.wrong-box")
    assert "no place with up 5000" in page.locator("dialog.wrong-box").inner_text()
    page.click("dialog.wrong-box button.main")
    assert bench.text() == before


def add_by_picks(page: Any, bench: Bench, picks: dict[str, float]) -> None:
    """Start a bar and pick a place on each of two tubes in the picture, at that share of its length."""
    page.click("[data-do='add']")
    for name, share in picks.items():
        page.mouse.click(*spot(page, along(member(bench, name)["axis"], share)))


def test_a_bar_is_added_between_two_picks_and_seen_before_it_is_made(bench: Bench, open_page: OpenPage):
    page = ready(open_page())
    before = bench.text()
    add_by_picks(page, bench, {"header": 0.4, "dash_bar": 0.4})
    page.wait_for_function("() => window.cagewrightView.snapshot().members.length === 28")
    page.wait_for_selector("#cage-strip .cage-trying")
    assert bench.text() == before, "seen, not made"
    page.locator("#cage-chosen [data-key='role']").select_option("transverse member")
    page.click("#cage-chosen [data-key='make']")
    saved(page, "added")
    made = [m for m in scene(bench)["members"] if m["role"] == "transverse member" and m["name"] != "header"]
    assert len(made) == 1
    assert [p["on"] for p in made[0]["places"]] == ["header", "dash_bar"]
    page.wait_for_function(
        "name => window.cagewrightView.snapshot().selected.members[0] === name", arg=made[0]["name"]
    )


def test_a_bar_that_is_left_leaves_nothing(bench: Bench, open_page: OpenPage):
    page = ready(open_page())
    before = bench.text()
    add_by_picks(page, bench, {"header": 0.4, "dash_bar": 0.4})
    page.wait_for_function("() => window.cagewrightView.snapshot().members.length === 28")
    page.click("#cage-chosen [data-key='cancel']")
    page.wait_for_function("() => window.cagewrightView.snapshot().members.length === 27")
    assert bench.text() == before


def test_removing_a_tube_lists_what_rests_on_it_first(bench: Bench, open_page: OpenPage):
    page = ready(open_page())
    choose(page, "doorbar_mid_left")
    page.click("#cage-chosen [data-key='remove']")
    words = page.locator("dialog").inner_text()
    for name in ("doorbar mid right", "doorbar post upper left", "doorbar post lower right"):
        assert name in words
    assert (
        page.evaluate("document.activeElement.textContent") == "Keep"
    )  # of so many the careful one holds the keys
    page.get_by_role("button", name="Remove all").click()
    saved(page, "removed doorbar mid left")
    gone = {"doorbar_mid_left", "doorbar_mid_right", "doorbar_post_upper_left", "doorbar_post_lower_left"}
    assert not gone & {m["name"] for m in scene(bench)["members"]}
    assert page.evaluate("() => window.cagewrightView.snapshot().members.length") == 27 - 6


def test_mirror_makes_the_same_tube_on_the_other_side(bench: Bench, open_page: OpenPage):
    page = ready(open_page())
    before = {m["name"] for m in scene(bench)["members"]}
    add_by_picks(page, bench, {"doorbar_top_left": 0.75, "doorbar_mid_left": 0.75})
    page.wait_for_function("() => window.cagewrightView.snapshot().members.length === 28")
    page.click("#cage-chosen [data-key='make']")
    saved(page, "added")
    page.click("#cage-chosen button:text-is('Mirror')")
    page.wait_for_function("() => window.cagewrightView.snapshot().members.length === 29")
    made = [m for m in scene(bench)["members"] if m["name"] not in before]
    left, right = sorted(made, key=lambda m: m["axis"][0][1])
    # the car's middle plane is across = 0 (ISO 4130): the twin's across has the other sign
    assert right["axis"][0] == pytest.approx([left["axis"][0][0], -left["axis"][0][1], left["axis"][0][2]])


def test_size_role_note_and_name_are_changed_in_the_panel(bench: Bench, open_page: OpenPage):
    page = ready(open_page())
    choose(page, "dash_bar")
    page.locator("#cage-chosen [data-key='tube']").select_option("rail")
    saved(page, "dash bar")
    assert member(bench, "dash_bar")["od"] == 30
    page.locator("#cage-chosen [data-key='role']").select_option("transverse member")
    until(lambda: member(bench, "dash_bar")["role"] == "transverse member", "the role is in the plan")
    choose(page, "header")
    page.locator("#cage-chosen [data-key='note']").fill("keep clear of the <b>mirror</b>")
    page.locator("#cage-chosen [data-key='note']").press("Enter")
    until(lambda: member(bench, "header")["note"].startswith("keep clear"), "the note is in the plan")
    page.locator("#cage-chosen [data-key='name']").fill("screen_header")
    page.locator("#cage-chosen [data-key='name']").press("Enter")
    row(page, "screen_header").wait_for()
    assert page.locator("#cage-chosen h2").inner_text() == "screen header"
    assert "{on: screen_header, across: -445}" in bench.text()


def test_what_a_place_sits_on_is_chosen(bench: Bench, open_page: OpenPage):
    page = ready(open_page())
    choose(page, "roof_left")
    page.locator("#cage-chosen [data-key='seat 0']").select_option("member backstay_left")
    until(
        lambda: member(bench, "roof_left")["places"][0]["on"] == "backstay_left",
        "the roof bar is on the backstay",
    )


def test_two_tabs_cannot_overwrite_each_other(bench: Bench, open_page: OpenPage, watch: Watch):
    watch.expect("412")
    first = open_page(at=None)
    first.route_web_socket(re.compile(r"/live"), lambda _socket: None)  # this tab hears nothing of the other
    first.goto(f"{bench.base}/plans/{bench.id()}/cage")
    ready(first)
    second = ready(open_page())
    choose(second, "dash_bar")
    number(second, "0 up").fill("720")
    number(second, "0 up").press("Enter")
    saved(second, "dash bar: start moved up 20.0 mm")
    theirs = bench.text()
    choose(first, "dash_bar")
    number(first, "1 up").fill("650")
    number(first, "1 up").press("Enter")
    first.wait_for_selector("#conflict:not([hidden])")
    assert bench.text() == theirs, "the late change is not made"
    first.click("#conflict button:text-is('Take theirs')")
    first.wait_for_function("() => document.querySelector(\"[data-key='number 0 up']\").value === '720'")
    assert number(first, "1 up").input_value() == "700"


def test_a_change_in_one_tab_shows_in_the_other(bench: Bench, open_page: OpenPage):
    first, second = ready(open_page()), ready(open_page())
    choose(first, "dash_bar")
    choose(second, "dash_bar")
    number(first, "0 up").fill("730")
    number(first, "0 up").press("Enter")
    second.wait_for_function("() => document.querySelector(\"[data-key='number 0 up']\").value === '730'")


def test_the_last_change_is_there_after_the_server_is_killed(
    own_bench: Bench, open_page: OpenPage, watch: Watch
):
    watch.expect("ERR_CONNECTION_REFUSED|ERR_CONNECTION_RESET|WebSocket connection|ERR_EMPTY_RESPONSE")
    page = ready(open_page(on=own_bench))
    choose(page, "dash_bar")
    number(page, "0 up").fill("745")
    number(page, "0 up").press("Enter")
    saved(page, "dash bar: start moved up 45.0 mm")
    port = own_bench.server.port
    own_bench.server.kill()
    own_bench.server.start(port)
    page.reload()
    ready(page)
    choose(page, "dash_bar")
    assert number(page, "0 up").input_value() == "745"
    page.keyboard.press("Control+z")
    before = "{on: front_leg_left, up: 700}, {on: front_leg_right, up: 700}"
    until(lambda: before in own_bench.text(), "undo goes back past the kill")


def test_the_keyboard_alone_changes_a_bar(bench: Bench, open_page: OpenPage):
    page = ready(open_page())
    page.keyboard.press("t")
    for _ in range(3):
        page.keyboard.press("ArrowDown")
    page.wait_for_function("() => window.cagewrightView.snapshot().selected.members[0] === 'header'")
    page.keyboard.press("e")
    for _ in range(12):
        page.keyboard.press("Tab")
        if page.evaluate("() => document.activeElement.dataset.key") == "number 0 back":
            break
    page.keyboard.press("ArrowUp")
    page.keyboard.press("Enter")
    saved(page, "header: start")
    assert re.search(r"path: \[\{on: front_leg_left, back: 1001\}", bench.text())


def test_one_side_alone_is_moved_where_the_builder_says_so(bench: Bench, open_page: OpenPage):
    page = ready(open_page())
    choose(page, "doorbar_low_left")
    page.click("text=This side only")
    number(page, "0 up").fill("270")
    number(page, "0 up").press("Enter")
    until(lambda: member(bench, "doorbar_low_left")["places"][0]["value"] == 270, "the left one is moved")
    assert member(bench, "doorbar_low_right")["places"][0]["value"] == 262


def test_what_another_program_writes_is_shown(bench: Bench, open_page: OpenPage):
    page = ready(open_page())
    choose(page, "dash_bar")
    text = bench.text().replace("{on: front_leg_left, up: 700}, {on", "{on: front_leg_left, up: 733}, {on", 1)
    (bench.folder / "brackwater.yaml").write_text(text, encoding="utf-8")
    page.wait_for_function("() => document.querySelector(\"[data-key='number 0 up']\").value === '733'")


def test_a_plan_that_cannot_be_built_is_put_right_in_its_text(
    bench: Bench, open_page: OpenPage, watch: Watch
):
    watch.expect("409|422")
    path = bench.folder / "brackwater.yaml"
    right = path.read_text(encoding="utf-8")
    path.write_text(right.replace("tube: hoop", "tube: hop", 1), encoding="utf-8")
    page = open_page()
    page.wait_for_selector("#problems:not([hidden])")
    assert "hoop" in page.locator("#problems").inner_text()
    page.click("#problems button.link")
    page.wait_for_function("() => document.querySelector('textarea.plan-text').value.includes('tube: hop')")
    page.locator("textarea.plan-text").fill(right)
    page.click("text=Keep this text")
    ready(page)
    assert bench.text() == right


def test_words_that_are_not_kept_stay_through_leaving_reload_and_a_crash(bench: Bench, open_page: OpenPage):
    page = ready(open_page())
    before = bench.text()
    holds = "words => document.querySelector('textarea.plan-text').value === words"
    page.click("#tab-text")
    area = page.locator("textarea.plan-text")
    page.wait_for_function("() => document.querySelector('textarea.plan-text').value.includes('main_hoop')")
    area.fill(before + "# mine\n")
    page.click("#tab-tubes")
    page.wait_for_selector("#tab-text.unkept")
    page.reload()
    ready(page)
    page.wait_for_selector("#tab-text.unkept")
    page.click("#tab-text")
    page.wait_for_function(holds, arg=before + "# mine\n")
    page.goto(f"{bench.base}/plans/{bench.id()}/rules")
    page.go_back()
    ready(page)
    page.click("#tab-text")
    page.wait_for_function(holds, arg=before + "# mine\n")
    assert bench.text() == before
    page.click("#panel-text button:text-is('Keep this text')")
    until(lambda: bench.text() == before + "# mine\n", "the text is kept")
    page.wait_for_selector("#tab-text:not(.unkept)")
    area.fill(before)
    page.click("#panel-text button:text-is('As it was')")
    assert area.input_value() == before + "# mine\n"


def test_a_mistake_in_the_text_is_told_at_its_line_and_not_kept(
    bench: Bench, open_page: OpenPage, watch: Watch
):
    watch.expect("422")
    page = ready(open_page())
    before = bench.text()
    page.click("#tab-text")
    area = page.locator("textarea.plan-text")
    page.wait_for_function("() => document.querySelector('textarea.plan-text').value.includes('main_hoop')")
    area.fill(before.replace("clr: 114", "crl: 114", 1))
    page.wait_for_selector("#panel-text .problems")
    words = page.locator("#panel-text .problems").inner_text()
    line = before[: before.index("clr: 114")].count("\n") + 1
    assert f"Line {line}" in words
    assert "clr" in words
    assert page.locator("#panel-text button:text-is('Keep this text')").is_disabled()
    area.press("Control+s")
    page.wait_for_selector("#panel-text .problems")
    assert bench.text() == before
    area.fill(
        before.replace(
            "back: 1000}, {on: front_leg_right, back: 1000", "back: 990}, {on: front_leg_right, back: 990", 1
        )
    )
    page.click("#panel-text button:text-is('Keep this text')")
    until(lambda: member(bench, "header")["places"][0]["value"] == 990, "the text is kept")


def test_a_script_in_a_name_or_note_is_only_words(bench: Bench, open_page: OpenPage):
    page = ready(open_page())
    choose(page, "header")
    page.locator("#cage-chosen [data-key='note']").fill('<img src=x onerror="window.caught = 1">')
    page.locator("#cage-chosen [data-key='note']").press("Enter")
    until(lambda: "onerror" in bench.text(), "the note is in the plan")
    page.reload()
    ready(page)
    choose(page, "header")
    assert page.evaluate("() => window.caught") is None
    assert page.locator("#cage-chosen img").count() == 0


def test_the_plan_is_downloaded_and_saved_under_another_name(
    bench: Bench, open_page: OpenPage, tmp_path: Path
):
    page = ready(open_page())
    page.click("#tab-text")
    with page.expect_download() as taken:
        page.click("text=Download the plan")
    taken.value.save_as(tmp_path / "taken.yaml")
    assert (tmp_path / "taken.yaml").read_text(encoding="utf-8") == bench.text()
    page.click("text=Save as …")
    page.locator("dialog input").fill("Brackwater with a wider dash")
    page.locator("dialog button.main").click()
    page.wait_for_url("**/*brackwater-with-a-wider-dash/cage")
    ready(page)
    assert bench.text("brackwater-with-a-wider-dash") == bench.text()


def test_a_newcomer_gets_from_an_empty_folder_to_a_changed_bar_and_a_template(
    empty_bench: Bench, open_page: OpenPage, tmp_path: Path
):
    """Without a word of the plan's text: start a cage, change one number, save that bar's template."""
    from pypdf import PdfReader

    page = open_page(on=empty_bench, at="/")
    page.get_by_label("What is it called?").fill("First cage")
    page.get_by_role("button", name="Start").click()
    page.wait_for_url("**/plans/first-cage/*", timeout=60_000)
    page.get_by_role("link", name="Cage", exact=True).click()
    ready(page)
    dash = page.locator("#panel-tubes tr[data-row]", has=page.locator("small:text-is('dash bar')")).first
    name = dash.get_attribute("data-row")
    dash.click()
    field = page.locator("#cage-chosen .cage-on-tube .cage-number").first
    was = field.input_value()
    field.press("ArrowUp")
    shown = name.replace("_", " ")
    saved(page, f"{shown}: start moved")
    assert field.input_value() == str(int(was) + 1)
    with page.expect_download(timeout=120_000) as taken:
        page.click("[data-template='start']")
    taken.value.save_as(tmp_path / "template.pdf")
    sheet = PdfReader(tmp_path / "template.pdf").pages[0]
    # A4 is 210 x 297 mm (ISO 216); a PDF point is 1/72 in
    assert (sheet.mediabox.width, sheet.mediabox.height) == pytest.approx((595.28, 841.89), abs=0.1)
    words = sheet.extract_text()
    assert shown in words
    assert "Print at 100" in words
