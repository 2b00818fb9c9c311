"""What is done with the tubes on the bench: which welds, lying how, and what they move."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from cagewright.base.vectors import Vector
from cagewright.check.torch.access import torch_access
from cagewright.check.torch.poses import TORCH, Torch
from cagewright.check.torch.stages import Stage
from cagewright.check.torch.weld_points import WeldLoop, weld_lines
from cagewright.check.torch.weld_position import easy
from cagewright.fitup.bench_drift import BenchDrift, bench_drift
from cagewright.fitup.bench_first import TURNS, BenchWeld, bench_welds, held_true
from cagewright.fitup.order import BENCH, ENOUGH
from cagewright.shape.shell import Shell
from cagewright.shape.types import Cage

LEAST = 0.08
"""The work is turned once more only for this part of its weld length, or more (ours)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LeftOpen:
    """A weld that is only tacked on the bench.

    ``lean`` names the tube whose far end would come out too far; where empty, the torch reaches only
    ``share`` of the weld.
    """

    weld: BenchWeld
    lean: str
    share: float


@dataclass(frozen=True, slots=True, kw_only=True)
class BenchPlan:
    """What is done on the bench.

    Attributes:
        tubes: the first is the one that the others are set to.
        welds: made there.
        opened: only tacked there.
        turns: what of the car is up in each way it lies, unit (3,), and the weld made so in PA or PB, mm.
        held: tubes that the welds made there hold true.
        drift: what those welds move.
    """

    tubes: tuple[str, ...]
    welds: tuple[BenchWeld, ...]
    opened: tuple[LeftOpen, ...]
    turns: tuple[tuple[Vector, float], ...]
    held: frozenset[str]
    drift: BenchDrift

    @property
    def easy(self) -> float:
        """Weld length made in PA or PB, mm."""
        return sum(made for _, made in self.turns)


def bench_plan(
    cage: Cage, shell: Shell, tubes: Sequence[str], *, torch: Torch = TORCH, factor: float = 1.0
) -> BenchPlan:
    """What is done with those tubes on the bench.

    Args:
        cage: as resolved.
        shell: what is known of the body.
        tubes: that hang together, each standing on others of them; the first by itself.
        torch: that the shop welds with.
        factor: the shop's own shrinkage.

    Raises:
        FrameError: the tubes do not hang together.
    """
    there = frozenset(tubes)
    mine = [w for w in bench_welds(cage, factor=factor) if w.tubes <= there]
    held = held_true(mine, there)
    reach = _reach(cage, shell, tubes, [w.name for w in mine], torch)
    made = tuple(w for w in mine if w.tubes <= held and reach.get(w.name, 0.0) >= ENOUGH)
    lines = [line for line in weld_lines(cage) if line.name in {w.name for w in made}]
    return BenchPlan(
        tubes=tuple(tubes),
        welds=made,
        opened=tuple(
            LeftOpen(weld=w, lean=_leaning(w, held), share=reach.get(w.name, 0.0))
            for w in mine
            if w not in made
        ),
        turns=ways_to_lie(lines),
        held=held,
        drift=bench_drift(cage, tubes, [w.name for w in made], factor=factor),
    )


def _leaning(weld: BenchWeld, held: frozenset[str]) -> str:
    """The tube whose far end has yet to find the car: its own, or one that it lands on."""
    loose = sorted(weld.tubes - held)
    return weld.branch if weld.branch in loose else next(iter(loose), "")


def _reach(
    cage: Cage, shell: Shell, tubes: Sequence[str], joints: Sequence[str], torch: Torch
) -> dict[str, float]:
    """The share of each weld that the torch reaches with only those tubes there."""
    names = tuple(m.name for m in cage.members if m.name in tubes)
    stage = Stage(name=BENCH, members=names, body=False, feet=False)
    found = torch_access(cage, shell, stages=(stage,), torch=torch, only=set(joints))
    return {a.line.name: a.last for a in found}


def ways_to_lie(lines: Sequence[WeldLoop]) -> tuple[tuple[Vector, float], ...]:
    """In which ways to lay the work, each time the one that brings the most more into PA or PB.

    Returns:
        what of the car is up, unit (3,), and how much more weld lies in PA or PB so than before, mm.
    """
    if not lines:
        return ()
    run = np.concatenate([line.run for line in lines])
    lies = np.array([np.concatenate([easy(line, up) for line in lines]) for up in TURNS])
    left, out = np.ones(len(run), dtype=bool), list[tuple[Vector, float]]()
    while True:
        gains = (lies & left) @ run
        best = int(np.argmax(gains))
        if gains[best] < LEAST * float(run.sum()):
            return tuple(out)
        out.append((TURNS[best], float(gains[best])))
        left &= ~lies[best]
