"""Hold points: what stands open before an act that cannot be taken back."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Literal, get_args

from cagewright.base.answers import Answer
from cagewright.base.names import named, shown
from cagewright.check.torch.findings import ACCESS
from cagewright.fitup.order import BuildStep, Where
from cagewright.job.against import UNCHECKED, UNNAMED, names_in
from cagewright.job.findings import check_findings
from cagewright.job.opening import Job
from cagewright.job.order import steps_of
from cagewright.job.record import Hand, LineAnswer, keep_note
from cagewright.records.fitting import when
from cagewright.records.jobs import history
from cagewright.records.opening import opened
from cagewright.records.types import RecordEntry

Act = Literal["leave-bench", "weld-solid", "push-up", "close", "paint"]
ToDo = Literal["tack", "check", "weld", "read"]
ACTS: tuple[Act, ...] = get_args(Act)
WORDS: dict[Act, str] = {
    "leave-bench": "the bench's work leaves the bench", "weld-solid": "the tacked cage is welded solid",
    "push-up": "the cage is pushed up into its place", "close": "a cavity is closed",
    "paint": "it is painted",
}  # fmt: skip
DONE: dict[ToDo, str] = {"tack": "tacked", "check": "checked", "weld": "welded", "read": "read"}
NOTHING_OPEN = "nothing open on this list"
NOTHING_ASKED = "cannot tell: the build order has no step that this ends, so the list is empty"
_LAST: dict[Act, tuple[Where, ...]] = {"leave-bench": ("bench",), "push-up": ("dropped", "slid")}
"""The states that the act ends: what only they let a torch reach is not reached afterwards."""


@dataclass(frozen=True, slots=True, kw_only=True)
class HoldLine:
    """One thing that has to be there before the act.

    Attributes:
        what: a tube, joint, foot or step's number, as the plan has it.
        done: what is to be done to it; ``read`` is a reading at that step since the last pull.
        words: the same as it is read.
        line: of the record that shows it; None where it is open.
    """

    what: str
    done: ToDo
    words: str
    line: int | None


@dataclass(frozen=True, slots=True, kw_only=True)
class HoldAnswer(Answer):
    """What stands open before an act that cannot be taken back; never that it may be done.

    Attributes:
        title: of the plan.
        revision: its mark.
        act: which.
        before: the same in words: ``it is painted``.
        lines: all that is asked before it.
        unreached: welds, with the arcs that no torch reaches afterwards.
        against: the plan revision that it was checked against, or that it was not.
        strange: ticks of what the plan has not, in words; empty where it was not checked.
    """

    title: str
    revision: str
    act: Act
    before: str
    lines: tuple[HoldLine, ...]
    unreached: tuple[str, ...]
    against: str
    strange: tuple[str, ...]

    @property
    def open(self) -> tuple[HoldLine, ...]:
        """The lines that stand open."""
        return tuple(line for line in self.lines if line.line is None)


def asked_before(act: Act, steps: Iterable[BuildStep]) -> Iterator[tuple[str, ToDo]]:
    """What is asked before an act: a tube, weld or step, and what has to be done to it.

    Common practice, no source: what leaves a state is tacked, welded and read in it; nothing is welded solid
    that was not read since it was last pulled; nothing is closed or painted that is not welded.
    """
    for step in steps:
        mine = step.where in _LAST.get(act, ("bench", "car", "dropped", "slid"))
        if mine and act in {"leave-bench", "weld-solid"}:
            yield from _each(step.tack, "tack")
            if step.tack:
                yield str(step.number), "read"
        if mine and act != "weld-solid":
            yield from _each(step.weld, "weld")
        if act == "paint":
            yield from _each(step.weld, "check")


def _each(names: Iterable[str], done: ToDo) -> Iterator[tuple[str, ToDo]]:
    return ((name, done) for name in names)


def held(asked: Iterable[tuple[str, ToDo]], entries: Iterable[RecordEntry]) -> tuple[HoldLine, ...]:
    """What is asked, each with the newest line of the record that shows it.

    A reading or a check from before the last pull shows nothing: what was pulled stands elsewhere since.
    """
    used = sorted((e for e in entries if e.used), key=when)
    pulls = [when(e) for e in used if (e.kind, e.text) == ("tick", "pull")]
    after = max(pulls, default=("", 0))
    return tuple(_line(what, done, used, after) for what, done in dict.fromkeys(asked))


def _line(what: str, done: ToDo, used: list[RecordEntry], after: tuple[str, int]) -> HoldLine:
    def shows(entry: RecordEntry) -> bool:
        if done == "read":
            return entry.kind == "reading" and entry.step == what and when(entry) > after
        mine = (entry.kind, entry.text, named(entry.subject, [what])) == ("tick", done, what)
        return mine and (done != "check" or when(entry) > after)

    said = f"step {what} read since the last pull" if done == "read" else f"{shown(what)} {DONE[done]}"
    return HoldLine(
        what=what, done=done, words=said, line=next((e.id for e in reversed(used) if shows(e)), None)
    )


def headline_of(lines: Sequence[HoldLine]) -> str:
    """How many lines stand open; a list on which nothing is asked is told from one with nothing open."""
    if not lines:
        return NOTHING_ASKED
    count = sum(line.line is None for line in lines)
    return f"open: {count} of {len(lines)}" if count else NOTHING_OPEN


def hold_of(where: str, name: str, act: Act, job: Job, moves: Mapping[str, int] | None = None) -> HoldAnswer:
    """What stands open of a job before the act.

    Args:
        where: the record.
        name: the job's.
        act: what is about to be done.
        job: the plan on the bench, opened.
        moves: tubes that the builder tacks at another step.

    Raises:
        ProblemsFound: there is no such job, the record is damaged, or the scan cannot be used.
    """
    with opened(where) as record:
        found = history(record, name)
    steps = steps_of(job, moves)
    lines = held(asked_before(act, steps), found.current)
    marks = [r.mark for r in found.revisions][-1:]
    checked = marks == [job.cage.revision]
    strange = tuple(strange_in(job, steps, found.current)) if checked else ()
    return HoldAnswer(
        headline=headline_of(lines),
        level="fine" if checked and lines and not strange and _done(lines) else "look at",
        cautions=("What the record shows, not what the car does: whoever goes on decides.",),
        title=job.cage.title,
        revision=job.cage.revision,
        act=act,
        before=WORDS[act],
        lines=lines,
        unreached=tuple(_unreached(job, act, steps)),
        against=f"checked against revision {marks[0]}" if checked else UNCHECKED,
        strange=strange,
    )


def _done(lines: Iterable[HoldLine]) -> bool:
    return all(line.line is not None for line in lines)


def strange_in(job: Job, steps: Iterable[BuildStep], entries: Iterable[RecordEntry]) -> Iterator[str]:
    """The ticks of what the plan has not, and the lines of steps that there are not."""
    numbers = {str(s.number) for s in steps}
    known = (*names_in(job.cage), *numbers, *(f"step {n}" for n in numbers))
    for e in entries:
        if e.kind == "tick" and e.text not in UNNAMED and named(e.subject, known) not in known:
            yield f"line {e.id} ticks '{e.subject}', which this plan has not"
        if e.kind in {"tick", "reading"} and e.step and e.step not in numbers:
            yield f"line {e.id} is of step {e.step}, and there are {len(numbers)}"


def _unreached(job: Job, act: Act, steps: Iterable[BuildStep]) -> Iterator[str]:
    """The welds of the states that the act ends, or those that no torch gets round at all."""
    ends = _LAST.get(act, ())
    mine: Callable[[str], bool] = {w for s in steps if s.where in ends for w in s.weld}.__contains__
    for f in check_findings(job):
        welds = (*f.where.joints, *f.where.feet)
        never = f.verdict in {"fail", "look at"}
        only = bool(f.measured and "only " in f.measured.said)
        if f.rule == ACCESS and (never or (only and any(map(mine, welds)))):
            said = f.advice if never else (f.measured.said if f.measured else "")
            yield f"{', '.join(map(shown, welds))}: {said}"


def go_on(where: str, name: str, answer: HoldAnswer, *, why: str, hand: Hand) -> LineAnswer:
    """The note that somebody went on with lines open, by name and with the reason.

    Raises:
        ProblemsFound: nobody is named, no reason is given, or the record cannot be written.
    """
    left = "; ".join(line.words for line in answer.open)
    text = f"went on before {answer.before}: {why.strip()}; open: {left}" if why.strip() else ""
    return keep_note(where, name, text[:2000], of=answer.act, hand=hand)
