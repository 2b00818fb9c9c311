"""Made-up builds: bodies moved by known amounts, and the readings a tape with noise would give."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np

from cagewright.fitup.choose import choose_readings, tapes_of
from cagewright.fitup.marks import Mark
from cagewright.fitup.network import Body, network, placed, predicted, rows_of
from cagewright.job.marks import marks_for
from cagewright.job.opening import open_job

EXAMPLES = Path(__file__).parents[1] / "examples"


@cache
def brackwater():
    return open_job(EXAMPLES / "brackwater.yaml")


@cache
def brackwater_marks():
    return marks_for(brackwater())


FRONT = (
    Body(name="main_hoop", members=("main_hoop", "diagonal_hoop", "harness_bar_left", "harness_bar_right")),
    Body(name="front_leg_left", members=("front_leg_left",)),
    Body(name="front_leg_right", members=("front_leg_right",)),
    Body(name="header", members=("header",)),
)


@cache
def front():
    """The front half of the Brackwater, and the readings chosen for it."""
    net = network(brackwater_marks(), FRONT)
    return net, tuple(c.reading for c in choose_readings(net, tapes_of(net, brackwater().cage)))


def mark(name, point, member=None):
    at = np.asarray(point, float)
    return Mark(name=name, said=name, member=member, along=0.0, point=at, what="", face="")


def disturbed(net, rng, *, move=8.0, turn=0.008):
    """True places of bodies set down roughly."""
    k = len(net.bodies)
    state = np.concatenate([rng.normal(0.0, move, (k, 3)), rng.normal(0.0, turn, (k, 3))], axis=1)
    return state, placed(net, state)


def taken(net, readings, places, rng, *, noise=1.0):
    """What a tape says with the marks at those places."""
    said = predicted(rows_of(net, readings), places)
    return [
        replace(r, seen=float(s + noise * r.size * rng.normal())) for r, s in zip(readings, said, strict=True)
    ]
