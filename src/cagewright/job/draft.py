"""A first plan from a survey: laid out, resolved, and as the text of its file."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from cagewright.base.answers import Answer, Sentence
from cagewright.base.problems import Problem, ProblemsFound, Where
from cagewright.check.body.findings import body_findings
from cagewright.check.findings import Verdict, worst_first
from cagewright.check.judge import check_books
from cagewright.check.library import find_books
from cagewright.check.limits_asked import limits_of
from cagewright.check.rules import Book
from cagewright.draft.layout import NothingToDraft, draft
from cagewright.draft.on_scan import brought_to
from cagewright.draft.scanned import with_scan
from cagewright.draft.telling import GRAVE
from cagewright.draft.written import drafted_text
from cagewright.job.survey import OpenSurvey, in_words
from cagewright.plan.shop import read_shop
from cagewright.plan.survey import Survey, where_read
from cagewright.shape.resolve import resolve
from cagewright.shape.scan import Scan
from cagewright.shape.types import Cage
from cagewright.stock.shop import NO_SHOP

CAUTION = (
    "A drafted layout is a start, not a certificate: check it, and the current rule book of your series; "
    "local codes and the licensed engineer or scrutineer decide."
)


@dataclass(frozen=True, slots=True, kw_only=True)
class DraftAnswer(Answer):
    """A first plan laid out.

    Attributes:
        not_done: what could not be laid out, and why.
        doubts: what the survey leaves open.
        from_scan: readings that were taken from the scan, in words.
        judged: of each rule book, how many of its rows the draft is judged by.
        left: what the plan's own checks and its rule books find in it: fails, and limits looked broken.
    """

    members: int
    not_done: tuple[Sentence, ...]
    judged: tuple[Sentence, ...]
    left: tuple[Sentence, ...]
    doubts: tuple[Sentence, ...]
    from_scan: tuple[str, ...]


def draft_of(survey: OpenSurvey) -> tuple[DraftAnswer, str]:
    """The first plan from a survey's file, and the text of the plan's file.

    Raises:
        ProblemsFound: as for ``drafted``, or the survey's text has problems.
    """
    if survey.survey is None:
        raise ProblemsFound(survey.problems)
    return drafted(survey.survey, survey.path.parent, name=survey.path.name)


def drafted(read: Survey, folder: Path, *, name: str) -> tuple[DraftAnswer, str]:
    """The first plan from the survey, and the text of the plan's file.

    Args:
        read: the survey.
        folder: of its file.
        name: of its file.

    Raises:
        ProblemsFound: readings are missing or impossible, or a book, the shop or the scan cannot be used, or
            what was drafted cannot be built.
    """
    refuse_bare_body(read, name)
    found = with_scan(read, folder)
    whole, taken, scan = found.survey, found.names, found.scan
    shop = read_shop(folder / whole.file.shop) if whole.file.shop else NO_SHOP
    books = find_books(whole.file.car.rules, folder, Where(file=name))
    try:
        made = draft(whole.file, limits_of(books), shop)
    except NothingToDraft as nothing:
        raise ProblemsFound(nothing_drafted(nothing, whole, name)) from None
    if scan is not None:
        made = brought_to(made, scan, shop, gap=whole.file.wishes.gap)
    cage = resolve(made.plan)  # a plan that cannot be built is never written
    left = _left(cage, scan, books)
    open_ = [n for n in made.notes if n.kind in ("slip", "range", "missing", "stood in")]
    answer = DraftAnswer(
        headline=f"{len(cage.members)} members are laid out",
        level="look at" if made.said or left or any(n.kind in GRAVE for n in made.notes) else "fine",
        cautions=(CAUTION,),
        members=len(cage.members),
        judged=tuple(judged(cage, book) for book in books),
        left=left,
        not_done=tuple(Sentence(words=f"{in_words(said)}.", level="look at") for said in made.said),
        doubts=tuple(
            Sentence(
                words=f"{in_words(n.found)}. {in_words(n.advice)}.",
                level="look at" if n.kind in GRAVE or n.matters else "fine",
                about=(n.reading,),
            )
            for n in open_
        ),
        from_scan=tuple(in_words(one) for one in taken),
    )
    return answer, drafted_text(made, name)


def refuse_bare_body(read: Survey, name: str) -> None:
    """Refuses a body by itself: nobody's car and wishes are in it.

    Raises:
        ProblemsFound: it is one.
    """
    if not read.job:
        found, wanted = "this is a body with no job on it", f"wanted a survey that says 'body: {name}'"
        raise ProblemsFound([Problem(code="body-alone", where=Where(file=name), found=found, wanted=wanted)])


def nothing_drafted(nothing: NothingToDraft, survey: Survey, name: str) -> list[Problem]:
    """Why nothing can be drafted, each reading at its place in the survey's file of that name."""
    stops = [n for n in nothing.notes if n.kind in GRAVE or n.matters]
    return [
        Problem(
            code=f"survey-{n.kind}",
            where=where_read(survey, n.reading, n.part),
            found=in_words(n.found),
            wanted=in_words(n.advice),
        )
        for n in stops
    ] or [_no_hoop(name)]


def _left(cage: Cage, scan: Scan | None, books: Sequence[Book]) -> tuple[Sentence, ...]:
    """What the checks of body, driver and rule books find in a drafted cage: each once for both sides."""
    found = (*body_findings(cage, scan), *check_books(cage, books))
    said: dict[str, Sentence] = {}
    for one in worst_first(found):
        if one.verdict in ("fail", "looks broken"):
            measured = one.measured.said if one.measured else one.why
            words = f"{one.rule}, {one.verdict}: {in_words(str(one.where))}: {in_words(measured)}"
            words += f", limit {one.limit}. " if one.limit else ". "
            words += f"{one.advice[:1].upper()}{one.advice[1:]}." if one.advice else ""
            key = words.replace("left", "").replace("right", "")
            level = "fail" if one.verdict == "fail" else "look at"
            said.setdefault(key, Sentence(words=in_words(words.strip()), level=level, about=(one.rule,)))
    return tuple(said.values())


TOLD: frozenset[Verdict] = frozenset({"pass", "fail", "looks kept", "looks broken", "look at"})
"""Verdicts that judge."""


def judged(cage: Cage, book: Book) -> Sentence:
    """How many of the book's rows judge the cage; 'not judged' where none does."""
    rows = {rule.id for rule in book.rules}
    found = [one for one in check_books(cage, [book]) if one.rule in rows]
    told = {one.rule for one in found if one.verdict in TOLD}
    broken = {one.rule for one in found if one.verdict in ("fail", "looks broken")}
    if not told:
        words = f"{book.id}: not judged: none of its {len(book.rules)} rows can be told of this cage."
        return Sentence(words=words, level="look at", about=(book.id,))
    open_ = {one.rule for one in found if one.verdict == "cannot tell"} - told
    words = f"{book.id}: judged by {len(told)} of its {len(book.rules)} rows, {len(broken) or 'none'} broken"
    words += f"; {len(open_)} cannot be told yet." if open_ else "."
    return Sentence(words=words, level="look at" if broken else "fine", about=(book.id,))


def _no_hoop(name: str) -> Problem:
    return Problem(
        code="survey-hoop",
        where=Where(file=name),
        found="the main hoop cannot be laid out inside this section",
        wanted="read the section at the hoop again",
    )
