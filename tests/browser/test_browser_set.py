"""A bought set's cage on a phone: drafted from its survey, tacked, read, and the step signed."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Callable
from contextlib import closing
from pathlib import Path
from typing import Any

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
    page = open_page("fitup", on=own_bench, size=PHONE)
    page.wait_for_selector("#tab-do", timeout=150_000)
    page.fill("#who", "Jo")
    page.click("#start-job")
    page.wait_for_selector(".job-name")
    page.locator(".done-tick").first.click()
    page.wait_for_selector(".done-tick:has-text('✓ Tacked by Jo')", timeout=90_000)
    page.click("#tab-measure")
    page.wait_for_selector("#reading", timeout=150_000)
    planned = page.locator(".reading-plan").inner_text()
    said = next(word for word in planned.replace("°", " ").split() if word.replace(".", "").isdigit())
    page.fill("#reading", said)
    page.click("#keep-reading")
    page.wait_for_selector("caption:has-text('1 of')", timeout=90_000)
    page.click("#tab-record")
    page.click(".record-sign summary")
    page.fill("#sign-as", "welder")
    page.wait_for_selector("#sign:not([disabled])", timeout=90_000)
    picture(page, "set-signed-phone")
    page.click("#sign")

    def kinds() -> list[str]:
        with closing(sqlite3.connect(f"file:{folder / 'record.sqlite'}?mode=ro", uri=True)) as raw:
            return [kind for (kind,) in raw.execute("SELECT kind FROM entries ORDER BY id")]

    until(lambda: kinds()[-1:] == ["sign-off"], "the signature")
    assert {"tick", "reading", "sign-off"} <= set(kinds())
