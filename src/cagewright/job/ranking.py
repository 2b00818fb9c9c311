"""How sure the ranking of alternatives is: in how many draws each takes up more, told and drawn."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from cagewright.base.answers import CANNOT_TELL, Value, figure
from cagewright.base.drawing import Drawing
from cagewright.base.say import say, scale_of, unit_of
from cagewright.base.sheet import Column, Table
from cagewright.base.units import LengthUnit
from cagewright.compare.ranking import HOLDS, Ahead, ahead, most_of_all
from cagewright.compare.run import DRAWN_MESH
from cagewright.compare.study import Comparison
from cagewright.frame.draws import DrawRange, ranges
from cagewright.make.plots import Axis, letter
from cagewright.make.spread import Spread, spread_drawing

Verdict = Literal["more", "less", "the same", "a toss-up", "cannot tell"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Ranked:
    """One alternative beside the plan over the draws.

    Attributes:
        letter: as in the tables.
        name: of the alternative.
        verdict: what can be said: ``more`` and ``less`` hold in nine draws of ten.
        words: the sentence: ``B takes up more than A by the same travel in 61 of 64``.
        draws: how many.
        more, less, untold: in how many of them it takes up more, less, or cannot be told.
        further: in how many it counts further, to a later touch, tear or parting.
        most: in how many it takes up the most of all, the plan included.
        middle: the median difference.
        spread: from the 5th to the 95th percentile, said.
    """

    letter: str
    name: str
    verdict: Verdict
    words: str
    draws: int
    more: int
    less: int
    untold: int
    further: int
    most: int
    middle: Value
    spread: str


def ranking_of(found: Comparison, push: str) -> tuple[Ranked, ...]:
    """Every alternative that was drawn under the push, beside the plan; none where nothing was drawn."""
    base = found.drawn.get((found.outcomes[0].name, push))
    if base is None:
        return ()
    most = _most(found, push)
    rows: list[Ranked] = []
    for i, outcome in enumerate(found.outcomes[1:], start=1):
        mine = found.drawn.get((outcome.name, push))
        if mine is not None:
            rows.append(_ranked(letter(i), outcome.name, ahead(mine, base), most[outcome.name], found))
    return tuple(rows)


def _most(found: Comparison, push: str) -> dict[str, int]:
    """In how many draws each case takes up the most of all."""
    names = [o.name for o in found.outcomes if (o.name, push) in found.drawn]
    return dict(zip(names, most_of_all([found.drawn[name, push] for name in names]).tolist(), strict=True))


def _ranked(mark: str, name: str, one: Ahead, most: int, found: Comparison) -> Ranked:
    units = found.units
    verdict: Verdict = CANNOT_TELL if one.hidden else "a toss-up"
    if one.same >= HOLDS * one.draws:
        verdict = "the same"
    elif one.holds:
        verdict = "more" if one.more > one.less else "less"
    return Ranked(
        letter=mark, name=name, verdict=verdict, words=_words(mark, one, verdict), draws=one.draws,
        more=one.more, less=one.less, untold=one.untold, further=one.further,
        most=most,
        middle=figure(one.middle, "energy", units), spread=_spread(one, units),
    )  # fmt: skip


def _words(mark: str, one: Ahead, verdict: Verdict) -> str:
    if verdict == "the same":
        return f"{mark} takes up as much as A in {one.same} of {one.draws}"
    which, count = ("less", one.less) if one.less > one.more else ("more", one.more)
    words = f"{mark} takes up {which} than A by the same travel in {count} of {one.draws}"
    words += f", {one.untold} {CANNOT_TELL}" if one.untold else ""
    words += ": a toss-up" if verdict == "a toss-up" else ""
    return f"{words}; it goes further in {one.further}"


def _spread(one: Ahead, units: LengthUnit) -> str:
    if one.low is None or one.high is None:
        return CANNOT_TELL
    return " to ".join(say(v, "energy", units, signed=True) for v in (one.low, one.high))


def ranking_table(title: str, push: str, rows: tuple[Ranked, ...]) -> Table:
    """A row for each alternative: in how many draws it takes up more, by how much, and what that says."""
    heads = (
        "takes up more than A in", "difference, median", "nine draws in ten between", "most of all in",
        "goes further in",
    )  # fmt: skip
    columns = (
        Column(head=""), Column(head="alternative"), *(Column(head=h, align="right") for h in heads),
        Column(head="so"),
    )  # fmt: skip
    cells = [
        (
            r.letter, r.name, f"{r.more} of {r.draws}", _signed(r), r.spread, f"{r.most} of {r.draws}",
            f"{r.further} of {r.draws}",
            {"more": "takes up more", "less": "takes up less"}.get(r.verdict, r.verdict),
        )
        for r in rows
    ]  # fmt: skip
    return Table(title=f"{title}: {push}, how sure, by the same travel", columns=columns, rows=tuple(cells))


def _signed(row: Ranked) -> str:
    value = row.middle.value
    return row.middle.said if value is None or value < 0.0 else f"+{row.middle.said}"


def ranking_picture(found: Comparison, push: str) -> Drawing | None:
    """The differences of every alternative from the plan, draw by draw; None where nothing was drawn."""
    base = found.drawn.get((found.outcomes[0].name, push))
    rows = ranking_of(found, push)
    if base is None or not rows:
        return None
    scale = scale_of("energy", found.units).size
    spreads = tuple(
        Spread(
            letter=row.letter,
            words=f"{row.more} of {row.draws}" + (": a toss-up" if row.verdict == "a toss-up" else ""),
            differences=ahead(found.drawn[row.name, push], base).differences / scale,
        )
        for row in rows
    )
    axis = Axis(name="takes up more than A by", unit=unit_of("energy", found.units))
    name = f"differences_{push.replace('-', '_')}"
    return spread_drawing(spreads, name=name, title=f"{found.title}: {push}, draw by draw", axis=axis)


def draws_words(found: Comparison) -> tuple[str, ...]:
    """What was drawn and from which ranges, with how sure each is; nothing where nothing was drawn."""
    if not found.draws:
        return ()
    each = [f"{r.words} {_range(r, found.units)} ({r.certainty})" for r in ranges()]
    long = say(DRAWN_MESH, "length", found.units, places=0)
    return (
        f"How sure a ranking is was found in {found.draws} draws, the same for every alternative. Two are "
        "compared by the lesser travel that they count to; 'further' is to a later touch, tear or parting. "
        f"On elements of {long} where the study's are shorter. 'More' or "
        "'less' is what holds in nine draws of ten; the rest is a toss-up.",
        f"Drawn: {'; '.join(each)}.",
    )


def _range(row: DrawRange, units: LengthUnit) -> str:
    """From where to where a quantity is drawn, in the plan's units."""
    if row.unit == "mm":
        return " to ".join(say(v, "length", units, places=0) for v in (row.low, row.high))
    return f"{row.low:g} to {row.high:g}{'°' if row.unit == 'deg' else ''}"
