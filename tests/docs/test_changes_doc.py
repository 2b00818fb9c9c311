"""Every change is documented, with all it can say."""

import re
from pathlib import Path
from typing import get_args

import pytest

from cagewright.plan.changes import CHANGES, ChangeEntry

ROOT = Path(__file__).parents[2]
PAGE = (ROOT / "docs" / "changes.md").read_text(encoding="utf-8")


def rows() -> dict[str, str]:
    """By change: its row of the table."""
    return {m[1]: m[0] for m in re.finditer(r"^\| `([a-z_]+)` .*$", PAGE, flags=re.MULTILINE)}


def test_every_change_has_its_row():
    assert set(rows()) == {*CHANGES}


@pytest.mark.parametrize("kind", CHANGES)
def test_every_word_of_a_change_is_said(kind: str):
    annotation = ChangeEntry.model_fields[kind].annotation
    [model] = {m for m in _models(annotation) if isinstance(m, type) and m is not type(None)}
    assert set(model.model_fields) - set(re.findall(r"`([a-z_]+)", rows()[kind])) - {"name", "names"} == set()


def _models(kind):
    return [kind, *(inner for part in get_args(kind) for inner in _models(part))]


def test_the_page_can_be_found():
    text = (ROOT / "docs" / "README.md").read_text(encoding="utf-8")
    assert "(changes.md)" in text
    assert "(alternatives.md)" in text
