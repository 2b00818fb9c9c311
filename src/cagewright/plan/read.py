"""Reading a plan: every problem of its files in one pass, each with its place."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any, TypeVar, cast

from pydantic import BaseModel, ValidationError

from cagewright.base.problems import Problem, ProblemsFound
from cagewright.plan.files import gather, load
from cagewright.plan.loops import check_loops
from cagewright.plan.names import check_names, known_names
from cagewright.plan.report import ProblemReport
from cagewright.plan.sense import check_sense
from cagewright.plan.source import Sources, label_of, where_at
from cagewright.plan.text import Map, Source, parse
from cagewright.plan.types import Plan, Sections
from cagewright.plan.wording import problems_of

BY_NAME = ("steels", "tubes", "points", "members", "feet", "plates", "gussets", "pushes", "people")
"""Sections that are merged name by name."""
WHOLE = ("car", "driver", "belts", "seat", "shell", "bench_first", "shop", "note")
"""Sections that stand in one file."""
OWN = ("cagewright", "title")
"""Keys that only the plan's own file has."""
Model = TypeVar("Model", bound=BaseModel)


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanReading:
    """What came of reading a plan.

    ``plan`` is None where there are problems; ``sections`` leaves entries with problems out.
    """

    plan: Plan | None
    sections: Sections
    sources: Sources
    problems: tuple[Problem, ...]


def read_plan(path: Path | str) -> Plan:
    """The plan in the file and the files it includes.

    Raises:
        ProblemsFound: every problem of all its files.
    """
    return plan_or_problems(reading_of(Path(path)))


def read_plan_text(text: str, *, file: str = "plan", folder: Path | None = None) -> Plan:
    """The plan in the text.

    Without the folder in which included files are looked for, includes are a problem.

    Raises:
        ProblemsFound: every problem of all its files.
    """
    return plan_or_problems(reading_of_source(parse(text, file=file), folder))


def plan_or_problems(reading: PlanReading) -> Plan:
    """The plan that was read.

    Raises:
        ProblemsFound: there are problems.
    """
    if reading.plan is None:
        raise ProblemsFound(reading.problems)
    return reading.plan


def reading_of(path: Path) -> PlanReading:
    """What comes of reading the file, problems and all."""
    return reading_of_source(load(path, file=path.as_posix()), path.parent)


def reading_of_source(main: Source, folder: Path | None) -> PlanReading:
    """What comes of reading the plan in ``main`` with included files from ``folder``."""
    if not main.readable:
        sources = Sources(main=main)
        return PlanReading(plan=None, sections=Sections(), sources=sources, problems=main.problems)
    files = gather(main, folder)
    problems = [*main.problems, *files.problems]
    parts = [_part(source, main, problems) for source in files.sources]
    sources = _homes(main, files.sources, problems)
    sections = _merged(parts)
    known = known_names(files.sources)
    if not files.whole:
        return PlanReading(plan=None, sections=sections, sources=sources, problems=tuple(problems))
    if not any("members" in source.data for source in files.sources):
        problems.append(_no_members(main))
    report = ProblemReport(sources=sources)
    check_names(sections, known, report)
    check_loops(sections, report)
    check_sense(sections, report)
    problems.extend(report.problems())
    plan = None if problems else _plan(parts[-1], sections, sources)
    return PlanReading(plan=plan, sections=sections, sources=sources, problems=tuple(problems))


def _plan(main: Sections, sections: Sections, sources: Sources) -> Plan:
    said = {key: getattr(sections, key) for key in sections.model_fields_set}
    title = main.title if isinstance(main, Plan) else ""
    return Plan.model_construct(cagewright=1, title=title, **said).read_from(sources)


def _part(source: Source, main: Source, problems: list[Problem]) -> Sections:
    data, is_main = dict(source.data), source is main
    units = (source if source.data.get("units") in ("mm", "in") else main).units
    if not is_main:
        problems.extend(_not_here(source, key) for key in OWN if data.pop(key, None) is not None)
    part, found = checked(data, source, Plan if is_main else Sections, Sections, units=units)
    problems.extend(found)
    return part


def _not_here(source: Source, key: str) -> Problem:
    return Problem(
        code="not-here",
        where=where_at(source, (key,), point="key"),
        found=f"an included file has the key '{key}'",
        wanted="wanted it only in the plan that includes the file",
    )


def checked(
    data: Mapping[str, Any], source: Source, model: type[Model], rest: type[Model], *, units: str
) -> tuple[Model, list[Problem]]:
    """The data as a model with the problems found; entries with problems are left out of it.

    ``rest`` is the model without mandatory keys, for what is left when some are wrong.
    """
    context = {"units": units}
    problems: list[Problem] = []
    kind = model
    for _ in range(4):
        try:
            return kind.model_validate(data, context=context), problems
        except ValidationError as wrong:
            problems = problems or problems_of(wrong, source, model)
            data = _without(
                data, {e["loc"][:2] for e in wrong.errors(include_url=False, include_input=False)}
            )
            data = {key: value for key, value in data.items() if key in rest.model_fields}
            kind = rest
    return rest.model_validate({}), problems


def _without(data: Mapping[str, Any], bad: Iterable[tuple[str | int, ...]]) -> dict[str, Any]:
    """The data less its bad entries: by name in sections of names, whole sections elsewhere."""
    names: dict[str, set[str | int]] = {}
    whole: set[str] = set()
    for section, *name in bad:
        if section in BY_NAME and name:
            names.setdefault(str(section), set()).add(name[0])
        else:
            whole.add(str(section))
    left = {key: _but(value, names.get(key)) for key, value in data.items() if key not in whole}
    return {key: value for key, value in left.items() if key not in names or value}


def _but(entries: Any, names: set[str | int] | None) -> Any:
    if names is None or not isinstance(entries, dict):
        return entries
    return {key: value for key, value in cast("dict[str, Any]", entries).items() if key not in names}


def _homes(main: Source, files: Iterable[Source], problems: list[Problem]) -> Sources:
    homes: dict[tuple[str, str], Source] = {}
    for source in files:
        for key in _held(source.data):
            if key in homes:
                problems.append(_twice(key, source, homes[key]))
            else:
                homes[key] = source
    return Sources(main=main, homes=homes)


def _held(data: Map) -> list[tuple[str, str]]:
    whole = [(key, "") for key in WHOLE if key in data]
    named = [(key, name) for key in BY_NAME if isinstance(data.get(key), Map) for name in data[key]]
    return whole + named


def _twice(key: tuple[str, str], source: Source, first: Source) -> Problem:
    keys = tuple(k for k in key if k)
    return Problem(
        code="defined-twice",
        where=where_at(source, keys, point="key"),
        found=f"{label_of(keys)} is also at {where_at(first, keys, point='key')}",
        wanted="wanted it in one file only",
    )


def _merged(parts: Sequence[Sections]) -> Sections:
    """The parts as one; the last is the plan's own file, whose units and includes it has."""
    said: dict[str, Any] = {}
    for part in parts:
        for key in part.model_fields_set.difference(OWN, () if part is parts[-1] else ("units", "include")):
            value = getattr(part, key)
            said[key] = {**said.get(key, {}), **value} if key in BY_NAME else value
    return Sections.model_construct(**said)


def _no_members(main: Source) -> Problem:
    return Problem(
        code="missing-key",
        where=where_at(main, ()),
        found="the plan has no 'members'",
        wanted="wanted 'members: ...' here or in an included file",
    )
