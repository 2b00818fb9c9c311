"""Reading a rule book file: every problem in one pass, with file and line, in the builder's words."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any, cast

from pydantic import ValidationError

from cagewright.base.problems import Problem, ProblemsFound, nearest_word
from cagewright.check.clauses import CLAUSES
from cagewright.check.readings import Measure
from cagewright.check.rules import BOUNDS, TERMS, Book, Rule, Vocabulary, keys_of
from cagewright.check.toml import in_toml, toml_source
from cagewright.check.vocabulary import MEASURES
from cagewright.plan.source import label_at, where_at
from cagewright.plan.text import Map, Seq, Source, decoded, read_bytes
from cagewright.plan.wording import problems_of

ROW_KEYS = keys_of(Rule)
WORDS = Vocabulary(measures=MEASURES, functions=CLAUSES)


def read_book(path: Path) -> Book:
    """The rule book in the file.

    Raises:
        ProblemsFound: the file cannot be read, or is no rule book.
    """
    raw = read_bytes(path, file=str(path))
    text = raw if isinstance(raw, Problem) else decoded(raw, file=str(path))
    if isinstance(text, Problem):
        raise ProblemsFound([replace(text, wanted="wanted a rule book in TOML")])
    return parse_book(text, str(path))


def parse_book(text: str, file: str) -> Book:
    """The rule book in the text.

    Raises:
        ProblemsFound: it is no rule book.
    """
    source = toml_source(text, file)
    problems = list(_of_tables(source)) if source.readable else list(source.problems)
    if problems:
        raise ProblemsFound(problems)
    source = _as_one(source)
    problems = [problem for row in range(len(source.data["rule"])) for problem in _of_keys(source, row)]
    try:
        book = Book.model_validate(source.data, context=WORDS)
    except ValidationError as wrong:
        raise ProblemsFound([*map(in_toml, problems_of(wrong, source, Book)), *problems]) from None
    problems += _twice(book, source)
    if problems:
        raise ProblemsFound(problems)
    return book


def _of_tables(source: Source) -> Iterator[Problem]:
    """What is wrong with the file's tables: one [book], [[rule]] rows, and nothing else."""
    for key, value in source.data.items():
        if key not in {"book", "rule"}:
            found, wanted = f"'{key}' is not known here", "wanted one [book] and [[rule]] rows"
            nearest = nearest_word(key, ("book", "rule"))
            yield Problem(
                code="unknown-key",
                where=where_at(source, (key,)),
                found=found,
                wanted=wanted,
                nearest=nearest,
            )
        elif not isinstance(value, Map if key == "book" else Seq):
            where = where_at(source, (key,))
            yield Problem(code=f"no-{key}", where=where, found=f"'{key}' is no table", wanted=_TABLES[key])
    for key, wanted in _TABLES.items():
        if key not in source.data:
            yield Problem(
                code=f"no-{key}", where=where_at(source, ()), found=f"there is no {key}", wanted=wanted
            )


_TABLES = {"book": "wanted a [book] table with id, title, edition, source", "rule": "wanted [[rule]] rows"}


def _as_one(source: Source) -> Source:
    """The file with its rows inside the table of the book, as ``Book`` holds them."""
    head, rows = cast("Map", source.data["book"]), source.data["rule"]
    head["rule"] = rows
    head.spots["rule"] = head.key_spots["rule"] = source.data.spots["rule"]
    return replace(source, data=head)


def _of_keys(source: Source, row: int) -> Iterator[Problem]:
    """The keys of a row that its measure does not read, and those that it lacks."""
    raw = cast("dict[str, Any]", source.data["rule"][row])
    measure = MEASURES.get(str(raw.get("measure")))
    if measure is None:
        return
    reads = {*terms_read(measure), *limit_keys(measure)}
    if "members" in reads:
        reads.add("except")
    for key in raw:
        if key in (*TERMS, *BOUNDS, "must_be", "allowance", "except") and key not in reads:
            where = where_at(source, ("rule", row, key))
            found = f"{label_at(source, ('rule', row))}: '{measure.name}' does not read '{key}'"
            yield Problem(code="not-read", where=where, found=found, wanted=f"wanted {_listed(reads)}")
    # a misspelt key is not missing besides
    there = {*raw, *(nearest_word(key, ROW_KEYS) for key in raw if key not in ROW_KEYS)}
    wants = [(key,) for key in measure.needs]
    wants += [BOUNDS] if measure.sort is not None and not measure.own_limit else []
    for keys in wants:
        if there.isdisjoint(keys):
            found = f"{label_at(source, ('rule', row))} has no {' or '.join(keys)}: '{measure.name}' needs it"
            where = where_at(source, ("rule", row))
            yield Problem(code="missing-key", where=where, found=found, wanted=f"wanted {keys[0]}")


def _listed(words: set[str]) -> str:
    return ", ".join(sorted(words)) or "no such key"


def terms_read(measure: Measure) -> tuple[str, ...]:
    """The terms that a row with this measure may give; 'joined_to' goes wherever 'members' does."""
    reads = (*measure.needs, *measure.takes)
    return (*reads, "joined_to") if "members" in reads else reads


def limit_keys(measure: Measure) -> tuple[str, ...]:
    """The keys in which such a row may give its limit."""
    if measure.own_limit:
        return ()
    return ("must_be",) if measure.sort is None else (*BOUNDS, "allowance")


def _twice(book: Book, source: Source) -> Iterator[Problem]:
    first: dict[str, int] = {}
    for number, rule in enumerate(book.rules):
        where = where_at(source, ("rule", number, "id"))
        if rule.id in first:
            found = f"id '{rule.id}' was used on line {first[rule.id]}"
            yield Problem(code="twice", where=where, found=found, wanted="wanted another name")
        first.setdefault(rule.id, where.line)
