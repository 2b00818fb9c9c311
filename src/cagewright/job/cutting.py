"""What the shop cuts, bends and welds, as sheets that print: of the whole cage and of each member."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Any

from cagewright.base.answers import Answer, Sentence
from cagewright.base.cautions import CAUTIONS
from cagewright.base.drawing import Drawing
from cagewright.base.names import listed, shown
from cagewright.base.problems import Problem
from cagewright.base.sheet import Column, Sheet, Table
from cagewright.job.opening import Job
from cagewright.make.bending import bend_sheet
from cagewright.make.cells import facts
from cagewright.make.drawn import drawn_sheets, from_the_end
from cagewright.make.numbers import numbers
from cagewright.make.work import Work, to_see_to, work_out
from cagewright.make.wrapdraw import wrap_drawing
from cagewright.make.wraps import Wrap, wrap_of, wraps_of
from cagewright.shape.types import Member


@dataclass(frozen=True, slots=True, kw_only=True)
class WrapToCut:
    """The paper for one end of one member: what it is, what must not be missed, its drawing at 1:1."""

    member: str
    which: str
    title: str
    warnings: tuple[str, ...]
    drawing: Drawing


@dataclass(frozen=True, slots=True, kw_only=True)
class MemberSheet:
    """Everything the shop is told of one member but its bend sheet and wraps."""

    name: str
    shown: str
    bends: int
    tables: tuple[Table, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Cutting(Answer):
    """What the shop cuts, bends and welds.

    Attributes:
        sheets: of the whole cage and of each bent member, in the order they are needed.
        members: each member by itself.
        wraps: of every end that a saw does not make.
        to_see_to: what the shop must see to before it starts.
    """

    title: str
    revision: str
    shop: str
    sheets: tuple[Sheet, ...]
    members: tuple[MemberSheet, ...]
    wraps: tuple[WrapToCut, ...]
    to_see_to: tuple[Sentence, ...]


def work_of(job: Job) -> Work:
    """The shop's numbers: cuts, nesting, bends, saw settings, welds, weights."""
    return job.cache.get(("work", job.key), lambda: work_out(job.cage, job.shop))


def one_wrap(job: Job, member: str, which: str) -> Wrap | None:
    """The wrap of that one end, the same as among all of them; None where a saw makes it.

    Raises:
        KeyError: there is no such end.
    """
    found = next((m for m in job.cage.members if m.name == member), None)
    end = next((e for e in found.ends if e.which == which), None) if found else None
    if found is None or end is None:
        raise KeyError(member)
    joint = next((j for j in job.cage.joints if j.name == end.joint), None)
    starts_at = bend_sheet(found, job.shop).starts_at
    return wrap_of(job.cage, found, end, joint, starts_at=starts_at)


def wraps_in(job: Job) -> tuple[Wrap, ...]:
    """The wrap of every end that is cut, bends numbered as they are made."""
    return job.cache.get(("wraps", job.key), lambda: wraps_of(job.cage, from_end=from_the_end(work_of(job))))


def numbers_of(job: Job) -> dict[str, Any]:
    """Every number of the shop's papers, for programs: mm, degrees, kg."""
    return numbers(work_of(job))


def sentences(problems: Iterable[Problem]) -> tuple[Sentence, ...]:
    """What the shop must see to, a sentence each."""
    return tuple(Sentence(words=f"{p.where}: {p.found}; {p.wanted}", level="look at") for p in problems)


def to_see_to_in(job: Job) -> tuple[Sentence, ...]:
    """What the shop must see to before it starts: tube to buy, dies, straights."""
    return sentences(to_see_to(work_of(job)))


def cutting_of(job: Job) -> Cutting:
    """The shop's sheets, with all that is cut at true scale."""
    return job.cache.get(("cutting", job.key), lambda: _cutting(job))


def _cutting(job: Job) -> Cutting:
    cage, wanting = job.cage, to_see_to_in(job)
    sheets = drawn_sheets(work_of(job))
    count = f"{len(cage.members)} tubes to cut, {sum(bool(m.bends) for m in cage.members)} of them to bend"
    return Cutting(
        headline=f"{count}; {len(wanting)} things to see to first" if wanting else count,
        level="look at" if wanting else "fine",
        cautions=CAUTIONS,
        title=cage.title,
        revision=cage.revision,
        shop=job.shop.name,
        sheets=sheets,
        members=tuple(_member(m, {s.name: s for s in sheets}) for m in cage.members),
        wraps=tuple(_wrap(w, job) for w in wraps_in(job)),
        to_see_to=wanting,
    )


def _wrap(wrap: Wrap, job: Job) -> WrapToCut:
    toward = f", toward {listed(wrap.toward)}" if wrap.toward else ""
    return WrapToCut(
        member=wrap.member, which=wrap.which, title=f"Wrap for the {wrap.which}{toward}",
        warnings=wrap.warnings, drawing=wrap_drawing(wrap, units=job.cage.units),
    )  # fmt: skip


def _member(member: Member, sheets: dict[str, Sheet]) -> MemberSheet:
    """The rows of the whole cage's tables that are about the member; its row of the cut list as facts."""
    name = shown(member.name)
    cut = _rows(sheets["cut_list"].tables[0], 0, name)
    heads = (f"{c.head}, {c.unit}" if c.unit else c.head for c in cut.columns)
    tube = facts("The tube", tuple(zip(heads, cut.rows[0], strict=True))[1:])
    left = replace(tube, columns=(Column(head=""), Column(head="")))
    saws = [_rows(table, 0, name) for table in sheets["cut_list"].tables[1:]]
    welds = _rows(sheets["weld_map"].tables[0], 2, name)
    some = tuple(t for t in (left, *saws, welds) if t.rows)
    return MemberSheet(name=member.name, shown=name, bends=len(member.bends), tables=some)


def _rows(table: Table, column: int, name: str) -> Table:
    return replace(table, rows=tuple(r for r in table.rows if name in r[column].split(", ")))
