"""A TOML file as values with their places: the standard reader gives values without their lines."""

from __future__ import annotations

import re
import tomllib
from dataclasses import dataclass, field, replace
from typing import Any, TypeVar, cast

from pydantic import BaseModel, ValidationError

from cagewright.base.problems import Problem, ProblemsFound, Where
from cagewright.plan.text import Map, Seq, Source, Spot, failed
from cagewright.plan.wording import problems_of

_HEADER = re.compile(r"^\s*\[\[?\s*([A-Za-z0-9_.-]+)\s*\]\]?")
_KEY = re.compile(r"^\s*(\"[^\"]*\"|'[^']*'|[A-Za-z0-9_-]+)\s*[.=]")
_QUOTED = re.compile(r"\"(?:\\.|[^\"\\])*\"|'[^']*'")
_SYNTAX = re.compile(r"^(?P<what>.*?) \(at (?:line (?P<line>\d+), column (?P<col>\d+)|end of document)\)$")


Rows = TypeVar("Rows", bound=BaseModel)


def rows_in(text: str, file: str, model: type[Rows], context: object = None) -> Rows:
    """The rows of a TOML file as the model says, every mistake with its line and the nearest word.

    Raises:
        ProblemsFound: it is no TOML, or not such rows.
    """
    source = toml_source(text, file)
    if not source.readable:
        raise ProblemsFound(list(source.problems))
    try:
        return model.model_validate(source.data, context=context)
    except ValidationError as wrong:
        raise ProblemsFound(in_toml(problem) for problem in problems_of(wrong, source, model)) from None


def in_toml(problem: Problem) -> Problem:
    """The problem in the words of a TOML file: a key is given with ``=``."""
    if problem.code != "missing-key":
        return problem
    return replace(problem, wanted=problem.wanted.replace(": ...", " = ..."))


def toml_source(text: str, file: str) -> Source:
    """The text's values; every table that has a heading of its own, and its keys, with their places."""
    try:
        raw = tomllib.loads(text)
    except tomllib.TOMLDecodeError as wrong:
        seen = _SYNTAX.match(str(wrong))
        line, col = (int(seen["line"] or 0), int(seen["col"] or 0)) if seen else (0, 0)
        where = Where(file=file, line=line or len(text.splitlines()), col=col)
        return failed([_no_toml(where, seen["what"] if seen else str(wrong))], file=file, text=text)
    except RecursionError:
        where = Where(file=file, line=1, col=1)
        return failed([_no_toml(where, "the lists are nested too deeply")], file=file, text=text)
    spots = _spots(text)
    data = _placed(raw, spots, ("", 0))
    for name, value in raw.items():
        if isinstance(value, dict):
            data[name] = _placed(cast("dict[str, Any]", value), spots, (name, 0))
        elif isinstance(value, list) and all(isinstance(row, dict) for row in cast("list[Any]", value)):
            rows = data[name] = Seq(flow=False)
            rows.extend(
                _placed(row, spots, (name, n)) for n, row in enumerate(cast("list[dict[str, Any]]", value))
            )
            rows.spots = [spots.get((name, n, ""), _TOP) for n in range(len(rows))]
    return Source(file=file, text=text, data=data, problems=(), readable=True, values=len(spots))


def _no_toml(where: Where, what: str) -> Problem:
    return Problem(code="syntax", where=where, found=f"this is not TOML: {what}", wanted="wanted TOML")


_TOP = Spot(0, 0, 0, 0)
_Key = tuple[str, int, str]
"""Table, its count from 0, and key ('' for the table's own heading)."""


def _placed(raw: dict[str, Any], spots: dict[_Key, Spot], table: tuple[str, int]) -> Map:
    placed = Map(flow=False)
    placed.update(raw)
    heading = spots.get((*table, ""), _TOP)
    for key in raw:
        own = spots.get((key, 0, ""), heading) if table == ("", 0) else heading
        placed.spots[key] = placed.key_spots[key] = spots.get((*table, key), own)
    return placed


@dataclass(slots=True)
class _Scan:
    """How far a reading of the file's lines has come."""

    table: str = ""
    count: dict[str, int] = field(default_factory=dict[str, int])
    fence: str = ""
    depth: int = 0
    spots: dict[_Key, Spot] = field(default_factory=dict[_Key, Spot])


def _spots(text: str) -> dict[_Key, Spot]:
    reading = _Scan()
    for number, line in enumerate(text.splitlines(), start=1):
        if not reading.fence and reading.depth == 0:
            _note(reading, line, number)
        _follow(reading, line)
    return reading.spots


def _note(reading: _Scan, line: str, number: int) -> None:
    header = _HEADER.match(line)
    spot = Spot(number, len(line) - len(line.lstrip()) + 1, 0, 0)
    if header:
        table, _, inner = header[1].partition(".")
        if not inner:
            reading.count[table] = reading.count.get(table, -1) + 1
        reading.table = header[1]
        reading.spots.setdefault((table, reading.count.get(table, 0), inner), spot)
        return
    key = _KEY.match(line)
    if key and "." not in reading.table:
        count = reading.count.get(reading.table, 0)
        reading.spots.setdefault((reading.table, count, key[1].strip("\"'")), spot)


def _follow(reading: _Scan, line: str) -> None:
    """Keep track of texts and lists that run over several lines."""
    rest = line
    if reading.fence:
        _, closed, rest = line.partition(reading.fence)
        if not closed:
            return
        reading.fence = ""
    for fence in ('"""', "'''"):
        if rest.count(fence) % 2:
            reading.fence = fence
            return
    bare = _QUOTED.sub("", rest).partition("#")[0]
    if reading.depth or not _HEADER.match(bare):
        opened, closed = bare.count("[") + bare.count("{"), bare.count("]") + bare.count("}")
        reading.depth = max(0, reading.depth + opened - closed)
