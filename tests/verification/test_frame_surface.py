"""The M-N surface of round tubes: how much bending a tube carries beside a pull or push.

Thin ring cos(pi n/2), and the exact annulus of two cage tubes by its plastic stress block, computed by an
independent route. The model takes the thin ring: for these walls at most 3.5 % of the moment near the squash
load, and under 0.2 % up to half of it.
"""

from __future__ import annotations

import numpy as np
import pytest

from cagewright.frame.members import plastic_use

SURFACE = [
    (0.1, 0.98769, 0.98770, 0.98772), (0.2, 0.95106, 0.95111, 0.95118), (0.3, 0.89101, 0.89114, 0.89130),
    (0.4, 0.80902, 0.80926, 0.80955), (0.5, 0.70711, 0.70751, 0.70800), (0.6, 0.58779, 0.58843, 0.58919),
    (0.7, 0.45399, 0.45500, 0.45623), (0.8, 0.30902, 0.31077, 0.31296), (0.9, 0.15643, 0.15938, 0.16163),
]  # fmt: skip


@pytest.mark.parametrize(("n", "thin", "hoop", "thick"), SURFACE)
def test_axial_force_with_bending(n, thin, hoop, thick):
    """45 x 2.5 mm and 1.5 x 0.120 in: the thin ring's share is 1 on its surface, a little over on theirs."""
    use = plastic_use(np.full(3, n), np.array([thin, hoop, thick]))
    assert use[0] == pytest.approx(1.0, abs=1e-5)
    assert 1.0 - 1e-5 <= use[1] <= use[2] <= 1.004
