"""The page of what is checked against what is current, and every verification file names its source."""

import runpy
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
MADE = runpy.run_path(str(ROOT / "scripts" / "verification_docs.py"))
FILES = sorted((ROOT / "tests" / "verification").glob("test_*.py"))


def test_the_page_is_current():
    assert (ROOT / "docs" / "verification.md").read_text(encoding="utf-8") == MADE["page"]()


@pytest.mark.parametrize("path", FILES, ids=[p.stem for p in FILES])
def test_every_file_says_what_it_is_checked_against(path: Path):
    said = path.read_text(encoding="utf-8").split('"""')[1]
    assert len(said) > 60, "the header must name the source and how sure it is"
