"""Reading a rule book file: every problem in one pass, with file and line, in the builder's words."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, TypeVar, cast, get_args

from cagewright.base.problems import Problem, ProblemsFound, Where, nearest_word
from cagewright.check import fields
from cagewright.check.fields import Wrong
from cagewright.check.locate import Spot, line_of, lines_of
from cagewright.check.readings import Measure
from cagewright.check.rules import (
    EVERY_CAR,
    NO_ALLOWANCE,
    Allowance,
    Book,
    Bound,
    BoundKind,
    Rule,
    Terms,
)  # fmt: skip
from cagewright.check.said import Sort
from cagewright.check.vocabulary import MEASURES
from cagewright.stock.steels import Certainty

T = TypeVar("T")

BOOK_KEYS = ("id", "title", "edition", "source", "note", "applies")
BOUNDS: tuple[BoundKind, ...] = get_args(BoundKind)
ROW_KEYS = (
    "id",
    "clause",
    "title",
    "measure",
    "certainty",
    "source",
    "note",
    "applies",
    "allowance",
    "must_be",
    "except",
)
ALL_KEYS = (*ROW_KEYS, *BOUNDS, *fields.TERMS)
LARGEST = 1_000_000
"""Bytes: no rule book is larger."""

_SYNTAX = re.compile(r"^(?P<what>.*?) \(at (?:line (?P<line>\d+), column (?P<col>\d+)|end of document)\)$")


@dataclass(frozen=True, slots=True, kw_only=True)
class _Page:
    """The file being read: its name, where its keys stand, and the problems found so far."""

    file: str
    lines: dict[Spot, int]
    problems: list[Problem] = field(default_factory=list[Problem])


@dataclass(frozen=True, slots=True, kw_only=True)
class _Place:
    """One table of the page, with its raw values."""

    page: _Page
    table: str
    count: int
    raw: dict[str, Any]

    def wrong(self, code: str, key: str, found: str, wanted: str, nearest: str | None = None) -> None:
        """Note a problem at a key."""
        where = Where(file=self.page.file, line=line_of(self.page.lines, self.table, self.count, key), col=1)
        self.page.problems.append(
            Problem(code=code, where=where, found=found, wanted=wanted, nearest=nearest)
        )


def read_book(path: Path) -> Book:
    """The rule book in the file.

    Raises:
        ProblemsFound: the file cannot be read, or is no rule book.
    """  # noqa: DOC501
    try:
        raw = path.read_bytes()[: LARGEST + 1]
    except OSError as wrong:
        raise _refused(str(path), "unreadable", f"the file cannot be read ({wrong.strerror})") from None
    if len(raw) > LARGEST:
        raise _refused(str(path), "too-large", "the file is larger than any rule book")
    try:
        return parse_book(raw.decode("utf-8"), str(path))
    except UnicodeDecodeError:
        raise _refused(str(path), "not-text", "the file is not text in UTF-8") from None


def _refused(file: str, code: str, found: str, line: int = 0, col: int = 0) -> ProblemsFound:
    where = Where(file=file, line=line, col=col)
    return ProblemsFound([Problem(code=code, where=where, found=found, wanted="wanted a rule book in TOML")])


def parse_book(text: str, file: str) -> Book:
    """The rule book in the text.

    Args:
        text: what the file says.
        file: its name, for the problems.

    Raises:
        ProblemsFound: it is no rule book.
    """
    raw = _toml(text, file)
    page = _Page(file=file, lines=lines_of(text))
    for key in raw:
        if key not in {"book", "rule"}:
            table = key if (key, 0, "") in page.lines else ""
            _Place(page=page, table=table, count=0, raw=raw).wrong(
                "unknown-key", key, f"'{key}' is not known here", "wanted one [book] and [[rule]] rows",
                nearest_word(key, ("book", "rule")),
            )  # fmt: skip
    book = _book(page, raw)
    if page.problems or book is None:
        raise ProblemsFound(page.problems)
    return book


def _toml(text: str, file: str) -> dict[str, Any]:
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as wrong:
        seen = _SYNTAX.match(str(wrong))
        line, col = (int(seen["line"] or 0), int(seen["col"] or 0)) if seen else (0, 0)
        line = line or len(text.splitlines())
        raise _refused(
            file, "syntax", f"this is not TOML: {seen['what'] if seen else wrong}", line, col
        ) from None
    except RecursionError:
        raise _refused(file, "syntax", "the lists are nested too deeply") from None


def _book(page: _Page, raw: dict[str, Any]) -> Book | None:
    head, rows = raw.get("book"), raw.get("rule")
    if not isinstance(head, dict):
        _Place(page=page, table="book", count=0, raw=raw).wrong(
            "no-book", "", "no [book] table", f"wanted one with {', '.join(BOOK_KEYS[:4])}"
        )
        head = {}
    if not isinstance(rows, list) or not all(isinstance(row, dict) for row in cast("list[Any]", rows)):
        _Place(page=page, table="rule", count=0, raw=raw).wrong(
            "no-rule", "", "no [[rule]] rows", "wanted one row or more"
        )
        rows = []
    place = _Place(page=page, table="book", count=0, raw=cast("dict[str, Any]", head))
    _known_keys(place, BOOK_KEYS)
    values = {key: _text(place, key) for key in BOOK_KEYS[:4]}
    note = _take(place, "note", fields.note, "")
    applies = _take(place, "applies", fields.applies, EVERY_CAR)
    rules = _rules(page, cast("list[dict[str, Any]]", rows))
    if page.problems:
        return None
    return Book(**values, note=note, applies=applies, rules=rules)


def _rules(page: _Page, rows: list[dict[str, Any]]) -> tuple[Rule, ...]:
    seen: dict[str, int] = {}
    rules: list[Rule] = []
    for number, raw in enumerate(rows):
        place = _Place(page=page, table="rule", count=number, raw=raw)
        rule = _rule(place)
        if rule is None:
            continue
        if rule.id in seen:
            place.wrong(
                "twice", "id", f"id '{rule.id}' was used on line {seen[rule.id]}", "wanted another name"
            )
        seen[rule.id] = line_of(page.lines, "rule", number, "id")
        rules.append(rule)
    return tuple(rules)


def _rule(place: _Place) -> Rule | None:
    before = len(place.page.problems)
    _known_keys(place, ALL_KEYS)
    words = {key: _text(place, key) for key in ("id", "clause", "title", "measure", "source")}
    certainty = _take(place, "certainty", lambda raw: fields.word(raw, get_args(Certainty)), "")
    if "certainty" not in place.raw:
        place.wrong(
            "missing", "certainty", "no 'certainty'", f"wanted one of: {', '.join(get_args(Certainty))}"
        )
    measure = _measure(place, words["measure"])
    if measure is None:
        return None
    _fitting_keys(place, measure)
    rule = Rule(
        **words,
        terms=_terms(place, measure),
        bounds=_bounds(place, measure),
        wanted=_take(place, "must_be", lambda raw: fields.word(raw, ("yes", "no")), "yes") == "yes",
        allowance=_allowance(place, measure),
        certainty=cast(Certainty, certainty),
        note=_take(place, "note", fields.note, ""),
        applies=_take(place, "applies", fields.applies, EVERY_CAR),
    )
    return rule if len(place.page.problems) == before else None


def _known_keys(place: _Place, known: tuple[str, ...]) -> None:
    for key in place.raw:
        if key not in known:
            place.wrong(
                "unknown-key",
                key,
                f"'{key}' is not known here",
                "wanted a key of the book's format",
                nearest_word(key, known),
            )


def _text(place: _Place, key: str) -> str:
    if key not in place.raw:
        place.wrong("missing", key, f"no '{key}'", f'wanted {key} = "..."')
        return ""
    return _take(place, key, fields.text, "")


def _take(place: _Place, key: str, read: Callable[[Any], T], default: T) -> T:
    """The value of a key, or the default where it is not given or wrong."""
    if key not in place.raw:
        return default
    try:
        return read(place.raw[key])
    except Wrong as wrong:
        place.wrong("wrong-value", key, f"{key} = {_short(place.raw[key])}", wrong.wanted, wrong.nearest)
        return default


def _short(raw: Any) -> str:
    said = repr(raw)
    return said if len(said) <= 60 else f"{said[:57]}..."


def _measure(place: _Place, name: str) -> Measure | None:
    if name and name not in MEASURES:
        place.wrong(
            "unknown-measure", "measure", f"no measure is called '{name}'",
            "wanted one of the measures on the page about writing a book", nearest_word(name, MEASURES),
        )  # fmt: skip
    return MEASURES.get(name)


def _meant(place: _Place) -> set[str]:
    """The known keys that misspelt ones seem to mean: they are not missing besides."""
    slips = (nearest_word(key, ALL_KEYS) for key in place.raw if key not in ALL_KEYS)
    return {word for word in slips if word is not None}


def _fitting_keys(place: _Place, measure: Measure) -> None:
    """Note keys that the measure does not read, and those that it lacks."""
    reads = set(terms_read(measure))
    for key in place.raw:
        if key in fields.TERMS and key not in reads:
            place.wrong("not-read", key, f"'{measure.name}' does not read '{key}'", f"wanted {_list(reads)}")
    for key in measure.needs:
        if key not in place.raw and key not in _meant(place):
            place.wrong("missing", key, f"no '{key}'", f"'{measure.name}' needs it")
    if "except" in place.raw and "members" not in reads:
        place.wrong(
            "not-read", "except", f"'{measure.name}' does not read 'except'", "wanted it beside 'members'"
        )


def terms_read(measure: Measure) -> tuple[str, ...]:
    """The terms that a row with this measure may give; 'joined_to' goes wherever 'members' does."""
    reads = (*measure.needs, *measure.takes)
    return (*reads, "joined_to") if "members" in reads else reads


def _list(words: set[str]) -> str:
    return ", ".join(sorted(words)) or "no such key"


def _terms(place: _Place, measure: Measure) -> Terms:
    given = [key for key in terms_read(measure) if key in place.raw]
    values = {key: _take(place, key, fields.TERMS[key], None) for key in given}
    values = {key: value for key, value in values.items() if value is not None}
    left_out = _take(place, "except", fields.roles, ())
    if left_out and "members" in values:
        values["members"] = tuple(role for role in values["members"] if role not in left_out)
    return Terms(**values)


def _bounds(place: _Place, measure: Measure) -> tuple[Bound, ...]:
    sort = measure.sort
    given: list[BoundKind] = [kind for kind in BOUNDS if kind in place.raw]
    if sort is None or measure.own_limit:
        unread = ["must_be"] if measure.own_limit and "must_be" in place.raw else []
        for key in (*given, *unread):
            place.wrong("not-read", key, f"'{measure.name}' has no limit of this kind", "wanted none")
        return ()
    if "must_be" in place.raw:
        place.wrong("not-read", "must_be", f"'{measure.name}' is an amount", f"wanted {' or '.join(BOUNDS)}")
    if not given and not _meant(place) & set(BOUNDS):
        place.wrong("missing", "", f"'{measure.name}' has no limit", f"wanted {' or '.join(BOUNDS)}")
    bounds = (_bound(place, kind, sort) for kind in given)
    return tuple(b for b in bounds if b is not None)


def _bound(place: _Place, kind: BoundKind, sort: Sort) -> Bound | None:
    return _take(place, kind, lambda raw: fields.bound(kind, raw, sort), None)


def _allowance(place: _Place, measure: Measure) -> Allowance:
    sort = measure.sort
    if sort is None:
        if "allowance" in place.raw:
            place.wrong("not-read", "allowance", f"'{measure.name}' is no amount", "wanted none")
        return NO_ALLOWANCE
    return _take(place, "allowance", lambda raw: fields.allowance(raw, sort), NO_ALLOWANCE)
