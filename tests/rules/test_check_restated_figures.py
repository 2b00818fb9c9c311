"""Every row that was compared with a text in 2026, held to its figure as compared and to where it stands.

``tests/data/rules/rows_compared.csv`` has a line a row: what it asks as the book writes it, how it is known,
and the text that it was compared with:

- S1, a scrutineers' inspection file reviewed in August 2026, which names what it read: FIA Appendix J
  Art. 253 chapter 8 of 2020, US and Canadian rally rules of 2026;
- S2, a public data set of the safety rules of 2026, each entry with rule number and edition;
- S3, the UK's National Competition Rules 2026, chapter 7 appendix 3, own text;
- S4, Formula SAE Rules 2026 v1.0, own text (the rows of 2024 were compared with it);
- S5, FIA Art. 253 of 2009, clauses as quoted;
- S6, a rally series' paraphrase of Art. 253;
- S7, FIA Art. 283 of 2006, in Spanish;
- S8, appendix 29 of a Canadian rule book;
- F, the organiser's page of rules, or the clause as quoted in a forum;
- none, what has no text beside it yet.

No figure of S1 to S8 is from memory. Rows of the books in ``NOT_COMPARED`` are held to the texts that they
were taken from in test_check_published_figures.py, where those could be read.
"""

import csv
from collections import Counter
from pathlib import Path

import pytest

from cagewright.check.findings import known_by
from cagewright.check.library import book_ids, built_in
from cagewright.check.rules import Rule

COMPARED = Path(__file__).parents[1] / "data" / "rules" / "rows_compared.csv"
with COMPARED.open(encoding="utf-8", newline="") as lines:
    ROWS = list(csv.DictReader(lines))
NOT_COMPARED = {
    "fia-appendix-k-2018": "no newer text was at hand",
    "nasa-ccr": "its table was not found anywhere; the rest is a forum's quotation",
    "nasa-rally-sport": "an edition that nasa-rally-sport-v16 takes the place of",
    "offroad-formula": "no second text was at hand",
    **dict.fromkeys(
        ("scca-gcr-1990s", "scca-showroom-1990s", "scca-showroom-stock-1994", "scca-sports-racing-2008"),
        "an edition of before 2009 with no second text at hand",
    ),
    "us-short-oval-2020s": "taken from one track's page after the comparison",
}
"""Books whose rows had no second text to be compared with, and why."""
WITNESSES = {"restated": 2, "restated once": 1}


def row_of(book: str, row: str) -> Rule:
    return next(rule for rule in built_in(book).rules if rule.id == row)


def asked(rule: Rule) -> str:
    """What a row asks, as the book writes it: measure, limits, sizes, and the lines of a table by weight."""
    table = "; ".join(
        " ".join([f"to {line.up_to.text}:" if line.up_to else "above:", *(s.text for s in line.sizes)])
        for line in rule.table
    )
    bounds = (f"{b.kind} {b.text}" for b in rule.bounds)
    return " ".join(x for x in (rule.measure, *bounds, *(s.size.text for s in rule.sizes), table) if x)


@pytest.mark.parametrize("row", ROWS, ids=[f"{r['book']}-{r['row']}" for r in ROWS])
def test_the_figure_and_where_it_stands(row: dict[str, str]):
    rule = row_of(row["book"], row["row"])
    assert asked(rule) == row["asks"]
    assert rule.clause == row["clause"]
    assert known_by(rule.certainty, rule.confirmed) == row["known"]
    assert rule.source != rule.confirmed


@pytest.mark.parametrize("row", ROWS, ids=[f"{r['book']}-{r['row']}" for r in ROWS])
def test_as_many_texts_stand_behind_it_as_it_says(row: dict[str, str]):
    texts = [text for text in row["compared with"].split("+") if text != "none"]
    assert {*texts} <= {"S1", "S2", "S3", "S4", "S5", "S6", "S7", "S8", "F"}
    assert len(texts) >= WITNESSES.get(row["known"], 0 if row["known"] == "remembered" else 1)
    if row["known"] == "restated once":
        assert len(texts) == 1


def test_no_row_is_left_out_or_named_twice():
    compared = Counter((row["book"], row["row"]) for row in ROWS)
    assert set(compared.values()) == {1}
    rows = {(name, rule.id) for name in book_ids() for rule in built_in(name).rules}
    assert rows - set(compared) == {row for row in rows if row[0] in NOT_COMPARED}
    assert set(compared) <= rows


# dates: two diagonals since 2002 and 2007, screens since 2003 (appendix 29 of a Canadian rule book)
@pytest.mark.parametrize(
    ("book", "row", "since", "until"),
    [
        ("fia-253-2009", "diagonal-count-2002", "2002-01-01", "2006-12-31"),
        ("fia-253-2009", "diagonal-count-2007", "2007-01-01", None),
        ("fia-253-2020", "diagonals", "2007-01-01", None),
        ("fia-253-2020", "screen-top", "2003-01-01", None),
        ("nasa-rally-sport-v16", "pillars", "2025-01-01", None),
        ("ara-rally-2026", "old-sill", None, "2008-12-31"),
    ],
)
def test_the_dates(book: str, row: str, since: str | None, until: str | None):
    applies = row_of(book, row).applies
    assert (applies.since and applies.since.text, applies.until and applies.until.text) == (since, until)


@pytest.mark.parametrize("book", ["fia-253-2009", "uk-yearbook-k-2018", "fsae-2024", "nasa-rally-sport"])
def test_an_old_edition_leads_to_a_book_that_there_is(book: str):
    newer = built_in(book).newer
    assert newer is not None
    assert built_in(newer.book).id == newer.book
