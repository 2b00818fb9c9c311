"""Alternatives side by side: one answer for the command and the Alternatives page."""

from __future__ import annotations

from collections.abc import Sequence
from concurrent.futures import Executor
from dataclasses import dataclass, fields, replace
from itertools import repeat
from pathlib import Path
from typing import Literal

from cagewright.base.answers import CANNOT_TELL, Answer, Value, difference, figure, price
from cagewright.base.cache import Cache
from cagewright.base.drawing import Drawing
from cagewright.base.problems import ProblemsFound
from cagewright.base.say import Quantity, say
from cagewright.base.sheet import Column, Table
from cagewright.base.units import LengthUnit
from cagewright.check.library import find_books
from cagewright.compare.cases import cases_of
from cagewright.compare.differences import Difference, answer_to, differences
from cagewright.compare.figures import FIGURES, Figure, cut_short
from cagewright.compare.pool import cluster, cores
from cagewright.compare.run import compare as run_study
from cagewright.compare.study import Bill, Comparison, Outcome, same_travel
from cagewright.frame.results import CAUTIONS
from cagewright.job.draft import judged
from cagewright.job.hours import hours_of
from cagewright.job.opening import Job, Step, no_progress
from cagewright.job.ranking import Ranked, draws_words, ranking_of, ranking_picture, ranking_table
from cagewright.job.strength import load_curve
from cagewright.job.strength_figures import end_of
from cagewright.job.strength_types import LoadCurve
from cagewright.job.summary import (
    FOR_COMPARISON,
    SummaryAnswer,
    SummaryRow,
    case_summary,
    summary_table,
)
from cagewright.make.plots import curves_drawing, letter
from cagewright.make.strength_drawing import axes_of, curve_of
from cagewright.plan.alternatives import Alternatives, read_alternatives
from cagewright.plan.types import where_of
from cagewright.shape.body_offset import body_offsets
from cagewright.shape.resolve import resolve
from cagewright.shape.shell import shell_of

SHOWN = ("by_J", "energy_J", "travel_mm", "peak_N", "margin_mm", "joint_N")
"""Figures of the tables; the answer has all of them."""
MOST_SAID = 4
"""Alternatives whose rank is told in the headline; the tables have all."""
CENT = 0.005
"""Half of the least coin: sums nearer than this are the same."""
DIFFERENCES = "-differences"
"""After a push's name: the picture of its differences draw by draw."""
Told = Literal["", "difference", "no difference", "cannot tell"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Compared:
    """One figure of one alternative beside the plan's.

    Attributes:
        change: what it is more than the plan's; None where that cannot be told or nothing differs.
        said: the change as the builder reads it, or ``no difference``, ``cannot tell``; empty for the plan.
        told: which of these it is.
        why: why no difference can be told; empty otherwise.
    """

    key: str
    value: Value
    change: Value | None = None
    said: str = ""
    told: Told = ""
    why: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class ComparedCurve:
    """The load over travel of one alternative; ``cut_short`` where its push stalled."""

    curve: LoadCurve
    cut_short: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class PushedRow:
    """One alternative under one push: its figures as far as it counts, and how it ended."""

    figures: tuple[Compared, ...]
    end: str
    curve: ComparedCurve | None


@dataclass(frozen=True, slots=True, kw_only=True)
class AlternativeRow:
    """One alternative: its letter, mass and cost, what each push did in order, what else to decide by.

    ``summary`` is empty where it was not asked for, or cannot be told.
    """

    letter: str
    name: str
    note: str
    problems: tuple[str, ...]
    mass: Compared
    cost: Compared
    pushes: tuple[PushedRow, ...]
    summary: tuple[SummaryRow, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class ComparedPush:
    """A push of the comparison, and the least difference of each figure that the model can tell.

    ``same`` is the travel by which all are compared, the least that any counts to; ``caption`` says so.
    ``ranking`` is how sure it is which takes up more than the plan; empty where nothing was drawn.
    """

    name: str
    title: str
    same: Value
    caption: str
    ranking: tuple[Ranked, ...]
    ranking_table: Table | None
    resolution: dict[str, Value]


@dataclass(frozen=True, slots=True, kw_only=True)
class AlternativesAnswer(Answer):
    """Alternatives side by side, the plan as it is first.

    Attributes:
        plan: title of the plan.
        assumed: the strength model's switches, by name.
        heads: of the figures, by key.
        tables: the rows laid out.
        notes: what to say beside the tables.
        summary: the summaries laid out, one of the tables; None where they were not asked for.
    """

    title: str
    question: str
    plan: str
    revision: str
    assumed: dict[str, str]
    heads: dict[str, str]
    pushes: tuple[ComparedPush, ...]
    rows: tuple[AlternativeRow, ...]
    tables: tuple[Table, ...]
    notes: tuple[str, ...]
    summary: Table | None = None


def alternatives(
    job: Job,
    path: Path,
    *,
    pushes: Sequence[str] = (),
    draws: int = 0,
    bars: bool = True,
    summary: bool = True,
    scheduler: str | None = None,
    step: Step = no_progress,
) -> tuple[AlternativesAnswer, dict[str, Drawing]]:
    """The plan and the alternatives of a file under their pushes, and their pictures.

    Curves stand under a push's name, differences draw by draw under that and ``DIFFERENCES``.

    Args:
        job: the plan.
        path: the alternatives file.
        pushes: names instead of the file's own.
        draws: how many times each is pushed with what is not known drawn, to see how sure the ranking is.
        bars: work out which bars to buy.
        summary: check each as well, and say what else there is to decide by.
        scheduler: address of a Dask cluster that does the work; the cores of this machine by default.
        step: told what was done.

    Raises:
        ProblemsFound: the file has problems, a change cannot be made, or a push is not known.
    """
    study = read_alternatives(path)
    if pushes:
        study = study.model_copy(update={"pushes": tuple(pushes)})
    beside = judged_table(job, study) if study.plans else None
    with cluster(scheduler) if scheduler else cores() as workers:
        found = run_study(job.plan, study, job.shop, draws=draws, bars=bars, executor=workers, step=step)
        step("rules, sight, torch and doors", 1.0)
        told = summaries(job, study, None if scheduler else workers) if summary else ()
    drawn = {push: drawing for push in found.pushes if (drawing := curves(found, push))}
    for push in found.pushes:
        if (drawing := ranking_picture(found, push)) is not None:
            drawn[f"{push}{DIFFERENCES}"] = drawing
    answer = answer_of(found)
    if beside is not None:
        answer = replace(answer, tables=(answer.tables[0], beside, *answer.tables[1:]))
    return with_summaries(answer, told) if told else answer, drawn


def summaries(
    job: Job, study: Alternatives, workers: Executor | None = None
) -> tuple[SummaryAnswer | str, ...]:
    """What else to decide by, of the plan and each alternative; in words where there is none.

    Args:
        job: the plan.
        study: the alternatives.
        workers: of this machine; this process itself where there are none.
    """
    plans = [changed.case.plan for changed in cases_of(job.plan, study)]
    cases = (repeat(job.path), plans, repeat(job.shop))
    return tuple(workers.map(case_summary, *cases) if workers else map(case_summary, *cases))


def with_summaries(answer: AlternativesAnswer, told: Sequence[SummaryAnswer | str]) -> AlternativesAnswer:
    """The answer with what else to decide by, after weight and cost."""
    rows = tuple(
        row if isinstance(one, str) else replace(row, summary=one.rows)
        for row, one in zip(answer.rows, told, strict=True)
    )
    laid = summary_table(answer.title, [(r.letter, r.name, one) for r, one in zip(rows, told, strict=True)])
    return replace(
        answer, rows=rows, summary=laid, notes=(*answer.notes, FOR_COMPARISON),
        tables=(answer.tables[0], laid, *answer.tables[1:]),
    )  # fmt: skip


def judged_table(job: Job, study: Alternatives) -> Table:
    """What each case's rule books find, how many of their rows judge it, and how close its tubes lie."""
    rows: list[tuple[str, ...]] = []
    for i, changed in enumerate(cases_of(job.plan, study)):
        plan = changed.case.plan
        try:
            cage = resolve(plan)
        except ProblemsFound:
            rows.append((letter(i), changed.case.name, "cannot be built", "", "", ""))
            continue
        names = plan.car.rules if plan.car else ()
        books = find_books(names, job.path.parent, where_of(job.plan, ("car", "rules")))
        judges = " ".join(judged(cage, book).words for book in books) or "not judged: no rule book is named"
        offsets = [o for o in body_offsets(cage, shell_of(cage, None)) if o.stop > o.start]
        run = sum(o.stop - o.start for o in offsets)
        mean = sum(o.mean * (o.stop - o.start) for o in offsets) / run if run else None
        gap = "not known: no body lines" if mean is None else say(mean, "length", plan.units)
        hours = hours_of(replace(job, plan=plan, cage=cage, cache=Cache())).total.said
        rows.append((letter(i), changed.case.name, str(len(cage.members)), gap, judges, hours))
    heads = ("", "alternative", "tubes", "mean gap along the body", "rule books", "hours")
    return Table(
        title=f"{study.title}: rules and gaps", columns=tuple(Column(head=h) for h in heads), rows=tuple(rows)
    )


def answer_of(found: Comparison) -> AlternativesAnswer:
    """The comparison as the answer."""
    pushes = tuple(_push(found, name) for name in found.pushes)
    rows = tuple(_row(found, i, o) for i, o in enumerate(found.outcomes))
    broken = any(o.problems for o in found.outcomes)
    return AlternativesAnswer(
        headline=_headline(found, pushes, rows), level="fail" if broken else "fine",
        cautions=CAUTIONS, title=found.title, question=found.question, plan=found.plan,
        revision=found.revision, heads={f.key: f.head for f in FIGURES},
        assumed={f.name: str(getattr(found.choices, f.name)) for f in fields(found.choices)},
        pushes=pushes, rows=rows, tables=_tables(found.title, pushes, rows), notes=_notes(found, pushes),
    )  # fmt: skip


def _headline(found: Comparison, pushes: Sequence[ComparedPush], rows: Sequence[AlternativeRow]) -> str:
    """How many are beside the plan, and of each push which of them are sure to take up more or less."""
    said = [f"{p.name}: {'; '.join(r.words for r in p.ranking[:MOST_SAID])}" for p in pushes if p.ranking]
    return ". ".join([f"{found.title}: {len(rows) - 1} beside the plan", *said])


def _push(found: Comparison, name: str) -> ComparedPush:
    first, ranking = answer_to(found.outcomes[0], name), ranking_of(found, name)
    steps = {f: found.resolution.get((name, f.key)) for f in FIGURES}
    same = figure(same_travel(found.outcomes, name), "length", found.units)
    return ComparedPush(
        name=name,
        title=first.results.push.title if first and first.results else name,
        same=same,
        caption=f"{name}: all by {same.said}, then each as far as it counts",
        ranking=ranking,
        ranking_table=ranking_table(found.title, name, ranking) if ranking else None,
        resolution={f.key: _figure(f, v, found.units, 1) for f, v in steps.items() if v is not None},
    )


def _figure(f: Figure, value: float | None, units: LengthUnit, more: int = 0) -> Value:
    places = None if f.places is None or units != "mm" else f.places + more
    return figure(value, f.quantity, units, places=places)


def _row(found: Comparison, number: int, outcome: Outcome) -> AlternativeRow:
    return AlternativeRow(
        letter=letter(number), name=outcome.name, note=outcome.note,
        problems=tuple(map(str, outcome.problems)),
        mass=_mass(found, outcome), cost=_cost(found, outcome),
        pushes=tuple(_pushed(found, outcome, push) for push in found.pushes),
    )  # fmt: skip


# --- weight and cost


def _mass(found: Comparison, outcome: Outcome) -> Compared:
    mine, base = (
        figure(o.bill.mass if o.bill else None, "mass", found.units) for o in (outcome, found.outcomes[0])
    )
    if outcome.bill is None:
        return Compared(key="mass", value=replace(mine, said="cannot be built"))
    return _beside("mass", mine, base, "mass", found, first=outcome is found.outcomes[0], same=0.005)


def _cost(found: Comparison, outcome: Outcome) -> Compared:
    mine, base = (_price(o.bill, found.currency) for o in (outcome, found.outcomes[0]))
    return _beside("cost", mine, base, "price", found, first=outcome is found.outcomes[0], same=CENT)


def _price(bill: Bill | None, currency: str) -> Value:
    """What the bars cost by the cutting plan; at most that, where it is not proved least."""
    if bill is None or bill.cost is None:
        return Value(value=None, unit=currency, said="–")
    cost = price(bill.cost, currency, rests_on="cutting plan")
    if bill.doubt <= CENT:
        return cost
    why = f"the cutting plan is not proved least: it may be {bill.doubt:.2f} {currency} less"
    return replace(cost, said=f"≤ {cost.said}", bound="at most", plus_minus=bill.doubt, why=why)


def _beside(
    key: str, mine: Value, base: Value, what: Quantity | Literal["price"], found: Comparison,
    *, first: bool, same: float,
) -> Compared:  # fmt: skip
    """The figure beside the plan's: a difference only between two that rest on the same and are exact."""
    if first or mine.value is None or base.value is None:
        return Compared(key=key, value=mine)
    if mine.bound or base.bound:
        return Compared(key=key, value=mine, said=CANNOT_TELL, told=CANNOT_TELL, why=mine.why or base.why)
    if abs(mine.value - base.value) < same:
        return Compared(key=key, value=mine, said="no difference", told="no difference")
    change = difference(mine, base, what, found.units)
    return Compared(key=key, value=mine, change=change, said=change.said if change else "", told="difference")


# --- pushes


def _pushed(found: Comparison, outcome: Outcome, push: str) -> PushedRow:
    each = {d.figure: d for d in differences(found, outcome, push)}
    first = outcome is found.outcomes[0]
    answer = answer_to(outcome, push)
    results = answer.results if answer else None
    curve = load_curve(results, found.units) if results else None
    return PushedRow(
        figures=tuple(_compared(f, each[f.key], found.units, first=first) for f in FIGURES),
        end=end_words(found, outcome, push),
        curve=ComparedCurve(curve=curve, cut_short=cut_short(results)) if curve and results else None,
    )


def _compared(f: Figure, one: Difference, units: LengthUnit, *, first: bool) -> Compared:
    value = _figure(f, one.value, units)
    if one.value is None:
        value = replace(value, said=one.absent or CANNOT_TELL)
    elif one.bound:
        mark, bound = ("≥", "at least") if one.bound > 0 else ("≤", "at most")
        value = replace(value, said=f"{mark} {value.said}", bound=bound)
    if first:
        return Compared(key=f.key, value=value)
    if one.told != "difference" or one.change is None:
        return Compared(key=f.key, value=value, said=one.told, told=one.told, why=one.why)
    places = f.places if units == "mm" else None
    share = "" if one.share is None else f" ({_percent(one.share)})"
    said = say(one.change, f.quantity, units, places=places, signed=True) + share
    change = replace(_figure(f, one.change, units), said=said)
    return Compared(key=f.key, value=value, change=change, said=said, told="difference")


def _percent(share: float) -> str:
    return f"{100.0 * share:+.{1 if abs(share) < 0.0995 else 0}f} %"


def end_words(found: Comparison, outcome: Outcome, push: str) -> str:
    """How an alternative's push ended, or why that cannot be told."""
    answer = answer_to(outcome, push)
    if answer is None:
        return "cannot be built"
    if answer.results is None:
        return f"{CANNOT_TELL}: {answer.refused}"
    return end_of(answer.results, found.units).words


def curves(found: Comparison, push: str) -> Drawing | None:
    """Load over travel of every case under the push, lettered as in the table; None where none was solved."""
    drawn = tuple(
        replace(curve_of(answer.results, o.name, found.units), letter=letter(i))
        for i, o in enumerate(found.outcomes)
        if (answer := answer_to(o, push)) is not None and answer.results is not None
    )
    if not drawn:
        return None
    x, y = axes_of(found.units)
    name = f"compare_{push.replace('-', '_')}"
    return curves_drawing(drawn, name=name, title=f"{found.title}: {push}", x=x, y=y)


# --- laid out


def _tables(title: str, pushes: Sequence[ComparedPush], rows: Sequence[AlternativeRow]) -> tuple[Table, ...]:
    """Weight and cost first, then one table for each push: a row for each alternative."""
    heads = {f.key: f.head for f in FIGURES if f.key in SHOWN}
    bills = Table(
        title=f"{title}: weight and cost",
        columns=_columns(("mass", "bars to buy")),
        rows=tuple((r.letter, r.name, _cell(r.mass), _cell(r.cost)) for r in rows),
    )
    made = [bills]
    for k, push in enumerate(pushes):
        cells = [[_cell(c) for c in r.pushes[k].figures if c.key in heads] for r in rows]
        made.append(
            Table(
                title=f"{title}: {push.caption}",
                columns=(*_columns(tuple(heads.values())), Column(head="how it ended")),
                rows=tuple(
                    (r.letter, r.name, *row, r.pushes[k].end) for r, row in zip(rows, cells, strict=True)
                ),
            )
        )
        made += [push.ranking_table] if push.ranking_table else []
    return tuple(made)


def _columns(heads: Sequence[str]) -> tuple[Column, ...]:
    return Column(head=""), Column(head="alternative"), *(Column(head=h, align="right") for h in heads)


def _cell(one: Compared) -> str:
    """The value, and under it the difference or why there is none."""
    return one.value.said if one.said in ("", one.value.said) else f"{one.value.said}\n{one.said}"


def _notes(found: Comparison, pushes: Sequence[ComparedPush]) -> tuple[str, ...]:
    """What to say beside the tables: cautions, resolution, memory rows, what cannot be built."""
    notes = [*CAUTIONS, *draws_words(found), _resolution_words(found, pushes)]
    if found.choices.joints == "report":
        notes.append("Joints do not give in these pushes; compare the load at which the first is full.")
    for push in pushes:
        answer = answer_to(found.outcomes[0], push.name)
        if answer and answer.results and answer.results.push.certainty == "memory":
            notes.append(f"{push.name} is from memory: {answer.results.push.source}.")
    notes += [f"{o.name} cannot be built: {p}" for o in found.outcomes for p in o.problems]
    return tuple(notes)


def _resolution_words(found: Comparison, pushes: Sequence[ComparedPush]) -> str:
    heads = {f.key: f.head for f in FIGURES if f.key in SHOWN}
    parts = [
        f"{p.name}: "
        + (", ".join(f"{heads[k]} {v.said}" for k, v in p.resolution.items() if k in heads) or "not known")
        for p in pushes
    ]
    said = "'No difference' is what the model cannot tell, found by solving again on other meshes"
    return f"{said}: {'; '.join(parts)}."
