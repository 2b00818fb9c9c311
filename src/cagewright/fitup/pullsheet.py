"""The paper of what to pull: arrows on the cage, and by number which end, how far and what it takes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from cagewright.base.cautions import CAUTIONS
from cagewright.base.drawing import Drawing
from cagewright.base.say import say_length
from cagewright.base.sheet import Column, Sheet, Table
from cagewright.base.units import LengthUnit
from cagewright.fitup.adjust import Adjusted
from cagewright.fitup.pull import EndStands, off_words
from cagewright.make.arrows import Arrow, seen_from, with_arrows
from cagewright.make.views import Direction, cage_view
from cagewright.shape.types import Cage

VIEWS: tuple[Direction, ...] = ("side", "front", "plan")


@dataclass(frozen=True, slots=True, kw_only=True)
class Pull:
    """One end to pull: how it stands, where its mark should be, and what closing it takes, in words."""

    stands: EndStands
    arrow: Arrow
    takes: str


def pulls_of(adjusted: Adjusted, rows: Sequence[tuple[EndStands, str]]) -> tuple[Pull, ...]:
    """The ends that are out, numbered in the order given, each with its arrow.

    Args:
        adjusted: where everything is.
        rows: how ends stand, each with what closing it takes in words.
    """
    out = [(s, takes) for s, takes in rows if s.stands == "out"]
    return tuple(
        Pull(
            stands=s,
            arrow=Arrow(at=adjusted.places[adjusted.net.index[s.mark]], way=-s.off, text=str(n)),
            takes=takes,
        )
        for n, (s, takes) in enumerate(out, start=1)
    )


def pull_sheet(
    cage: Cage, pulls: Sequence[Pull], there: Sequence[str], *, step: int = 0, notes: Sequence[str] = ()
) -> Sheet:
    """The paper of what to pull now.

    Args:
        cage: as planned.
        pulls: from ``pulls_of``; may be none.
        there: names of the tubes that are in the car.
        step: of the build, or 0 where not said.
        notes: what else to say, such as gaps at joints.
    """
    at = f", step {step}" if step else ""
    return Sheet(
        name="pull",
        title=f"What to pull{at}",
        kind="fit-up",
        tables=(pull_table(pulls, cage.units),) if pulls else (),
        drawings=tuple(_drawings(cage, pulls, there)),
        notes=(
            *(
                ()
                if pulls
                else ("Every end that was read is in place, or cannot be told: see the readings.",)
            ),
            *notes,
            "Arrows show the way, not the size. Pull, read again, and only then weld.",
            *CAUTIONS,
        ),
    )


def _drawings(cage: Cage, pulls: Sequence[Pull], there: Sequence[str]) -> list[Drawing]:
    part = replace(cage, members=tuple(m for m in cage.members if m.name in there))
    arrows, wrong = [p.arrow for p in pulls], tuple(dict.fromkeys(p.stands.member for p in pulls))
    return [
        with_arrows(
            cage_view(part, way, box=(178.0, 80.0), numbers=False, sizes=False, wrong=wrong), way, arrows
        )
        for way in VIEWS
        if seen_from(arrows, way)
    ]


def pull_table(pulls: Sequence[Pull], units: LengthUnit) -> Table:
    """One row a pull: its number, the end, which way and how far, the tape to watch, and what it takes."""
    heads = ("No", "tube and end", "pull it", "watch this tape", "what it takes")
    rows = tuple(
        (
            p.arrow.text,
            f"{p.stands.member}, {p.stands.end}",
            off_words(-p.stands.off, p.stands.sure, p.arrow.at, units),
            _tape_words(p.stands, units),
            p.takes or "–",
        )
        for p in pulls
    )
    return Table(title="What to pull", columns=tuple(Column(head=h) for h in heads), rows=rows)


def _tape_words(stands: EndStands, units: LengthUnit) -> str:
    tape = stands.tape
    if tape is None:
        return "none runs along the pull"
    now, then = (say_length(v, units, places=0) for v in (tape.now, tape.then))
    return f"{tape.a} to {tape.b}: from {now} to {then}"
