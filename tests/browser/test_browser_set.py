"""A bought set's cage on a phone: drafted from its survey, all of a step tacked, read and signed."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Callable
from contextlib import closing
from pathlib import Path
from typing import Any
from urllib.parse import urlencode

import pytest

from bodies import BODIES, survey
from bought import set_of
from cagewright.draft.layout import draft
from cagewright.draft.limits import Limits
from cagewright.job.set_draft import set_draft_of
from cagewright.job.survey import open_survey
from cagewright.plan.survey_text import survey_text
from cagewright.shape.resolve import resolve
from cagewright.stock.shop import NO_SHOP
from conftest import Bench, OpenPage, until

pytestmark = pytest.mark.slow
PHONE = (390, 844)


def test_from_a_set_and_a_survey_to_a_signed_step_on_the_phone(
    own_bench: Bench, open_page: OpenPage, picture: Callable[[Any, str], Path]
):
    body, folder = survey(BODIES["saloon"]), own_bench.folder
    (folder / "body.survey.yaml").write_text(survey_text(body))
    bought = set_of(resolve(draft(body, Limits(), NO_SHOP).plan))
    (folder / "own.set.yaml").write_text(json.dumps(bought))
    _, text = set_draft_of(open_survey(folder / "body.survey.yaml"), folder / "own.set.yaml")
    (folder / "brackwater.yaml").write_text(text)

    def kinds() -> list[str]:
        with closing(sqlite3.connect(f"file:{folder / 'record.sqlite'}?mode=ro", uri=True)) as raw:
            return [kind for (kind,) in raw.execute("SELECT kind FROM entries ORDER BY id")]

    page = open_page("fitup", on=own_bench, size=PHONE)
    page.wait_for_selector("#tab-do", timeout=150_000)
    page.fill("#who", "Jo")
    page.click("#start-job")
    page.wait_for_selector(".job-name")
    page.wait_for_selector(".done-tick")
    ticks = page.locator(".done-tick")
    many_ticks = ticks.count()
    for n in range(many_ticks):
        ticks.nth(n).click()
        until(lambda many=n + 1: kinds().count("tick") == many, f"tick {n + 1}")
    page.wait_for_selector(".done-tick[aria-pressed=false]", state="detached", timeout=90_000)
    page.click("#tab-measure")
    page.wait_for_selector("#reading", timeout=150_000)
    wanted = own_bench.get(f"/fitup/steps/1?{urlencode({'job': 'brackwater'})}")["readings"]
    for n, one in enumerate(wanted):
        page.fill("#reading", f"{one['planned']['value']:.1f}")
        page.click("#keep-reading")
        until(lambda many=n + 1: kinds().count("reading") == many, f"reading {n + 1}")
    page.wait_for_selector(f"caption:has-text('{len(wanted)} of {len(wanted)}')", timeout=90_000)
    page.click("#tab-record")
    page.click(".record-sign summary")
    page.fill("#sign-as", "welder")
    page.wait_for_selector("#sign:not([disabled])", timeout=90_000)
    picture(page, "set-signed-phone")
    page.click("#sign")

    until(lambda: kinds()[-1:] == ["sign-off"], "the signature")
    assert kinds().count("tick") == many_ticks > 2
    assert kinds().count("reading") == len(wanted) > 10
