"""One row of each other book broken at a time, in a plan heavy enough to keep what its geometry can keep.

The edits stand in heavy_cage.py; which breaks which row, what falls with it, and which rows no edit of this
plan breaks and why, in tests/data/rules/one_row_of_each_book.toml. A row falls with another where the same
figure is held to both.
"""

import tomllib
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from heavy_cage import EDITS, heavy

from cagewright.check.findings import Finding
from cagewright.check.judge import check_books
from cagewright.check.library import book_ids, built_in
from cagewright.plan.read import read_plan_text
from cagewright.shape.resolve import resolve

LISTED: dict[str, Any] = tomllib.loads(
    (Path(__file__).parents[1] / "data" / "rules" / "one_row_of_each_book.toml").read_text(encoding="utf-8")
)
NOT: dict[str, dict[str, str]] = LISTED.pop("not")
BOOKS = [built_in(name) for name in book_ids() if name != "fia-253-2020"]  # which has a file of its own
FEW = ("thin hoop", "small plates", "high head")
"""Edits of the fast stage; the slow stage makes them all."""


@cache
def broken(text: str) -> frozenset[tuple[str, str]]:
    """Book and row of all that a plan breaks."""
    found = check_books(resolve(read_plan_text(text, file="plan.yaml")), BOOKS)
    return frozenset((f.book, f.rule) for f in found if is_broken(f))


def is_broken(finding: Finding) -> bool:
    return finding.verdict in {"fail", "looks broken"}


def test_the_plan_breaks_what_is_listed_and_nothing_else():
    listed = {(b, row) for b, rows in NOT.items() for row, why in rows.items() if why.startswith("this plan")}
    assert broken(heavy()) == listed


@pytest.mark.parametrize(
    "edit", [pytest.param(name, marks=() if name in FEW else pytest.mark.slow) for name in EDITS]
)
def test_an_edit_breaks_its_rows_and_what_falls_with_them(edit: str):
    now = broken(EDITS[edit]()) - broken(heavy())
    for book, rows in LISTED.items():
        mine = {row for at, row in now if at == book}
        for row, (by, *falls) in rows.items():
            if by == edit:
                assert mine == {row, *falls}, f"{book}: {row}"


@pytest.mark.parametrize("book", BOOKS, ids=lambda book: book.id)
def test_no_row_is_forgotten(book: Any):
    breaks, left = LISTED.get(book.id, {}), NOT.get(book.id, {})
    assert {rule.id for rule in book.rules} == {*breaks, *left}
    assert not {*breaks} & {*left}
    assert {by for by, *_ in breaks.values()} <= {*EDITS}


def test_every_edit_breaks_a_row():
    used = {by for rows in LISTED.values() for by, *_ in rows.values()}
    assert {*EDITS} == used
