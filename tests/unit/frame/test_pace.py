"""The pace of a push: a step that is refused is proposed shorter, down to a size that is always kept."""

from types import SimpleNamespace

import numpy as np
import pytest

from cagewright.frame.pace import Pace, accepts, proposed
from cagewright.frame.place import hopeless


def record(at):
    """A push at ``at`` mm whose curve was steep before and past its first yield."""
    return SimpleNamespace(
        travel=[at - 0.5, at], load=[0.0, 500.0], events=[object()], largest=500.0, assembly=None
    )


@pytest.mark.parametrize("room", np.linspace(0.05, 1.0, 96).round(3).tolist())
def test_a_refused_step_gets_shorter_until_it_is_kept(room):
    """Wherever the next whole step lies, a sharp bend of the curve ends in a kept step, and soon."""
    full = 5.0
    pace = Pace(full=full, smallest=2e-3, cut=0.4, size=full)
    made = record(20.0 + full * (1.0 - room))
    tried = []
    for _ in range(12):
        step = proposed(pace, made, 100.0)
        assert step < (tried[-1] if tried else np.inf)
        tried.append(step)
        if accepts(pace, made, travel=made.travel[-1] + step, load=0.0):
            return
    pytest.fail(f"never kept: {tried}")


def test_a_step_is_given_up_only_after_six_corrections_that_led_nowhere():
    nowhere = [0.3, 0.5, 0.5, 0.3, 0.2, 1.0]
    assert hopeless(nowhere)
    assert not hopeless(nowhere[:5])
    assert not hopeless([0.4, 0.6, 0.3, 0.2, 0.04, 6e-4])  # a first touch, which settles
    assert not hopeless([1e-3, 2e-3, 2e-3, 2e-3, 2e-3, 2e-3])  # small already: left its tries
