"""Following a motion: how long each step is, what is kept, and where every joule went."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from cagewright.frame.assemble import keep_step
from cagewright.frame.body import evaluate_carried
from cagewright.frame.history import History, append_state, begin, settle, solution_of
from cagewright.frame.model import Floats, Loss, Solution
from cagewright.frame.moving import Motion, Moved, Mover, kinetic, numerical_loss, started, try_move
from cagewright.frame.release import REACHED, Watch, let_go

MOST_STEPS = 40_000
"""A motion that needs more steps has stalled."""
LINES = ("kinetic", "stored", "ground", "spent", "friction", "numerical", "work")


@dataclass(frozen=True, slots=True, kw_only=True)
class Account:
    """Where the energy is after every step (k,), N mm but for the first four; the first is the start.

    Attributes:
        time: s.
        force: N, out of the ground over the step before.
        corrections: of the step before.
        kinetic: of motion.
        stored: as elastic strain, feet and joints with it.
        ground: in the contacts with the ground.
        spent: so far on yielding of tubes, joints and feet, and held by what let go.
        friction: so far lost to sliding on the ground.
        numerical: so far taken out by the time stepping itself.
        work: so far put in by weight and other loads.
    """

    time: Floats
    force: Floats
    corrections: Floats
    kinetic: Floats
    stored: Floats
    ground: Floats
    spent: Floats
    friction: Floats
    numerical: Floats
    work: Floats

    @property
    def given(self) -> float:
        """All energy that was there to be spent: motion at the start and the most that loads put in, N mm."""
        return float(self.kinetic[0] + max(self.work.max(), 0.0))

    @property
    def gap(self) -> Floats:
        """What the lines do not account for (k,), N mm; above 0 where energy came from nowhere."""
        held = self.kinetic + self.stored + self.ground
        return held - held[0] + self.spent + self.friction + self.numerical - self.work


@dataclass(frozen=True, slots=True, kw_only=True)
class Followed:
    """A motion that was followed.

    Attributes:
        solution: the kept moments; its ``travel`` is in ms since the start, its ``load`` the mean force out
            of the ground since the moment before, its ``work`` what frame, joints and feet took up so far.
        velocity: (k, n, 6) mm/s and rad/s at the kept moments, a body's spin in its own axes.
        centre: (3,) mm, place of the last node at rest: a body's.
        account: of the energy, at every step.
        reached: the whole time was followed.
    """

    solution: Solution
    velocity: Floats
    centre: Floats
    account: Account
    reached: bool


@dataclass(slots=True, kw_only=True)
class _Ledger:
    rows: list[tuple[float, ...]] = field(default_factory=list[tuple[float, ...]])
    velocity: list[Floats] = field(default_factory=list[Floats])
    pushed: float = 0.0
    at: float = 0.0
    touching: int = 0


def follow(m: Mover, velocity: Floats, *, until: float, watches: Sequence[Watch] = ()) -> Followed:
    """The motion of the frame from where it is drawn, its nodes at ``velocity`` (n, 6), for ``until`` s.

    What ``watches`` say lets go does so after the step in which it came to its limit; what it held is
    spent.
    """
    motion = started(m, velocity)
    history, ledger, size = begin(m.c.a), _Ledger(), m.pace.first
    ledger.rows.append((0.0, 0.0, 0.0, kinetic(m, motion), 0.0, 0.0, 0.0, 0.0, 0.0, 0.0))
    ledger.velocity.append(motion.v.copy())
    while until - motion.time > 1e-9 * until and len(ledger.rows) < MOST_STEPS:
        moved = try_move(m, motion, min(size, until - motion.time))
        if moved is None or (moved.error > 4.0 * m.pace.error and moved.size > m.pace.shortest):
            size = 0.4 * min(size, until - motion.time)
            if size < m.pace.shortest:
                break
            continue
        _keep(m, history, ledger, motion, moved, watches)
        motion, size = moved.motion, _next(m, moved)
    if motion.time > ledger.at:
        _keep_moment(history, ledger, motion)
    reached = until - motion.time <= 1e-9 * until
    words = (
        f"followed for {motion.time * 1e3:.4g} ms" if reached else f"stalled at {motion.time * 1e3:.4g} ms"
    )
    columns = [np.array(column) for column in zip(*ledger.rows, strict=True)]
    return Followed(
        solution=solution_of(history, reached=reached, end=words),
        velocity=np.array(ledger.velocity),
        centre=m.c.a.model.nodes[-1],
        account=Account(
            time=columns[0], force=columns[1], corrections=columns[2],
            **dict(zip(LINES, columns[3:], strict=True)),
        ),
        reached=reached,
    )  # fmt: skip


def _keep(
    m: Mover, history: History, ledger: _Ledger, at: Motion, moved: Moved, watches: Sequence[Watch]
) -> None:
    """Enter a settled step into the account, and a moment where one is due."""
    now, last = moved.motion, ledger.rows[-1]
    stored, spent = settle(history, last=at.time * 1e3, travel=now.time * 1e3)
    total, held, lost, touching = moved.ground
    if watches and _let_go(m, history, now, watches):
        held_before = stored
        stored, _ = keep_step(m.c.a, history.over)
        spent += held_before - stored
    ledger.rows.append((
        now.time, total, float(moved.corrections), kinetic(m, now), stored, held, last[6] + spent,
        last[7] + lost, last[8] + numerical_loss(m, at, moved), last[9] + float((m.load * moved.step).sum()),
    ))  # fmt: skip
    ledger.pushed, ledger.touching = ledger.pushed + total * moved.size, touching
    if now.time - ledger.at >= m.pace.frames * (1.0 - 1e-9):
        _keep_moment(history, ledger, now)


def _let_go(m: Mover, history: History, now: Motion, watches: Sequence[Watch]) -> bool:
    """Whether anything at its limit let go; the frame's forces are then those without it."""
    a, gone = m.c.a, list[Loss]()
    whole, a.ties = a.ties, m.c.told
    for watch in watches:
        shares = watch.shares(a)
        if len(shares) and shares.max() >= REACHED:
            part, time = watch.part(a, int(np.argmax(shares))), now.time * 1e3
            gone.append(
                Loss(kind=watch.kind, part=part, travel=time, step=len(history.travel), before=0.0, after=0.0)
            )
    for loss in gone:
        let_go(a, loss.part)
    a.ties = whole
    if gone:
        history.losses.extend(gone)
        evaluate_carried(m.c, now.x, now.r)
        now.force = a.force.copy()
    return bool(gone)


def _keep_moment(history: History, ledger: _Ledger, now: Motion) -> None:
    row = ledger.rows[-1]
    history.assembly.force[:] = now.force
    append_state(history, now.x.copy(), now.r.copy())
    history.touching[-1] = ledger.touching
    history.travel.append(now.time * 1e3)
    history.load.append(ledger.pushed / (now.time - ledger.at))
    history.negative.append(0)
    history.work.append(row[4] + row[6])
    history.stored.append(row[4])
    history.spent.append(row[6])
    ledger.velocity.append(now.v.copy())
    ledger.pushed, ledger.at = 0.0, now.time


def _next(m: Mover, moved: Moved) -> float:
    """The next step, s: by this one's error and corrections."""
    pace = m.pace
    grow = min(1.5, 0.9 * (pace.error / max(moved.error, 1e-300)) ** (1.0 / 3.0))
    if moved.corrections > 5:
        grow = min(grow, 0.8)
    return float(np.clip(moved.size * max(grow, 0.3), pace.shortest, pace.longest))
