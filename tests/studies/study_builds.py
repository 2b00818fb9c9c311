"""Is a build measured by tape where the adjustment says, and is a slip of 12 mm found?"""

from simulated_builds import tally

SEED = 7
SMALL, FULL = 60, 500
"""Builds made up by lot, each of a hoop, two legs and a header."""


def figures(size: int, seed: int) -> dict[str, float]:
    """Shares of marks within their 95 % region, of slips found, and of clean builds falsely accused."""
    inside, found, alarms = tally(size, seed)
    return {"builds": size, "inside": round(inside, 4), "found": found, "alarms": alarms}


def check(found: dict[str, float]) -> None:
    """Hold what the study is to show.

    Raises:
        AssertionError: it does not.
    """
    # four bodies a build, 95 % of them inside; three standard errors either way
    error = 3.0 * (0.95 * 0.05 / (4 * found["builds"])) ** 0.5
    assert 0.95 - error < found["inside"] <= 1.0
    assert found["found"] >= 0.9
    assert found["alarms"] <= 0.1
