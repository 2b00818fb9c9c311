"""Any book: larger tubes are never worse, moving the car changes nothing, a spoilt book is no traceback."""

import sys
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from aboard import aboard

sys.path.insert(0, str(Path(__file__).parents[1] / "unit" / "check"))

from cages import bar, cage, full_cage, tube

from cagewright.base.curves import Arc, Chain, Line
from cagewright.base.problems import Problem, ProblemsFound
from cagewright.check.findings import WORST_FIRST, Finding, Verdict
from cagewright.check.judge import check_books
from cagewright.check.library import book_ids, built_in
from cagewright.check.read import parse_book
from cagewright.check.rules import Book, Rule
from cagewright.shape.types import Cage, Member, driver_body
from cases import cases

BOOKS = tuple(built_in(book_id) for book_id in book_ids())
SIZE_RULES = [
    (b, r) for b in BOOKS for r in b.rules if r.measure.startswith("tube size") and r.certainty == "read"
]
ORDER: tuple[Verdict, ...] = ("fail", "cannot tell", "pass")


def sized(book: Book, rule: Rule, od: float, wall: float, steel: str, mass: float) -> Verdict:
    post = bar("m", rule.members[0], (0, 0, 0), (0, 0, 900), size=tube(od, wall, steel))
    one = cage(post, mass=mass)
    alone = book.model_copy(update={"rule": (rule,), "newer": None})
    (found,) = check_books(one, [alone])
    return found.verdict


@given(
    st.sampled_from(SIZE_RULES), st.floats(25.0, 60.0), st.floats(0.8, 5.0),
    st.floats(0.0, 20.0), st.floats(0.0, 3.0),
    st.sampled_from(["E355+N", "4130+N", "A513-5 1020", "A513-1 1020"]), st.floats(400.0, 1800.0),
)  # fmt: skip
def test_a_larger_thicker_tube_is_never_worse(
    row: tuple[Book, Rule], od: float, wall: float, more_od: float, more_wall: float, steel: str, mass: float
):
    small = sized(*row, od, wall, steel, mass)
    large = sized(*row, od + more_od, wall + more_wall, steel, mass)
    assert ORDER.index(large) >= ORDER.index(small)


@given(st.sampled_from(SIZE_RULES), st.floats(25.0, 60.0), st.floats(0.8, 5.0), st.floats(400.0, 1800.0))
def test_4130_is_never_worse_than_mild_steel(row: tuple[Book, Rule], od: float, wall: float, mass: float):
    mild = sized(*row, od, wall, "A513-5 1020", mass)
    assert ORDER.index(sized(*row, od, wall, "4130+N", mass)) >= ORDER.index(mild) or "showroom" in row[0].id


def turned(path: Chain, by: np.ndarray, flip: np.ndarray) -> Chain:
    """The path moved by ``by`` after its axes are multiplied by ``flip``."""
    pieces = tuple(
        Line(start=p.start * flip + by, stop=p.stop * flip + by)
        if isinstance(p, Line)
        else Arc(centre=p.centre * flip + by, radius=p.radius, u=p.u * flip, v=p.v * flip, angle=p.angle)
        for p in path.pieces
    )
    return Chain(pieces=pieces, starts=path.starts)


def moved(one: Cage, by: np.ndarray, *, mirror: bool = False) -> Cage:
    """The whole car moved, and seen in a mirror where asked."""
    flip = np.array([1.0, -1.0 if mirror else 1.0, 1.0])

    def at(point: object) -> np.ndarray:
        return np.asarray(point, dtype=float) * flip + by

    def member(m: Member) -> Member:
        bends = tuple(replace(b, apex=at(b.apex)) for b in m.bends)
        return replace(m, path=turned(m.path, by, flip), bends=bends)

    driver = driver_body(one)
    assert driver is not None
    assert driver.head is not None
    hip, head = tuple(at(driver.hip).tolist()), tuple(at(driver.head).tolist())
    return replace(
        one,
        members=tuple(member(m) for m in one.members),
        joints=tuple(replace(j, point=at(j.point)) for j in one.joints),
        feet=tuple(replace(f, point=at(f.point)) for f in one.feet),
        gussets=tuple(replace(g, point=at(g.point)) for g in one.gussets),
        lines=tuple(replace(line, points=line.points * flip + by) for line in one.lines),
        people=aboard(driver.model_copy(update={"hip": hip, "head": head})),
    )


def read(text: str) -> Book | None:
    """The book, or None where it has problems, each on a line of the text."""
    problems: tuple[Problem, ...] = ()
    try:
        return parse_book(text, "b.toml")
    except ProblemsFound as found:
        problems = found.problems
    assert all(0 <= p.where.line <= len(text.splitlines()) + 1 for p in problems)
    return None


def told(found: tuple[Finding, ...]) -> list[tuple[str, str, Verdict, tuple[str, ...]]]:
    return [(f.book, f.rule, f.verdict, tuple(sorted(f.where.members))) for f in found]


FULL = full_cage()
AS_IT_STANDS = check_books(FULL, BOOKS)


@settings(max_examples=cases(20), suppress_health_check=[HealthCheck.too_slow], deadline=None)
@given(st.floats(-3000, 3000), st.floats(-2000, 2000))
def test_where_the_datum_is_does_not_matter(back: float, up: float):
    found = check_books(moved(FULL, np.array([back, 0.0, up])), BOOKS)
    assert told(found) == told(AS_IT_STANDS)
    for new, old in zip(found, AS_IT_STANDS, strict=True):
        if new.measured is not None and old.measured is not None and new.measured.value is not None:
            assert new.measured.value == pytest.approx(old.measured.value, abs=1e-6)


def test_a_mirrored_car_fails_as_often():
    found = check_books(moved(FULL, np.zeros(3), mirror=True), BOOKS)
    one_sided = {"us-dirt-late-model"}  # asks for doorbars on the left
    for book in BOOKS:
        if book.id in one_sided:
            continue
        new, old = ([f for f in group if f.book == book.id] for group in (found, AS_IT_STANDS))
        for verdict in WORST_FIRST:
            assert sum(f.verdict == verdict for f in new) == sum(f.verdict == verdict for f in old), book.id


TEXTS = [
    (Path(__file__).parents[2] / "src" / "cagewright" / "check" / "books" / f"{book_id}.toml").read_text(
        "utf-8"
    )
    for book_id in ("fia-253-2009", "scca-gcr-9-4-2008", "us-drag-4-11-roll-cage")
]
CUTS = [
    "",
    "\n",
    "[",
    "]",
    "{",
    "}",
    '"',
    "=",
    "[[rule]]\n",
    "nan",
    "1e400",
    "-3",
    "'''",
    "\x00",
    "ü",
    "true",
    "[]",
    "{}",
]


@settings(max_examples=cases(300), deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(
    st.sampled_from(TEXTS),
    st.lists(st.tuples(st.floats(0, 1), st.integers(0, 40), st.sampled_from(CUTS)), max_size=4),
)
def test_a_spoilt_book_gives_a_book_or_problems(text: str, cuts: list[tuple[float, int, str]]):
    for where, length, instead in cuts:
        start = int(where * len(text))
        text = text[:start] + instead + text[start + length :]
    book = read(text)
    if book is not None:
        check_books(FULL, [book])
