"""The Rules page in the browser: findings in a table, in the picture and in words, and the books chosen."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from conftest import LAPTOP, TABLET, Bench, OpenPage, grave, until

pytestmark = pytest.mark.slow
Picture = Callable[[Any, str], Path]


def ready(page: Any) -> Any:
    page.wait_for_selector(".rules-do li")
    page.get_by_role("button", name="By clause").click()
    page.wait_for_selector(".rules-table tr[data-row]")
    page.wait_for_function("() => window.cagewrightView?.snapshot().members.length > 0")
    return page


def test_the_page_at_both_sizes(bench: Bench, open_page: OpenPage, picture: Picture):
    for size, name in ((LAPTOP, "laptop"), (TABLET, "tablet")):
        page = ready(open_page("rules", size=size))
        page.locator(".rules-table .pick").first.click()
        page.locator(".rules-detail h2").wait_for()
        picture(page, f"rules-{name}")
        assert grave(page) == []
        wide = page.evaluate("document.documentElement.scrollWidth")
        assert wide <= size[0]


def test_every_finding_of_the_server_is_in_the_table_worst_first(bench: Bench, open_page: OpenPage):
    page = ready(open_page("rules"))
    found = bench.get("/rules")["answer"]["rows"]
    off = page.locator(".rules-filter button[aria-pressed='false']")
    while off.count():
        off.first.click()
    rows = page.locator(".rules-table tr[data-row]")
    assert rows.count() == len(found)
    assert page.locator(".stamp").inner_text() == bench.get("/rules")["answer"]["headline"]
    kinds = rows.evaluate_all("rows => rows.map(row => row.dataset.kind)")
    for count in (c for c in bench.get("/rules")["answer"]["counts"] if c["number"]):
        chip = page.locator(f".rules-filter [data-judge='{count['judge']}'][data-kind='{count['said']}']")
        assert f" {count['number']} {count['said']}" in chip.inner_text(), "as the answer counts"
    worst = ("fail", "looks broken", "look at", "cannot tell", "looks kept", "pass", "does not apply")
    assert worst.index(kinds[0]) == min(worst.index(kind) for kind in kinds)
    assert "Not a certificate" in page.locator(".rules-list").inner_text()


def test_choosing_a_finding_shows_where_and_what_to_do(bench: Bench, open_page: OpenPage):
    page = ready(open_page("rules"))
    finding = next(
        f
        for f in bench.get("/rules")["answer"]["rows"]
        if f["advice"] and f["measured"] and f["where"]["tubes"]
    )
    page.locator(f"tr[data-row='{finding['id']}'] .pick").focus()
    page.keyboard.press("Enter")
    detail = page.locator(".rules-detail")
    detail.get_by_text(finding["title"]).wait_for()
    words = detail.inner_text()
    for said in (finding["measured"]["said"], finding["limit"], finding["advice"], finding["clause"]):
        assert said in words
    page.wait_for_function(
        "name => window.cagewrightView.snapshot().selected.members.includes(name)",
        arg=finding["where"]["tubes"][0],
    )


def test_arrows_walk_the_findings_and_the_filter_hides(bench: Bench, open_page: OpenPage):
    page = ready(open_page("rules"))
    page.locator(".rules-table .pick").first.focus()
    page.keyboard.press("ArrowDown")
    at = "[...document.querySelectorAll('.rules-table .pick')].indexOf(document.activeElement)"
    assert page.evaluate(at) == 1
    for chip in page.locator(".rules-filter [data-kind='cannot tell']").all():
        chip.click()
    assert page.locator("tr[data-kind='cannot tell']").count() == 0
    page.get_by_label("Find in the findings").fill("no such words at all")
    page.get_by_text("Nothing that the filter lets through.").wait_for()


def test_what_to_do_comes_first_and_shows_where(bench: Bench, open_page: OpenPage, picture: Picture):
    for size, name in ((LAPTOP, "laptop"), ((390, 844), "phone")):
        page = open_page("rules", size=size)
        page.wait_for_selector(".rules-do li")
        actions = bench.get("/rules")["answer"]["actions"]
        said = page.locator(".rules-do .pick").all_inner_texts()
        assert said == [a["words"] for a in actions]
        first = page.locator(".rules-do .pick").first
        first.click()
        page.locator(".rules-detail h2", has_text=actions[0]["words"][:40]).wait_for()
        page.wait_for_function(
            "name => window.cagewrightView?.snapshot().selected.members.includes(name)",
            arg=actions[0]["tubes"][0],
        )
        picture(page, f"rules-do-{name}")
        assert grave(page) == []
        assert page.evaluate("document.documentElement.scrollWidth") <= size[0]


def test_findings_by_member(bench: Bench, open_page: OpenPage):
    page = ready(open_page("rules"))
    page.get_by_role("button", name="By member").click()
    groups = page.locator("th[scope='rowgroup']").all_inner_texts()
    names = {m["name"].replace("_", " ") for m in bench.get("/scene")["members"]}
    assert len(groups) == len(set(groups)) > 1
    assert all(g in names or g == "The whole cage" or g.startswith("foot ") for g in groups)


def test_books_are_chosen_and_undone(bench: Bench, open_page: OpenPage):
    page = ready(open_page("rules"))
    before = bench.text()
    page.get_by_role("button", name="Choose books").click()
    page.get_by_role("checkbox", name="UK national motor sport yearbook").check()
    page.get_by_role("checkbox", name="FIA Appendix J, Article 253-8").uncheck()
    page.get_by_role("button", name="Check against these").click()
    page.locator(".books-now", has_text="UK national motor sport yearbook").wait_for()
    until(lambda: "uk-yearbook-k-2018" in bench.text(), "the book in the plan's file")
    page.get_by_role("button", name="Undo:").click()
    page.locator(".books-now", has_text="FIA Appendix J").wait_for()
    until(lambda: bench.text() == before, "the plan as it was")


def test_what_a_plan_says_is_shown_as_text(bench: Bench, open_page: OpenPage):
    evil = "</title><img src=x onerror=alert(1)>"
    plan = bench.folder / "brackwater.yaml"
    plan.write_text(bench.text().replace("title: Brackwater two-door, gravel hill-climb", f'title: "{evil}"'))
    page = ready(open_page("rules"))
    assert page.locator("#plan-title").inner_text() == evil
    assert page.locator("img[src='x']").count() == 0


def test_who_sits_in_it_is_told_in_tables(bench: Bench, open_page: OpenPage, picture: Picture):
    page = ready(open_page("rules"))
    page.get_by_role("button", name="Who sits in it").click()
    page.locator(".rules-person").wait_for()
    (found,) = bench.get("/rules/drivers")["drivers"]
    assert page.locator(".person-headline").inner_text() == found["headline"]
    rows = [row for table in found["tables"] for row in table["rows"]]
    for shown, cells in zip(page.locator(".rules-person tbody tr").all(), rows, strict=True):
        assert shown.locator("th, td").all_inner_texts() == cells
    picture(page, "rules-people")
    assert grave(page) == []
