"""Every row of every book: a cage that passes, one that fails, one that cannot be told.

The cages are built from each row's limit by plain geometry (row_cases.py); the figures themselves are held to
their sources in test_check_published_figures.py.
"""

from dataclasses import replace

import pytest
from row_cases import ALWAYS_KNOWN, CASES, NEVER_FAILS, SOMETIMES_KNOWN, Cases, split

from cagewright.check.findings import Finding, known_by
from cagewright.check.judge import judge
from cagewright.check.library import book_ids, built_in
from cagewright.check.read import parse_book
from cagewright.check.rules import Book, Rule
from cagewright.check.vocabulary import MEASURES
from cagewright.shape.types import Cage

HOUSE = """
[book]
id = "house"
title = "Rows for the measures that no built-in book uses"
edition = "test"
source = "test"
""" + "".join(
    f'[[rule]]\nid = "r{i}"\nclause = "{i}"\ntitle = "t"\ncertainty = "shop"\nsource = "test"\n{row}\n'
    for i, row in enumerate([
        'measure = "tensile strength"\nmembers = "cage"\nat_least = "450 MPa"',
        'measure = "not electric-welded"\nmembers = "cage"',
        'measure = "bends"\nmembers = ["main rollbar"]\nat_most = 4',
        'measure = "both ends on feet"\nmembers = ["main rollbar"]',
        'measure = "hoop out of plane"\nmembers = ["main rollbar"]\nat_most = "5 mm"',
        'measure = "included angle"\njoints_of = ["backstay"]\nat_least = "30 deg"',
        'measure = "straightness"\nmembers = "cage"\nat_most = "3 mm"',
        'measure = "outside diameter"\nmembers = "cage"\nmore_than = "30 mm"',
        'measure = "straight"\nmembers = ["main rollbar"]\nmust_be = "no"',
        'measure = "back angle"\nat_most = "25 deg"',
    ])
)  # fmt: skip
BOOKS = [*(built_in(book_id) for book_id in book_ids()), parse_book(HOUSE, "house.toml")]
ROWS = [(book, rule) for book in BOOKS for rule in book.rules]
IDS = [f"{book.id}-{rule.id}" for book, rule in ROWS]
every_row = pytest.mark.parametrize(("book", "rule"), ROWS, ids=IDS)


def judged(book: Book, rule: Rule, built: object) -> tuple[Finding, ...]:
    one, bench = split(built)  # type: ignore[arg-type]
    return judge(dated(one, rule), book, rule, bench)


def dated(one: Cage, rule: Rule) -> Cage:
    """The cage with a car of a date that the row is for."""
    date = rule.applies.since or rule.applies.until
    if date is None or one.car is None:
        return one
    return replace(one, car=one.car.model_copy(update={rule.applies.by: date.text}))


def turned(rule: Rule, cases: Cases) -> Cases:
    """A row that wants 'no' passes where its measure says no."""
    if rule.wanted or cases.fails is None:
        return cases
    return Cases(cases.fails, cases.passes, cases.unknown)


def cases_of(rule: Rule) -> Cases:
    return turned(rule, CASES[rule.measure](rule))


@every_row
def test_a_cage_that_passes(book: Book, rule: Rule):
    found = judged(book, rule, cases_of(rule).passes)
    known = known_by(rule.certainty, rule.confirmed)
    wanted = "looks kept" if known in {"remembered", "restated once"} else "pass"
    assert {f.verdict for f in found} == {wanted}, found


@every_row
def test_a_cage_that_fails(book: Book, rule: Rule):
    cases = cases_of(rule)
    if cases.fails is None:
        assert rule.measure in NEVER_FAILS
        return
    found = judged(book, rule, cases.fails)
    broken = [f for f in found if f.verdict in {"fail", "looks broken"}]
    assert broken, found
    if rule.certainty == "memory":
        assert {f.verdict for f in broken} == {"looks broken"}
        assert {f.verdict for f in found} <= {"looks broken", "looks kept", "cannot tell"}
    assert all(f.advice for f in broken)
    assert all(f.measured is not None and f.measured.said for f in broken)
    assert all(f.limit for f in broken)


@every_row
def test_a_cage_that_cannot_be_told(book: Book, rule: Rule):
    cases = cases_of(rule)
    if cases.unknown is None:
        assert rule.measure in ALWAYS_KNOWN | SOMETIMES_KNOWN
        return
    assert rule.measure not in ALWAYS_KNOWN
    found = judged(book, rule, cases.unknown)
    assert {f.verdict for f in found} == {"cannot tell"}, found
    assert all(f.why and f.advice for f in found)


def test_every_measure_has_a_row_here():
    assert {rule.measure for _, rule in ROWS} == set(MEASURES)
    assert set(CASES) == set(MEASURES)


@every_row
def test_a_cage_without_anything_to_look_at_is_never_a_pass(book: Book, rule: Rule):
    from cages import cage

    found = judged(book, rule, cage(body=" ".join(rule.applies.body) or "saloon"))
    allowed = (
        {"does not apply", "looks broken", "cannot tell"}
        if rule.certainty == "memory"
        else {"does not apply", "fail", "cannot tell"}
    )
    if any(b.kind in {"at_most", "less_than"} for b in rule.bounds):
        allowed |= {
            "looks kept" if rule.certainty in {"memory", "second-hand"} else "pass"
        }  # none at all is no more than some
    assert {f.verdict for f in found} <= allowed
