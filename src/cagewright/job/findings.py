"""The findings of the rule books and of our own checks, as one answer."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Callable, Hashable, Iterable, Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType
from typing import Any

from cagewright.base.answers import Answer, Value, worst
from cagewright.base.curves import point_at
from cagewright.base.names import shown
from cagewright.base.plain import plain
from cagewright.base.problems import Problem, ProblemsFound, nearest_word
from cagewright.check.belts.findings import belts_findings
from cagewright.check.belts.mounts import mount_findings
from cagewright.check.bench_of import bench_of
from cagewright.check.body.findings import body_findings
from cagewright.check.findings import (
    CAUTION,
    LEVEL,
    NO_SOURCE,
    Finding,
    Judge,
    Known,
    Location,
    Verdict,
    any_failed,
    said_verdict,
    stamp,
    tally,
    worst_first,
)
from cagewright.check.judge import check_books
from cagewright.check.library import find_books
from cagewright.check.practice import PRACTICES, practice_findings
from cagewright.check.rules import Book
from cagewright.check.sight.findings import sight_findings
from cagewright.check.torch.findings import torch_findings, unreached
from cagewright.check.torch.poses import torch_with
from cagewright.job.actions import ACTED_ON, Action, Told, actions_of, names_of
from cagewright.job.opening import Job, Step, no_progress, scan_of
from cagewright.job.order import torch_stages
from cagewright.job.padding import Padding, padding_of
from cagewright.plan.types import Plan, where_of
from cagewright.shape.types import Cage, Member

HOW_KNOWN: Mapping[Known, str] = MappingProxyType({
    "read": "read in the book",
    "restated": "restated by two sources, not read in the book",
    "restated once": "restated once, not read in the book: what is kept by it only looks kept",
    "remembered": "from memory, unchecked: read the clause in the current book; it neither passes nor fails",
    "computed": "computed",
    "shop": "your own: from the plan, the shop file or the belt maker's sheet",
})  # fmt: skip
"""How a figure is known, in words."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FindingPlace:
    """Where a finding is.

    Attributes:
        words: as the builder reads it.
        members: names of the tubes it names.
        tubes: every tube it is about: named, cut at its joints, or standing on its feet.
        point: of its mark (back, across, up), mm; None for the whole cage.
    """

    words: str
    members: tuple[str, ...]
    feet: tuple[str, ...]
    joints: tuple[str, ...]
    tubes: tuple[str, ...]
    point: tuple[float, float, float] | None


@dataclass(frozen=True, slots=True, kw_only=True)
class FindingRow:
    """One verdict of one rule or check, as it is read.

    Attributes:
        id: the same after a change elsewhere in the plan.
        verdict: one of the seven.
        said: the same as its judge calls it.
        rule: the row's or check's id.
        clause: as the book numbers it.
        source: clause and book in one.
        measured: what was measured, or None.
        known: how the limit is known.
        how_known: the same in words.
        why: what decided, or what was assumed.
        words: place, title, measured and limit in one line.
    """

    id: str
    judge: Judge
    verdict: Verdict
    said: str
    book: str
    edition: str
    rule: str
    clause: str
    source: str
    title: str
    measured: Value | None
    limit: str
    where: FindingPlace
    known: Known
    how_known: str
    why: str
    advice: str
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class FindingCount:
    """How many findings of one judge are called so.

    Attributes:
        verdict: the worst that is called so.
        said: as the judge calls it.
    """

    judge: Judge
    verdict: Verdict
    said: str
    number: int


@dataclass(frozen=True, slots=True, kw_only=True)
class FindingsAnswer(Answer):
    """What the rule books and our own checks find; the headline is the stamp of every paper.

    Attributes:
        books: ids of the rule books that the plan's car answers to.
        counts: for each judge and what it calls a verdict, the worst first; also where there are none.
        actions: what to do, in the order of what it costs the builder.
        rest: how many findings ask for nothing, in words.
        padding: the padding list; None in an answer of the rule books alone.
        rows: the findings, worst first.
    """

    title: str
    revision: str
    books: tuple[str, ...]
    counts: tuple[FindingCount, ...]
    actions: tuple[Action, ...]
    rest: str
    padding: Padding | None
    rows: tuple[FindingRow, ...]
    failed: bool


def findings(job: Job, *, step: Step = no_progress) -> FindingsAnswer:
    """The answer of every book and check.

    Raises:
        ProblemsFound: a book, the scan or a switch is not as it should be.
    """
    key = ("findings", judged_by(job))
    return job.cache.get(key, lambda: _answer(job, findings_of(job, step=step), padding_in(job)))


def judged_by(job: Job) -> Hashable:
    """What findings hang on: the plan with its files, and the rule books as they are now.

    Raises:
        ProblemsFound: a book is not known or has problems of its own.
    """
    return job.key, repr(_books(job))


def book_findings(job: Job) -> FindingsAnswer:
    """The answer of the rule books alone, which come at once.

    Raises:
        ProblemsFound: a book is not known or has problems of its own.
    """
    return _answer(job, rule_findings(job))


def one_book(job: Job, name: str) -> FindingsAnswer:
    """The answer of one of the rule books that the plan names.

    Raises:
        ProblemsFound: the plan does not name it, or it has problems of its own.
    """
    named = job.plan.car.rules if job.plan.car else ()
    if name not in named:
        raise ProblemsFound([
            Problem(
                code="other-book", where=where_of(job.plan, ("car", "rules")),
                found=f"the car does not answer to '{name}'",
                wanted=f"wanted one of {', '.join(named)}" if named else "wanted one under car: rules",
                nearest=nearest_word(name, named),
            )
        ])  # fmt: skip
    book = find_books((name,), job.path.parent, where_of(job.plan, ("car", "rules")))[0].id
    return _answer(job, tuple(f for f in rule_findings(job) if f.book == book))


def own_findings(job: Job, *, step: Step = no_progress) -> FindingsAnswer:
    """The answer of everything but the rule books, which takes seconds.

    Raises:
        ProblemsFound: the scan or a switch is not as it should be.
    """
    return _answer(job, check_findings(job, step=step), padding_in(job))


def checks_work(job: Job, asked: dict[str, Any], step: Step = no_progress) -> dict[str, Any]:
    """The answer of ``own_findings`` for a page, with the revision it is of.

    Args:
        job: the plan.
        asked: nothing.
        step: told what is being done.
    """
    return plain(own_findings(job, step=step))


def _answer(job: Job, found: tuple[Finding, ...], padding: Padding | None = None) -> FindingsAnswer:
    read = reader_of(job.cage)
    quiet = sum(f.verdict not in ACTED_ON for f in found)
    rows = tuple(_rows(job.cage, found, read))
    return FindingsAnswer(
        headline=stamp(found),
        level=worst(tuple(LEVEL[f.verdict] for f in found)),
        cautions=(CAUTION,),
        title=job.cage.title,
        revision=job.cage.revision,
        books=tuple(job.plan.car.rules if job.plan.car else ()),
        counts=tuple(_counts(found)),
        actions=actions_of(job.cage, map(_told, rows, found), read),
        rest=f"{quiet} more findings ask for nothing",
        padding=padding,
        rows=rows,
        failed=any_failed(found),
    )


def _counts(found: Iterable[Finding]) -> Iterable[FindingCount]:
    for judge, counts in tally(found).items():
        by_word: dict[str, list[Verdict]] = {}
        for verdict in counts:
            by_word.setdefault(said_verdict(verdict, judge), []).append(verdict)
        for said, verdicts in by_word.items():
            number = sum(counts[verdict] for verdict in verdicts)
            yield FindingCount(judge=judge, verdict=verdicts[0], said=said, number=number)


def _told(row: FindingRow, finding: Finding) -> Told:
    measured = row.measured.said if row.measured else ""
    return Told(
        id=row.id, finding=finding, tubes=row.where.tubes, source=row.source, measured=measured,
        limit=row.limit,
    )  # fmt: skip


def _rows(cage: Cage, found: Iterable[Finding], read: Callable[[str], str]) -> Iterable[FindingRow]:
    seen: Counter[str] = Counter()
    for f in found:
        names = ",".join((*f.where.members, *f.where.feet, *f.where.joints))
        name = ":".join((f.book, f.rule, names, f.where.part)).rstrip(":")
        seen[name] += 1
        yield _row(cage, f, name if seen[name] == 1 else f"{name}#{seen[name]}", read)


def _row(cage: Cage, f: Finding, name: str, read: Callable[[str], str]) -> FindingRow:
    where, title, limit = read(str(f.where)), read(f.title), read(f.limit)
    measured = f.measured and replace(f.measured, said=read(f.measured.said))
    said = f": {measured.said}" if measured and measured.said else ""
    return FindingRow(
        id=name,
        judge=f.judge,
        verdict=f.verdict,
        said=said_verdict(f.verdict, f.judge),
        book=f.book,
        edition=f.edition,
        rule=f.rule,
        clause=f.clause,
        source=_source(f),
        title=title,
        measured=measured,
        limit=limit,
        where=_place(cage, f.where, where),
        known=f.known,
        how_known=NO_SOURCE if NO_SOURCE in f.why else HOW_KNOWN[f.known],
        why=read(f.why),
        advice=read(f.advice),
        words=f"{where}, {title}{said}" + (f" ({limit})" if limit else ""),
    )


def _source(f: Finding) -> str:
    """Clause and book; of an own check without a clause that it is one: its id says nothing to a builder."""
    if f.judge == "own check" and f.clause == f.rule:
        return "own check"
    if not f.clause or f.clause == f.book:
        return f.book
    return f.clause if f.clause == NO_SOURCE else f"{f.clause} ({f.book})"


def reader_of(cage: Cage) -> Callable[[str], str]:
    """Writes the plan's names in a text as they are read: ``main_hoop`` as ``main hoop``."""
    names = sorted({n for n in names_of(cage) if {"_", "."} & {*n}}, key=len, reverse=True)
    if not names:
        return str
    found = re.compile(rf"\b(?:{'|'.join(map(re.escape, names))})\b")
    return lambda text: found.sub(lambda name: shown(name[0]), text)


def _place(cage: Cage, where: Location, words: str) -> FindingPlace:
    point = _mark(cage, where)
    return FindingPlace(
        words=words,
        members=where.members,
        feet=where.feet,
        joints=where.joints,
        tubes=tubes_of(cage, where),
        point=None if point is None else (round(point[0], 2), round(point[1], 2), round(point[2], 2)),
    )


def tubes_of(cage: Cage, where: Location) -> tuple[str, ...]:
    """The tubes that a place is about: those it names, the branches of its joints, and those on its feet."""
    branches = (name.split(".")[0] for name in where.joints)
    landed = (m for foot in cage.feet if foot.name in where.feet for m in foot.members)
    known = {m.name for m in cage.members}
    return tuple(name for name in dict.fromkeys((*where.members, *branches, *landed)) if name in known)


def _mark(cage: Cage, where: Location) -> tuple[float, ...] | None:
    """Where its mark stands: the place meant, else the joint, the foot, or the first member's middle."""
    if where.point is not None:
        return where.point
    for joint in (j for j in cage.joints if j.name in where.joints):
        return tuple(joint.point.tolist())
    for foot in (f for f in cage.feet if f.name in where.feet):
        return tuple(foot.point.tolist())
    for member in (m for m in cage.members if m.name in where.members):
        return tuple(point_at(member.path, _along(member, where.part)).tolist())
    return None


def _along(member: Member, part: str) -> float:
    """The middle of the part of a tube, mm along its path."""
    word, _, number = part.partition(" ")
    if word == "bend" and number.isdigit() and 0 < int(number) <= len(member.bends):
        bend = member.bends[int(number) - 1]
        return 0.5 * (bend.start + bend.stop)
    return {"start": 0.0, "end": 1.0}.get(part, 0.5) * member.path.length


def padding_in(job: Job) -> Padding:
    """The padding list by the rule books that the plan names.

    Raises:
        ProblemsFound: a book is not known or has problems of its own.
    """
    return job.cache.get(("padding", judged_by(job)), lambda: padding_of(job.cage, _books(job)))


def _books(job: Job) -> tuple[Book, ...]:
    names = job.plan.car.rules if job.plan.car else ()
    return find_books(names, job.path.parent, where_of(job.plan, ("car", "rules")))


def rule_findings(job: Job, own: Iterable[Finding] = ()) -> tuple[Finding, ...]:
    """The findings of the rule books that the plan's car answers to, worst first.

    Where ``own`` checks are given, rows that ask for welds all round name those that no torch gets round.

    Raises:
        ProblemsFound: a book is not known or has problems of its own.
    """
    books = _books(job)
    bench = replace(bench_of(job.plan, job.cage), unreached=unreached(own))
    key = (job.key, repr(books), repr(bench.unreached))
    return worst_first(job.cache.get(("rules", key), lambda: check_books(job.cage, books, bench)))


def check_findings(job: Job, *, step: Step = no_progress) -> tuple[Finding, ...]:
    """The findings of everything but the rule books: body, driver, torch, belts, mounts, sight and practice.

    Raises:
        ProblemsFound: the scan cannot be used, or a practice check is switched that there is not.
    """
    switches = _switches(job.plan)
    return job.cache.get(("checks", job.key), lambda: _checked(job, switches, step))


def _checked(job: Job, switches: dict[str, bool], step: Step) -> tuple[Finding, ...]:
    step("reading the scan", 0.1)
    cage, scan = job.cage, scan_of(job)
    step("body and driver", 0.3)
    body = body_findings(cage, scan)
    step("torch access", 0.5)
    torch = torch_findings(cage, scan, stages=torch_stages(job), torch=torch_with(job.shop.nozzle))
    step("belts, sight and practice", 0.9)
    seat = (*belts_findings(cage), *mount_findings(cage), *sight_findings(cage))
    return worst_first((*body, *torch, *seat, *practice_findings(cage, switches)))


def _switches(plan: Plan) -> dict[str, bool]:
    unknown = [name for name in plan.practice if name not in PRACTICES]
    if unknown:
        raise ProblemsFound(
            Problem(
                code="unknown-practice",
                where=where_of(plan, ("practice", name)),
                found=f"there is no practice check '{name}'",
                wanted=f"wanted one of {', '.join(PRACTICES)}",
                nearest=nearest_word(name, PRACTICES),
            )
            for name in unknown
        )
    return plan.practice


def findings_of(job: Job, *, step: Step = no_progress) -> tuple[Finding, ...]:
    """Every finding: the rule books' and the checks', worst first.

    Raises:
        ProblemsFound: a book, the scan or a switch is not as it should be.
    """
    own = check_findings(job, step=step)
    step("rule books", 1.0)
    return worst_first((*rule_findings(job, own), *own))
