"""Letting go: what is at its limit stops carrying, and its force goes to the rest at the travel it had.

A watch looks at the frame after every kept step and says how near each of its parts is to letting go. A part
is any rows of elements, springs, bars and hinges: a tube at its limit strain, a joint at its rupture, an open
weld's end, a torn foot. ``shed`` takes their hold away, lets the frame find its balance without them (under a
tool as a fall; where a load pattern pushes all at once, else bit by bit), and looks again until nothing more
goes.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np
from scipy.sparse import coo_matrix
from scipy.sparse.csgraph import connected_components

from cagewright.frame.assemble import Assembly
from cagewright.frame.continuation import State
from cagewright.frame.history import History
from cagewright.frame.model import Floats, Loss, LossKind, Part

REACHED = 1.0 - 1e-6
"""A share this near to 1 has let go: a spring at its capacity stays there to rounding."""
MOST_AT_ONCE = 40
"""Most rounds of letting go at one travel; a frame that sheds more has lost itself."""
SMALLEST = 1.0 / 64.0
"""The hold is taken away in parts no smaller than this."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Watch:
    """What may let go, and when.

    Attributes:
        kind: what its parts are.
        shares: of a frame whose step was just kept, (w,) how far each part is, 1 where it lets go.
        part: what lets go where the share of that number is the largest of those that reached 1.
    """

    kind: LossKind
    shares: Callable[[Assembly], Floats]
    part: Callable[[Assembly, int], Part]


Settle = Callable[[State], State | None]
"""The frame's balance at the travel that it has, from a state near it; None where none is found."""


def shed(
    history: History,
    state: State,
    watches: Sequence[Watch],
    settle: Settle,
    keep: Callable[[State, State], None],
) -> State | None:
    """``state`` after all that is at its limit has let go, each time kept as a step; None: cannot tell.

    Args:
        history: with ``state`` as its last kept step.
        state: where the frame is.
        watches: what may let go.
        settle: finds the balance without it.
        keep: keeps a settled state (second) after the one before it (first).
    """
    a = history.assembly
    for _ in range(MOST_AT_ONCE):
        gone = _at_their_limit(history, watches)
        if not gone:
            return state
        new = _handed_back(a, [loss.part for loss in gone], state, settle)
        if new is None:
            history.losses.extend(gone)
            return None
        keep(state, new)
        # what the frame lost of its stored energy as the parts sprang apart is spent
        lost = history.work[-1] - history.stored[-1] - history.spent[-1]
        before = history.work[-2] - history.stored[-2] - history.spent[-2]
        history.spent[-1] += max(lost - before, 0.0)
        history.losses.extend(replace(loss, after=new.load) for loss in gone)
        state = new
    return None


def ends_here(history: History, watches: Sequence[Watch]) -> bool:
    """Whether something is at its limit; it is kept as a loss that takes nothing away."""
    history.losses.extend(_at_their_limit(history, watches))
    return bool(history.losses)


def _at_their_limit(history: History, watches: Sequence[Watch]) -> list[Loss]:
    """The worst part of each watch that is at its limit, with the travel at which it came to it."""
    a, found = history.assembly, list[Loss]()
    for k, watch in enumerate(watches):
        now = watch.shares(a)
        before = history.shares.get(k, np.zeros(len(now)))
        history.shares[k] = now
        if not len(now) or not now.max() >= REACHED:
            continue
        row = int(np.argmax(now))
        travel, last = history.travel[-1], history.travel[-2] if len(history.travel) > 1 else 0.0
        reached = float(np.clip((1.0 - before[row]) / max(now[row] - before[row], 1e-12), 0.0, 1.0))
        found.append(
            Loss(
                kind=watch.kind, part=watch.part(a, row), travel=last + reached * (travel - last),
                step=len(history.travel), before=history.load[-1], after=history.load[-1],
            )
        )  # fmt: skip
    return found


def let_go(a: Assembly, part: Part, hold: float = 0.0) -> None:
    """Leave ``part`` with the part ``hold`` of what it carries, from the next try on; 0 is for good."""
    for rows, holds in (
        (part.elements, a.state.hold), (part.springs, a.ties.spring_hold),
        (part.bars, a.ties.bar_hold), (part.hinges, a.ties.hinge_hold),
    ):  # fmt: skip
        holds[list(rows)] = np.minimum(holds[list(rows)], hold)
    if hold == 0.0:
        a.skin[list(part.elements)] = 0.0
        _leave_loose(a)


def _handed_back(a: Assembly, parts: list[Part], state: State, settle: Settle) -> State | None:
    """``state`` in balance without ``parts``; their force is handed back bit by bit where it must be."""
    hold, step = 1.0, 1.0
    while hold > 0.0:
        kept = [v.copy() for v in _holds(a)]
        wanted = max(hold - step, 0.0)
        for part in parts:
            let_go(a, part, wanted)
        new = settle(state)
        if new is not None:
            hold, state = wanted, new
            continue
        step *= 0.5
        if step < SMALLEST:
            return None
        for v, was in zip(_holds(a), kept, strict=True):
            v[:] = was
    return state


def _holds(a: Assembly) -> tuple[Floats, ...]:
    return a.state.hold, a.ties.spring_hold, a.ties.bar_hold, a.ties.hinge_hold


def _leave_loose(a: Assembly) -> None:
    """Mark the nodes that nothing holds any more, and leave what let go out of the tool's reach."""
    model, ends = a.model, (a.model.elements, a.model.bars.ends, a.model.hinges.ends)
    held = [h > 0.0 for h in (a.state.hold, a.ties.bar_hold, a.ties.hinge_hold)]
    pairs = np.concatenate([e[h] for e, h in zip(ends, held, strict=True)])
    n = len(model.nodes)
    graph = coo_matrix((np.ones(len(pairs)), (pairs[:, 0], pairs[:, 1])), shape=(n, n))
    part = connected_components(graph, directed=False)[1]
    stands = np.zeros(n, np.bool_)
    stands[model.fixed.any(axis=1)] = True
    stands[model.springs.node[a.ties.spring_hold > 0.0]] = True
    a.loose = np.flatnonzero(~np.isin(part, part[stands]) & (a.top.slots.column >= 0))
    if a.points is not None:
        p, off = a.points, np.zeros(n, np.bool_)
        off[a.loose] = True
        torn = (p.element >= 0) & (a.state.hold[p.element] == 0.0)
        reach = ~torn & ~off[p.first]
        a.points = p.only(reach)
