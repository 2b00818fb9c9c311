"""Simulated builds with known errors, read by a tape with 1 mm noise; hundreds of them in tests/studies.

Source of the expected figures: the definition of a 95 % region (chi-square, 3 freedoms) and of the
false-alarm chance; the truth is known because it was made (computed).
"""

from simulated_builds import tally


def test_a_few_builds():
    inside, found, alarms = tally(20, 3)
    # 20 builds of 4 bodies: 80 independent places, 95 % within three standard errors of 2.4 %
    assert 0.88 < inside <= 1.0
    assert found >= 0.9
    assert alarms <= 0.1
