"""In which order the cage is tacked and welded, and what a change of that order breaks."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from cagewright.base.answers import Answer, Sentence, Value, figure
from cagewright.base.names import listed, named, paired, shown
from cagewright.base.say import say
from cagewright.base.units import LengthUnit
from cagewright.check.torch.poses import torch_with
from cagewright.check.torch.stages import Stage, body_known
from cagewright.fitup.distance_piece import DistancePiece, distance_pieces
from cagewright.fitup.order import BuildStep, Where, broken_by, build_order, stages_of
from cagewright.job.opening import Job, scan_of
from cagewright.shape.shell import Shell, shell_of
from cagewright.shape.types import Cage, member_named


@dataclass(frozen=True, slots=True, kw_only=True)
class DistanceRow:
    """A tube of the plan that holds two others apart while they are tacked.

    Attributes:
        tube: which.
        between: the two that it holds.
        length: that it must have: finished in its own place, else cut square.
        own: it stands in its own place, and is tacked there later.
        until: the step at which it is tacked, or must be out at the latest.
        words: which, where, how long and until when.
    """

    tube: str
    between: tuple[str, str]
    length: Value
    own: bool
    until: int
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class StepRow:
    """One step of the build.

    Attributes:
        number: from 1.
        where: on the bench, in the car, in the car slid back, or in the car hung below its place.
        tack: tubes that are tacked at this step, in order.
        weld: joints and feet welded at this step.
        parts: gussets, plates and tubes that come out again, fitted at this step.
        notes: what else to see to, in sentences.
        distance: tubes that hold those of ``tack`` apart meanwhile.
        slow: whether choosing its readings takes seconds: at a step of welds all tubes are loose.
    """

    number: int
    title: str
    where: Where
    tack: tuple[str, ...]
    weld: tuple[str, ...]
    parts: tuple[str, ...]
    notes: tuple[str, ...]
    distance: tuple[DistanceRow, ...]
    slow: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class OrderAnswer(Answer):
    """The order of the build.

    Attributes:
        broken: what the builder's own order breaks that the proposed one does not.
        moves: tubes that the builder tacks at another step than proposed, and at which.
        openings: measured ones that the bench's work may go in by; none where nothing is joined there.
    """

    steps: tuple[StepRow, ...]
    broken: tuple[Sentence, ...]
    moves: dict[str, int]
    openings: tuple[str, ...]
    units: LengthUnit
    revision: str


def order_of(job: Job, moves: Mapping[str, int] | None = None) -> OrderAnswer:
    """In which order to tack and weld.

    Args:
        job: the plan, opened.
        moves: tubes that the builder wants tacked at another step, by number.

    Raises:
        ProblemsFound: the scan cannot be used.
    """
    moves = dict(moves or {})
    steps = steps_of(job, moves)
    broken = _broken(job, moves) if moves else ()
    headline = f"{len(steps)} steps; the order as you have it breaks {len(broken)} things."
    return OrderAnswer(
        headline=headline if broken else f"{len(steps)} steps.",
        level="fail" if broken else "fine",
        steps=tuple(step_row(job.cage, steps, s) for s in steps),
        broken=broken,
        moves=moves,
        openings=openings_of(job) if bench_work(steps) else (),
        units=job.cage.units,
        revision=job.cage.revision,
    )


def steps_of(job: Job, moves: Mapping[str, int] | None = None) -> tuple[BuildStep, ...]:
    """The steps of the build, with the tubes that are asked for at another one."""
    moves = dict(moves or {})
    key = ("build order", job.key, tuple(sorted(moves.items())))
    return job.cache.get(key, lambda: _built(job, moves))


def _built(job: Job, moves: Mapping[str, int]) -> tuple[BuildStep, ...]:
    shell, torch, bench = shell_in(job), torch_with(job.shop.nozzle), None
    if job.plan.bench_first is not None:
        from cagewright.job.bench_work import bench_for_order  # what welds pull: no other plan waits for it

        bench = bench_for_order(job, shell)
    return build_order(job.cage, shell, moves=moves, torch=torch, bench=bench)


def torch_stages(job: Job) -> tuple[Stage, ...]:
    """The states in which the planned order welds, as the torch sees them."""
    return stages_of(job.cage, steps_of(job), body=body_known(job.cage, shell_in(job)))


def shell_in(job: Job) -> Shell:
    """What is known of the body."""
    return job.cache.get(("shell", job.key), lambda: shell_of(job.cage, scan_of(job)))


def openings_of(job: Job) -> tuple[str, ...]:
    """Names of the measured openings that something can go in by: closed lines, doors first."""
    shell = shell_in(job)
    closed = [
        b for b in shell.lines if len(b.points) > 4 and float(abs(b.points[0] - b.points[-1]).max()) < 1.0
    ]
    holes = [b for b in closed if b.kind not in ("bulkhead", "section", "floor")]
    return tuple(b.name for b in sorted(holes, key=lambda b: b.kind != "door opening"))


def bench_work(steps: tuple[BuildStep, ...]) -> tuple[str, ...]:
    """Names of the tubes joined on the bench; none where none are."""
    return next((s.tack for s in steps if s.where == "bench"), ())


def is_slow(step: BuildStep) -> bool:
    """Whether choosing the step's readings takes seconds."""
    return bool(step.weld) and not step.tack and step.where == "car"


def step_row(cage: Cage, steps: Sequence[BuildStep], step: BuildStep) -> StepRow:
    """The one of those steps as part of an answer."""
    tacked = {name: s.number for s in steps for name in s.tack}
    pieces = distance_pieces(cage, tacked, step.number) if step.where == "car" else ()
    return StepRow(
        number=step.number, title=step.title, where=step.where, tack=step.tack, weld=step.weld,
        parts=step.parts, notes=step.notes,
        distance=tuple(_distance_row(p, cage) for p in pieces), slow=is_slow(step),
    )  # fmt: skip


def _distance_row(piece: DistancePiece, cage: Cage) -> DistanceRow:
    long, tube = figure(piece.length, "length", cage.units), shown(piece.tube)
    held = listed(paired(piece.between))
    if piece.own:
        words = (
            f"Set {tube} in its own place between {held} to hold them apart: finished it is {long.said} "
            f"long. It is tacked at step {piece.until}."
        )
    else:
        where = " and at ".join(_place_words(at, cage.units) for at in piece.at)
        words = (
            f"Before its ends are cut, {tube} can hold {held} apart: cut it square to {long.said}, and set "
            f"it at {where}. Take it out at step {piece.until} at the latest, then cut its ends."
        )
        if member_named(cage, piece.tube).bought:
            words += " It came cut: tape first whether it is that long."
    return DistanceRow(
        tube=piece.tube, between=piece.between, length=long, own=piece.own, until=piece.until, words=words
    )


def _place_words(at: tuple[float, float, float], units: LengthUnit) -> str:
    back, across, up = (say(v, "length", units, places=0) for v in at)
    return f"{back} back, {across} across, {up} up"


def moves_asked(job: Job, asked: Mapping[str, int]) -> dict[str, int]:
    """The moves with the tubes' names as the plan has them; those of tubes that are not there left out."""
    known = [m.name for m in job.cage.members]
    return {name: n for text, n in asked.items() if (name := named(text, known)) in known}


def _broken(job: Job, moves: Mapping[str, int]) -> tuple[Sentence, ...]:
    torch = torch_with(job.shop.nozzle)
    usual, now = (
        broken_by(job.cage, shell_in(job), steps_of(job, asked), torch=torch) for asked in (None, moves)
    )
    known = {b.what for b in usual}
    return tuple(Sentence(words=b.words, level="fail", about=(b.what,)) for b in now if b.what not in known)
