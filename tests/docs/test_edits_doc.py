"""Every edit that a page can ask for is documented, with all it can say."""

import re
from pathlib import Path

import pytest

from cagewright.workbench.edits.vocabulary import EDITS

ROOT = Path(__file__).parents[2]
PAGE = (ROOT / "docs" / "edits.md").read_text(encoding="utf-8")
MADE_BY_THE_READER = {"onto"}


def rows() -> dict[str, str]:
    """By edit: its row of the table."""
    return {m[1]: m[0] for m in re.finditer(r"^\| `\{do: ([a-z-]+).*$", PAGE, flags=re.MULTILINE)}


def test_every_edit_has_its_row():
    assert set(rows()) == {*EDITS, "text"}


@pytest.mark.parametrize("kind", sorted(EDITS))
def test_every_word_of_an_edit_is_said(kind: str):
    everywhere = re.findall(r"`([a-z_]+)", PAGE.split("| edit |")[0])
    said = {*re.findall(r"[a-z_]+", rows()[kind]), *everywhere}
    assert set(EDITS[kind].model_fields) - MADE_BY_THE_READER <= said


def test_the_page_can_be_found():
    assert "(edits.md)" in (ROOT / "docs" / "README.md").read_text(encoding="utf-8")
