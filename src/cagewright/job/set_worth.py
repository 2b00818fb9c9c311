"""What a bought set is worth: its plan beside one drafted and bent for the same body."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from cagewright.base.answers import CANNOT_TELL, Answer, Value, figure, price
from cagewright.base.sheet import Column, Table
from cagewright.frame.errors import FrameError
from cagewright.job.draft import CAUTION
from cagewright.job.figures import GapFigure, figures_of
from cagewright.job.hours import hours_of
from cagewright.job.opening import Job
from cagewright.job.strength import push
from cagewright.plan.tube_set import SetFile, read_set
from cagewright.shape.given import notch_end, stands


@dataclass(frozen=True, slots=True, kw_only=True)
class WorthRow:
    """One thing, of the set's plan and of the drafted one."""

    what: str
    bought: Value
    drafted: Value


@dataclass(frozen=True, slots=True, kw_only=True)
class WorthAnswer(Answer):
    """A set beside a cage that was drafted and bent for the same body."""

    bought: str
    drafted: str
    rows: tuple[WorthRow, ...]


def worth_of(bought: Job, drafted: Job, set_path: Path | None, pushes: Sequence[str] = ()) -> WorthAnswer:
    """The set's plan beside the drafted one: gaps, notches, mass, price, strength, hours.

    Args:
        bought: the plan of the set.
        drafted: of the same body.
        set_path: the set's file, for its price; None where there is none.
        pushes: names; none are made where none are named.

    Raises:
        ProblemsFound: the set's file has problems.
    """
    one, two = figures_of(bought), figures_of(drafted)
    file = None if set_path is None else read_set(set_path).file
    paid = bought_price(file, two.buy.price.unit)
    rows = [
        WorthRow(what="members", bought=_count(one.members), drafted=_count(two.members)),
        WorthRow(what="mass", bought=one.mass, drafted=two.mass),
        WorthRow(what="tubes of the set", bought=paid, drafted=_none(two.buy.price.unit)),
        WorthRow(what="tube to buy", bought=one.buy.price, drafted=two.buy.price),
    ]
    gaps = (one.gaps, two.gaps)
    for what in ("helmet", "person", "body"):
        left, right = (None if g is None else getattr(g, what) for g in gaps)
        rows.append(WorthRow(what=f"least gap to {what}", bought=_gap(left), drafted=_gap(right)))
    rows.append(WorthRow(what="widest gap at a notch", bought=_notch(bought), drafted=_notch(drafted)))
    for name in pushes:
        rows += _pushed(bought, drafted, name)
    rows.append(WorthRow(what="hours", bought=hours_of(bought).total, drafted=hours_of(drafted).total))
    fewer = two.members - one.members
    return WorthAnswer(
        headline=f"the set has {one.members} tubes in place, the drafted cage {two.members}"
        + ("; they do not hold the same, so look at mass and strength with that in mind" if fewer else ""),
        level="look at" if fewer else "fine",
        cautions=(CAUTION,),
        bought=bought.cage.title,
        drafted=drafted.cage.title,
        rows=tuple(rows),
    )


def worth_table(found: WorthAnswer) -> Table:
    """The rows side by side, why where a figure cannot be told."""
    rows = tuple((row.what, _told(row.bought), _told(row.drafted)) for row in found.rows)
    return Table(title="", columns=(Column(head=""), Column(head=found.bought), Column(head=found.drafted)),
                 rows=rows)  # fmt: skip


def _told(value: Value) -> str:
    return f"{value.said} ({value.why})" if value.value is None and value.why else value.said


def bought_price(file: SetFile | None, currency: str) -> Value:
    """What the set cost: as a whole, or the sum of its tubes where each has a price."""
    paid = None if file is None else file.price
    if file is not None and paid is None:
        each = [tube.price for tube in file.tubes.values()]
        told = [one for one in each if one is not None]
        paid = sum(told) if len(told) == len(each) else None
    why = "" if paid is not None else "the set's file has no price"
    return price(paid, currency, rests_on="plan", why=why)


def _none(currency: str) -> Value:
    return Value(value=0.0, unit=currency, said="none", rests_on="plan")


def _count(count: int) -> Value:
    return Value(value=float(count), unit="", said=str(count), rests_on="plan")


def _gap(gap: GapFigure | None) -> Value:
    return gap.gap if gap is not None else Value(value=None, unit="mm", said=CANNOT_TELL, why="not known")


def _notch(job: Job) -> Value:
    """The widest gap of its given notches, pushed home; 0 where every end is cut to fit."""
    ends = [notch_end(job.cage, m.name, e.which) for m in job.cage.members for e in m.ends if e.given]
    return figure(
        max((float(stands(end).pushed.max()) for end in ends), default=0.0), "length", job.cage.units
    )


def _pushed(bought: Job, drafted: Job, name: str) -> list[WorthRow]:
    """Each figure of one push side by side; why, where a cage cannot be pushed."""
    told: list[dict[str, Value]] = []
    for job in (bought, drafted):
        try:
            answer, _ = push(job, [name])
            told.append({f.label: f.value for f in answer.pushes[0].figures})
        except FrameError as wrong:
            why = "; ".join(wrong.messages)
            told.append({"": Value(value=None, unit="", said=CANNOT_TELL, why=why)})
    labels = [label for label in dict.fromkeys((*told[0], *told[1])) if label] or [""]
    blank = [t.get("", Value(value=None, unit="", said=CANNOT_TELL)) for t in told]
    return [
        WorthRow(
            what=f"{name.replace('_', ' ')}: {label or 'strength'}",
            bought=told[0].get(label, blank[0]),
            drafted=told[1].get(label, blank[1]),
        )
        for label in labels
    ]
