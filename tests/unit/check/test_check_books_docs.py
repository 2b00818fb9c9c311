"""The pages about rule books are made from the data and current; every measure, row and key is documented."""

import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[3]
sys.path.insert(0, str(ROOT / "scripts"))

from books_docs import FOLDER, pages  # noqa: E402

from cagewright.check.bench import QUANTITIES  # noqa: E402
from cagewright.check.clauses import CLAUSES  # noqa: E402
from cagewright.check.library import book_ids, built_in  # noqa: E402
from cagewright.check.read import ROW_KEYS, terms_read  # noqa: E402
from cagewright.check.rules import TERMS, Book, keys_of  # noqa: E402
from cagewright.check.vocabulary import MEASURES  # noqa: E402

PAGES = pages()


@pytest.mark.parametrize("name", PAGES)
def test_the_page_is_current(name: str):
    current = (FOLDER / name).read_text(encoding="utf-8")
    assert current == PAGES[name], "run scripts/books_docs.py"


def test_no_page_is_left_of_a_book_that_is_gone():
    assert {path.name for path in FOLDER.glob("*.md")} == {*PAGES, "writing-a-book.md"}


@pytest.mark.parametrize("book_id", book_ids())
def test_every_row_is_on_its_page_with_how_sure_it_is(book_id: str):
    page = PAGES[f"{book_id}.md"]
    assert "Check the current book" in page
    lines = [line for line in page.splitlines() if line.startswith("| ")][1:]
    rules = built_in(book_id).rules
    assert len(lines) == len(rules)
    for line, rule in zip(lines, rules, strict=True):
        assert rule.title in line
        assert {"read": "read", "memory": "memory", "second-hand": "restated"}[rule.certainty] in line
        assert ("check the current book" in line) == (
            rule.certainty == "memory" or (rule.certainty == "second-hand" and not rule.confirmed)
        )
        assert f"- `{rule.id}`: " in page


@pytest.mark.parametrize("name", MEASURES)
def test_every_measure_says_what_it_is_and_what_passes_and_fails(name: str):
    measure = MEASURES[name]
    assert measure.meaning.endswith(".")
    assert measure.passes
    assert measure.fails
    assert measure.passes != measure.fails
    assert set(measure.needs + measure.takes) <= set(TERMS)
    if measure.sort is not None and not measure.own_limit:
        assert measure.more or measure.less, "a builder is told what to do"
    page = PAGES["measures.md"]
    section = page.split(f"### {name}\n")[1].split("\n### ")[0]
    for key in terms_read(measure):
        assert f"`{key}`" in section


def test_every_function_and_reading_is_on_the_page():
    for name in (*CLAUSES, *QUANTITIES):
        assert name in PAGES["measures.md"]


def test_every_key_is_explained_where_books_are_written():
    text = (FOLDER / "writing-a-book.md").read_text(encoding="utf-8") + PAGES["measures.md"]
    assert [
        key for key in (*keys_of(Book)[:-1], *ROW_KEYS) if f"`{key}`" not in text and f"{key} =" not in text
    ] == []
