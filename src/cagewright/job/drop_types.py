"""The drop answer's parts."""

from __future__ import annotations

from dataclasses import dataclass

from cagewright.base.answers import Answer, Sentence, Value
from cagewright.base.sheet import Table
from cagewright.job.strength_types import Happened, LoadCurve, PushFigure


@dataclass(frozen=True, slots=True, kw_only=True)
class EnergyLine:
    """Where a part of the energy came from or went: J, and its share of all there was to be spent."""

    label: str
    value: Value
    share: Value


@dataclass(frozen=True, slots=True, kw_only=True)
class DropAnswer(Answer):
    """What a drop does to the cage.

    Attributes:
        title: the plan's.
        revision: the plan's mark.
        how: height, attitude and speed in a sentence, and what they are measured from.
        reached: the whole time was followed.
        end: what ends the part that can be defended.
        figures: of that part.
        energy: where it went, at the end.
        curve: force out of the ground over time, N and ms.
        happened: what gave way, in order; ``travel`` is in ms since the first touch.
        joints_words: that joints do not give, and how many are over their strength; empty where they give.
        still: the still push of the same energy beside it.
        tables: everything laid out.
        notes: what was assumed, in words.
    """

    title: str
    revision: str
    how: Sentence
    reached: bool
    end: Sentence
    figures: tuple[PushFigure, ...]
    energy: tuple[EnergyLine, ...]
    curve: LoadCurve
    happened: tuple[Happened, ...]
    joints_words: str
    still: Sentence
    tables: tuple[Table, ...]
    notes: tuple[str, ...]
