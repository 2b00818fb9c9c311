"""Rows that others restate, each held to the figure that was compared and to where it stands.

Sources, as they were compared in 2026: a scrutineers' inspection file reviewed in August 2026, which
names the texts it read (FIA Appendix J Art. 253 chapter 8 of 2020, US and Canadian rally rules of 2026);
a public data set of the safety rules of 2026; the UK's National Competition Rules 2026 and Formula SAE
Rules 2026 v1.0 in their own text; appendix 29 of a Canadian rule book; Art. 283 of 2006. None of the
figures is from memory.
"""

import pytest

from cagewright.check.findings import Known, known_by
from cagewright.check.library import built_in
from cagewright.check.rules import Rule

ONCE: Known = "restated once"
ROWS: list[tuple[str, str, str, str, Known]] = [
    # book, row, clause as it begins, the limit as the book writes it, how it is known
    ("fia-253-2009", "backstay-foot-area", "253-8.3.2.6", "at_least 60 cm2", "restated"),
    ("fia-253-2009", "backstay-foot-thickness", "253-8.3.2.6", "at_least 3 mm", ONCE),
    ("fia-253-2009", "backstay-foot-bolts", "253-8", "at_least 2", "remembered"),
    ("fia-253-2009", "bolt-size", "253-8", "at_least 8 mm", "remembered"),
    ("fia-253-2009", "bolt-grade", "253-8", "", "remembered"),
    ("fia-253-2009", "mounting-points", "253-8.3.2.6", "at_least 6", ONCE),
    ("fia-253-2009", "base-structure", "253-8.3.1", "", ONCE),
    ("fia-253-2009", "one-piece", "253-8.3.1", "", "restated"),
    ("fia-253-2009", "main-lean", "253-8.3.1", "at_most 10 deg", ONCE),
    ("fia-253-2009", "main-plane", "253-8.3.1", "at_most 10 mm", ONCE),
    ("fia-253-2009", "backstay-straight", "253-8.3.1", "", "restated"),
    ("fia-253-2009", "backstay-angle", "253-8.3.1", "at_least 30 deg", "restated"),
    ("fia-253-2009", "backstay-top", "253-8.3.1", "less_than 100 mm", ONCE),
    ("fia-253-2009", "diagonal-count-2002", "253-8.3.2.1.1", "at_least 2", ONCE),
    ("fia-253-2009", "diagonal-count-2007", "253-8.3.2.1.1", "at_least 2", "restated"),
    ("fia-253-2009", "diagonal-lower-end", "253-8.3.2.1.1", "at_most 100 mm", "restated"),
    ("fia-253-2009", "diagonal-upper-end", "253-8.3.2.1.1", "at_most 100 mm", "restated"),
    ("fia-253-2009", "doorbar-height", "253-8.3.2.1.2", "at_most 0.5", "restated"),
    ("fia-253-2009", "roof-ends", "253-8.3.2.1.3", "less_than 100 mm", ONCE),
    ("fia-253-2009", "pillar-bend", "253-8.3.2.1.4", "at_most 20 deg", ONCE),
    ("fia-253-2009", "pillar-upper-end", "253-8.3.2.1.4", "less_than 100 mm", ONCE),
    ("fia-253-2009", "gusset-thickness", "253-8.2.14", "at_least 1 mm", ONCE),
    ("fia-253-2009", "gusset-leg", "253-8.2.14", "at_least 2 at_most 4", ONCE),
    ("fia-253-2009", "front-extent", "253-8.2", "at_least 0 mm", "restated"),
    ("fia-253-2009", "welds", "253-8.3.4", "", "restated"),
    ("fia-253-2020", "diagonals", "8.3.2.1.1", "", "restated"),
    ("fia-253-2020", "leg-bends", "8.3.1", "at_most 1", ONCE),
    ("fia-253-2020", "front-leg-lean", "8.3.1", "at_most 10 deg", ONCE),
    ("fia-253-2020", "doorbar-height", "8.3.2.1.2", "less_than 0.5", "restated"),
    ("fia-253-2020", "doorbar-front-straight", "8.3.2.1.2", "at_least 300 mm", ONCE),
    ("fia-253-2020", "doorbar-rear-straight", "8.3.2.1.2", "at_least 200 mm", ONCE),
    ("fia-253-2020", "doorbar-gap", "8.3.2.1.2", "less_than 1", ONCE),
    ("fia-253-2020", "doorbar-foot", "8.3.2.1.2", "at_least 60 cm2", ONCE),
    ("fia-253-2020", "gusset-cut-out", "8.2.14", "less_than 1.5", ONCE),
    ("fia-253-2020", "gusset-hole", "8.2.14", "less_than 1", ONCE),
    ("fia-253-2020", "diagonal-gussets", "8.3.2.1.5", "at_least 2", ONCE),
    ("fia-253-2020", "door-free", "8.3.2.1", "at_least 300 mm", "remembered"),
    ("fia-253-2020", "door-front", "8.3.2.1", "at_most 250 mm", "remembered"),
    ("fia-253-2020", "door-rear", "8.3.2.1", "at_most 300 mm", "remembered"),
    ("fia-253-2020", "screen-top", "8.3.2.1", "less_than 100 mm", "restated"),
    ("fia-253-2020", "screen-sides", "8.3.2.1", "less_than 70 mm", "restated"),
    ("fia-253-2020", "seat-points", "drawing 253-65", "at_least 4", ONCE),
    ("fia-253-2020", "seat-plate-area", "drawing 253-65", "at_least 40 cm2", ONCE),
    ("fia-253-2020", "seat-plate-thickness", "drawing 253-65", "at_least 3 mm", ONCE),
    ("fia-253-2020", "seat-tube", "drawing 253-65B", "35 x 2.5 mm", ONCE),
    ("fia-253-2020", "seat-back", "drawing 253-65", "at_least 90 mm", ONCE),
    ("fia-253-2020", "harness-tube", "8.3.2.1", "38 x 2.5 mm 1.5 x 0.095 in", ONCE),
    ("fia-homologation-cages", "main-travel", "main", "at_most 50 mm", ONCE),
    ("fia-homologation-cages", "front-travel", "Appendix J, Article 283-2006", "at_most 100 mm", ONCE),
    ("uk-ncr-2026", "main-tube", "20.1 c", "45 x 2.5 mm 1.75 x 0.095 in 50 x 2.0 mm 2.0 x 0.083 in", "read"),
    ("uk-ncr-2026", "other-tube", "20.1 c", "38 x 2.5 mm 1.5 x 0.095 in 40 x 2.0 mm 1.6 x 0.083 in", "read"),
    ("uk-ncr-2026", "backstay-foot-area", "8.2", "at_least 60 cm2", "read"),
    ("uk-ncr-2026", "backstay-angle", "8.1", "at_least 30 deg", "read"),
    ("uk-ncr-2026", "diagonal-count", "9.1", "at_least 1", "read"),
    ("uk-ncr-2026", "diagonal-lower-end", "9.3", "at_most 100 mm", "read"),
    ("uk-ncr-2026", "harness-tube", "19.1", "38 x 2.5 mm 40 x 2.0 mm", "read"),
    ("fsae-2026", "side-height", "F.6.4.4", "at_least 290 mm at_most 345 mm", "read"),
    ("fsae-2026", "lug-pin", "F.5.12.5", "at_least 3/8 in", "read"),
    ("fsae-2026", "sleeve-length", "F.5.12.6", "at_least 75 mm", "read"),
    ("nasa-rally-sport-v16", "main-tube", "3.7.3",
     "1.75 x 0.095 in 2.0 x 0.083 in 1.75 x 0.083 in", ONCE),
    ("nasa-rally-sport-v16", "other-tube", "3.7.3",
     "1.5 x 0.095 in 1.6 x 0.083 in 1.5 x 0.083 in", ONCE),
    ("scca-gcr-2026", "tube-lightest", "9.4", "1.375 x 0.080 in", ONCE),
    ("scca-gcr-2026", "mounting-points", "9.4", "at_least 6 at_most 12", ONCE),
    ("ara-rally-2026", "main-tube", "2.2.2", "1.75 x 0.095 in 2.0 x 0.083 in 1.75 x 0.083 in", ONCE),
    ("ara-rally-2026", "other-tube", "2.2.2", "1.5 x 0.095 in 1.6 x 0.083 in 1.5 x 0.065 in", ONCE),
    ("ara-rally-2026", "old-screen-foot", "2.2.2", "at_most 4 in", ONCE),
    ("cars-rally-2026", "main-tube", "12.3.2", "1.75 x 0.095 in", ONCE),
    ("cars-rally-2026", "other-tube", "12.3.2", "1.5 x 0.095 in", ONCE),
    ("mt-washington-2026", "bolted-plate", "1.12", "at_least 3/16 in", ONCE),
    ("new-england-hill-climb-2026", "yield", "1.4.6", "at_least 36 ksi", ONCE),
    ("new-england-hill-climb-2026", "tensile", "1.4.6", "at_least 50 ksi", ONCE),
    ("scca-time-trials-2026", "legs-apart", "level 2", "more_than 15 in", ONCE),
]  # fmt: skip
TABLES = [
    # weight tables: up to so many lb (None: any heavier), then the sizes, as the data set restates them
    ("pikes-peak-105-2026", [
        ("999 lb", "1.375 x 0.090 in", "1.25 x 0.095 in 4130", "1.25 x 0.095 in R8"),
        ("1999 lb", "1.5 x 0.090 in", "1.375 x 0.095 in 4130", "1.375 x 0.095 in R8"),
        ("2999 lb", "1.5 x 0.120 in", "1.5 x 0.095 in seamless or drawn", "1.625 x 0.095 in 4130",
         "1.375 x 0.095 in R8"),
        ("3999 lb", "1.75 x 0.120 in", "1.75 x 0.095 in 4130", "1.625 x 0.083 in R8"),
        (None, "2.0 x 0.120 in", "1.75 x 0.095 in 4130", "1.75 x 0.095 in R8"),
    ]),
    ("mt-washington-2026", [
        ("1199 lb", "1.25 x 0.095 in"), ("2500 lb", "1.5 x 0.095 in", "1.25 x 0.120 in"),
        (None, "1.75 x 0.095 in", "1.5 x 0.120 in"),
    ]),
    ("new-england-hill-climb-2026", [
        ("1499 lb", "1.25 x 0.120 in", "1.38 x 0.090 in"), ("2499 lb", "1.38 x 0.120 in", "1.5 x 0.090 in"),
        (None, "1.5 x 0.120 in", "1.625 x 0.109 in", "1.75 x 0.090 in"),
    ]),
    ("scca-time-trials-2026", [
        ("1499 lb", "1.25 x 0.090 in"), ("1700 lb", "1.375 x 0.080 in"),
        ("2699 lb", "1.5 x 0.095 in", "1.625 x 0.080 in"),
        (None, "1.5 x 0.120 in", "1.75 x 0.095 in", "2.0 x 0.080 in"),
    ]),
]  # fmt: skip


def row_of(book: str, row: str) -> Rule:
    return next(rule for rule in built_in(book).rules if rule.id == row)


@pytest.mark.parametrize(
    ("book", "row", "clause", "limit", "known"), ROWS, ids=[f"{r[0]}-{r[1]}" for r in ROWS]
)
def test_the_figure_and_where_it_stands(book: str, row: str, clause: str, limit: str, known: Known):
    rule = row_of(book, row)
    said = " ".join([*(f"{b.kind} {b.text}" for b in rule.bounds), *(size.size.text for size in rule.sizes)])
    assert said == limit
    assert rule.clause.startswith(clause)
    assert known_by(rule.certainty, rule.confirmed) == known
    assert rule.source != rule.confirmed


@pytest.mark.parametrize(("book", "lines"), TABLES, ids=[t[0] for t in TABLES])
def test_a_table_by_weight(book: str, lines: list[tuple[str | None, ...]]):
    table = row_of(book, "tube").table
    assert [(step.up_to and step.up_to.text, *(size.text for size in step.sizes)) for step in table] == lines


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
