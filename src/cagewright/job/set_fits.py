"""Sets of bent tubes against bodies and their rule books: which fits where, with which trims, and why not."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Literal

from cagewright.base.answers import Answer, Level, Sentence
from cagewright.base.names import listed, shown
from cagewright.base.problems import ProblemsFound, Where
from cagewright.base.sheet import Column, Table
from cagewright.base.units import LengthUnit
from cagewright.check.library import find_books
from cagewright.job.draft import CAUTION, judged
from cagewright.job.set_change import OneSize, best_sizes, changed_set, sizes_to_try
from cagewright.job.set_draft import SetDraftAnswer, SetInBody, set_draft_answer, set_in_body
from cagewright.job.survey import OpenSurvey
from cagewright.plan.tube_set import SetFile, TubeSet, read_set

Fits = Literal["fits", "with trims", "does not", "cannot tell"]
LEVELS: dict[Fits, Level] = {
    "fits": "fine", "with trims": "look at", "does not": "fail", "cannot tell": "cannot tell",
}  # fmt: skip
TOLD = 3
"""So many reasons are told in one place of the table."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SetInBodyCell:
    """One set in one body.

    Attributes:
        bought: the set's file.
        body: the survey's file.
        fits: whether all its tubes have their place as the body is, once it is trimmed, or not.
        placed: how many of its tubes have their place, of how many; None where it cannot be told.
        why: reasons, the first ones.
        rules: what each rule book that the survey names says of the cage.
    """

    bought: str
    body: str
    fits: Fits
    placed: tuple[int, int] | None
    why: tuple[str, ...]
    rules: tuple[Sentence, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class SetsAnswer(Answer):
    """Every set in every body, sets by rows; ``change`` is which one size to change, where that was asked."""

    sets: tuple[str, ...]
    bodies: tuple[str, ...]
    cells: tuple[SetInBodyCell, ...]
    change: tuple[Sentence, ...] = ()


def sets_in_bodies(sets: Sequence[Path], surveys: Sequence[OpenSurvey]) -> SetsAnswer:
    """Each set placed in each body by itself, and judged by the rule books that the survey names."""
    cells = tuple(_cell(one, body) for one in sets for body in surveys)
    served = {
        one.name: sum(c.bought == one.name and c.fits in ("fits", "with trims") for c in cells)
        for one in sets
    }
    most, unknown = max(served.values(), default=0), sum(c.fits == "cannot tell" for c in cells)
    best = [name for name, count in served.items() if count == most > 0]
    many = "serve" if len(best) > 1 else "serves"
    told = f"{' and '.join(best)} {many} the most bodies: {most} of {len(surveys)}" if best else ""
    open_still = f"; {unknown} of {len(cells)} cannot be told" if unknown else ""
    none: Level = "cannot tell" if unknown else "fail"
    return SetsAnswer(
        headline=(told or "for no set was a place found for all its tubes in a body") + open_still,
        level="fine" if best else none,
        cautions=(CAUTION,),
        sets=tuple(one.name for one in sets),
        bodies=tuple(body.path.name for body in surveys),
        cells=cells,
    )


def one_size(answer: SetsAnswer, sets: Sequence[Path], surveys: Sequence[OpenSurvey]) -> SetsAnswer:
    """The same with which one size of a set to change so that it serves more bodies than any does now.

    Tried is each straight of a tube that does not suit somewhere, as each body's own draft has it and half
    way between two of these; every try is placed as a set is.
    """
    now = max((_served(answer, one.name) for one in sets), default=0)
    read = {body.path.name: body for body in surveys if body.survey is not None}
    units: LengthUnit = surveys[0].units if surveys else "mm"
    files: dict[str, SetFile] = {}
    tries: list[OneSize] = []
    for path in sets:
        try:
            bought = read_set(path)
            placed = {name: _placed(bought, body) for name, body in read.items()}
        except ProblemsFound:
            continue
        files[path.name] = bought.file
        tries += sizes_to_try(path.name, placed)

    def serves(size: OneSize, body: str) -> bool:
        changed = TubeSet(file=changed_set(files[size.bought], size))
        try:
            return verdict(set_draft_answer(_placed(changed, read[body])))[0] in ("fits", "with trims")
        except ProblemsFound:
            return False

    found, most = best_sizes(tries, list(read), serves, now=now)
    said = [Sentence(words=f"{s.words(units)}: then {most} of {len(surveys)} bodies", about=(s.tube,))
            for s in found]  # fmt: skip
    none = f"no one size of {len(tries)} tried makes a set serve more than {now} of {len(surveys)} bodies"
    return replace(answer, change=tuple(said) or (Sentence(words=none, level="look at"),))


def _served(answer: SetsAnswer, bought: str) -> int:
    return sum(c.bought == bought and c.fits in ("fits", "with trims") for c in answer.cells)


def _placed(bought: TubeSet, survey: OpenSurvey) -> SetInBody:
    if survey.survey is None:
        raise ProblemsFound(survey.problems)
    return set_in_body(survey.survey, bought, survey.path.parent, name=survey.path.name)


def _cell(bought: Path, survey: OpenSurvey) -> SetInBodyCell:
    try:
        placed = _placed(read_set(bought), survey)
    except ProblemsFound as wrong:
        why = tuple(f"{p.where}: {p.found}; {p.wanted}" for p in wrong.problems[:TOLD])
        return SetInBodyCell(
            bought=bought.name, body=survey.path.name, fits="cannot tell", placed=None, why=why, rules=()
        )
    answer = set_draft_answer(placed)
    fits, why = verdict(answer)
    return SetInBodyCell(
        bought=bought.name, body=survey.path.name, fits=fits,
        placed=(sum(row.level != "fail" and bool(row.member) for row in answer.tubes), len(answer.tubes)),
        why=why, rules=_rules(placed, survey),
    )  # fmt: skip


def verdict(answer: SetDraftAnswer) -> tuple[Fits, tuple[str, ...]]:
    """Whether a placed set fits, and the reasons where not as the body is."""
    out = [f"{shown(r.tube)}: {r.says}" for r in answer.tubes if r.level in ("fail", "cannot tell")]
    rows = answer.trims.trims if answer.trims else ()
    out += [f"{r.member}: {r.said}" for r in rows if r.standing == "never"]
    if out:
        return "does not", _some(out)
    trims = [s.words for s in answer.body] + [f"{r.member}: {r.said}" for r in rows]
    trims += [f"{shown(r.tube)}: {r.says}" for r in answer.tubes if r.level == "look at"]
    return ("with trims", _some(trims)) if trims else ("fits", ())


def _some(reasons: list[str]) -> tuple[str, ...]:
    more = len(reasons) - TOLD
    return (*reasons[:TOLD], *([f"and {more} more"] if more > 0 else []))


def _rules(placed: SetInBody, survey: OpenSurvey) -> tuple[Sentence, ...]:
    cage = placed.made.cage
    if cage is None:
        return ()
    books = find_books(placed.file.car.rules, survey.path.parent, Where(file=survey.path.name))
    return tuple(judged(cage, book) for book in books)


def sets_table(answer: SetsAnswer) -> Table:
    """Sets by rows, bodies by columns."""
    by = {(c.bought, c.body): c for c in answer.cells}
    rows = tuple((one, *(_said(by[one, body]) for body in answer.bodies)) for one in answer.sets)
    return Table(title="", columns=tuple(Column(head=h) for h in ("set", *answer.bodies)), rows=rows)


def _said(cell: SetInBodyCell) -> str:
    count = "" if cell.placed is None else f" ({cell.placed[0]} of {cell.placed[1]} tubes)"
    broken = [s.about[0] for s in cell.rules if s.level != "fine"]
    rules = f"; look at {listed(broken)}" if broken else ""
    return f"{cell.fits}{count}{rules}"
