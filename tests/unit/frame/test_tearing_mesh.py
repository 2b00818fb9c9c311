"""The energy to the first tear of the demo does not hang on the mesh: 5 % at most, as measured 1 %."""

from __future__ import annotations

import numpy as np
import pytest

from cagewright.frame.choices import Choices
from cagewright.frame.idealise import idealise
from cagewright.frame.push_names import push_named
from cagewright.frame.respond import marks_of, solve
from pushed import demo


def to_first_tear(mesh: float) -> tuple[float, str]:
    """J put in until the first tube tears under the default push, and the tube; joints stiff and whole."""
    cage = demo()[2]
    push = push_named(cage, "front-corner-left")
    choices = Choices(joints="report", flexibility=0.0, dents=False, mesh=mesh)
    answer = solve(idealise(cage, choices, marks_of([push])), push, travel=95.0)
    first = answer.losses[0]
    assert first.kind == "tube"
    return float(np.interp(first.travel, answer.travel, answer.work)) * 1e-3, first.part.name


@pytest.mark.slow
def test_a_mesh_four_times_finer_moves_it_by_less_than_5_percent():
    usual, fine = to_first_tear(40.0), to_first_tear(10.0)
    assert usual[1] == fine[1]
    assert usual[0] == pytest.approx(fine[0], rel=0.05)
