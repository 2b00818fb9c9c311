"""What it takes to close an opening, what stays locked in, and root gaps against the welding standards."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from typing import Literal

import numpy as np

from cagewright.base.vectors import Vector, unit
from cagewright.fitup.tacked import bending_stress, end_node, part_built
from cagewright.frame.idealise import node_at
from cagewright.frame.linear import solve_linear
from cagewright.shape.types import Cage, member_named

HAND = 150.0
"""A pull of one hand, N: common practice, no source."""
STRAP = 2500.0
"""A pull of a small ratchet strap that is not yet alarming, N: common practice, no source."""
LOCKED = 0.4
"""Bending stress locked in by a pull, over the yield strength, that is still no distress (assumed)."""
EASY = 0.1
"""The same for a pull by hand."""
How = Literal["hand", "strap", "stop"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Closing:
    """Closing one opening by pulling.

    Attributes:
        end: ``member.start`` or ``member.end`` that is pulled.
        gap: mm.
        force: N to close it.
        stress: largest bending stress locked in if it is welded so, MPa.
        member: the tube that has it.
        share: of its yield strength.
        how: by hand, by a strap, or stop: something is wrong.
    """

    end: str
    gap: float
    force: float
    stress: float
    member: str
    share: float
    how: How


def close_gap(
    cage: Cage,
    end: str,
    gap: Vector,
    *,
    welded: Collection[str],
    present: Collection[str] | None = None,
    also_open: Collection[str] = (),
) -> Closing:
    """What it takes to pull an open end by ``gap`` onto what it belongs to.

    Small elastic movement, tacks as hinges, the feet held; the tube's own weight and the shell's give are
    left out. The pull acts between the end and its main tube (or the car, at a foot).

    Args:
        cage: the whole cage.
        end: ``member.start`` or ``member.end``.
        gap: (3,) the way the end has to go, mm.
        welded: names of joints and feet that are welded; the rest of what is there is tacked.
        present: names of the members that are there; all where not given.
        also_open: other ends that touch nothing yet.

    Raises:
        FrameError: what is there cannot stand.
        ValueError: no such end, or no gap.
    """
    name, _, which = end.rpartition(".")
    if which not in {"start", "end"} or name not in {m.name for m in cage.members}:
        raise ValueError(f"no end '{end}'")
    size = float(np.sqrt(gap @ gap))
    if not size > 0.0:
        raise ValueError("no gap to close")
    there = present if present is not None else [m.name for m in cage.members]
    part = part_built(cage, present=there, welded=welded, open_ends=[end, *also_open])
    way = unit(gap)
    loads = np.zeros((1, len(part.model.nodes), 6))
    pulled = end_node(part, name, which)
    loads[0, pulled, :3] += way
    joint = next((j for j in cage.joints if j.name == end and j.mains[0] in there), None)
    held = node_at(part.frame, joint.mains[0], joint.along[0]) if joint else -1
    if held >= 0:
        loads[0, held, :3] -= way
    solution = solve_linear(part.model, loads)
    moved = solution.displacement[0]
    give = float(way @ (moved[pulled, :3] - (moved[held, :3] if held >= 0 else 0.0)))
    force = size / give
    stress = bending_stress(part, solution, 0) * force
    worst = int(np.argmax(stress))
    member, most = part.model.names[worst], float(stress[worst])
    strength = member_named(cage, member).tube.steel.yield_strength
    share = most / strength if strength else float("inf")
    how = how_to(force, share)
    return Closing(end=end, gap=size, force=force, stress=most, member=member, share=share, how=how)


def how_to(force: float, share: float) -> How:
    """By hand, strap or stop, from the force (N) and the locked-in stress over yield."""
    if force <= HAND and share <= EASY:
        return "hand"
    return "strap" if force <= STRAP and share <= LOCKED else "stop"


# --- root gaps

Level = Literal["B", "C", "D"]
_ROOT: dict[Level, tuple[float, float, float]] = {
    "B": (0.5, 0.1, 2.0),
    "C": (0.5, 0.2, 3.0),
    "D": (1.0, 0.3, 4.0),
}
"""Root gap of a fillet: mm, plus a part of the throat, at most mm (EN 25817:1992 no 617, now ISO
5817, read).
"""
AWS_AS_IS, AWS_ADD, AWS_BACKED = 1.6, 4.8, 8.0
"""AWS D1.1 fillets, mm: up to 1/16 in as it is, to 3/16 in the leg grows by the gap, to 5/16 in with backing
(thick parts only); second-hand. Its limits for tubular joints are others: the welding procedure decides."""


def root_gap_limit(throat: float, level: Level = "C") -> float:
    """Largest root gap of a fillet of that throat at that quality level, mm (EN 25817:1992, no 617)."""
    base, part, most = _ROOT[level]
    return min(base + part * throat, most)


Weld = Literal["as drawn", "add to the leg", "too wide", "not to be welded"]


def root_gap_asks(gap: float) -> Weld:
    """What a root gap of ``gap`` mm asks of a fillet on thin tube."""
    if gap <= AWS_AS_IS:
        return "as drawn"
    if gap <= AWS_ADD:
        return "add to the leg"
    return "too wide" if gap <= AWS_BACKED else "not to be welded"
