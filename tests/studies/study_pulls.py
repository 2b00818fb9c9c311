"""Does pull order nothing that the readings do not fix, and all that is out by more than twice its +-?"""

from functools import cache

import numpy as np

from cagewright.fitup.adjust import adjust
from cagewright.fitup.choose import MOST, choose_readings, tapes_of
from cagewright.fitup.pull import WITHIN, stands_of
from fitted import brackwater, disturbed, front, taken

SEED = 29
SMALL, FULL = 300, 10_000
"""Reading sets: by lot 6 to all of those worth taking on the demo's front half, of tubes set down by lot."""


COUNTED = (
    "ends", "not_fixed", "orders", "not_fixed_ordered", "within_its_own_plus_minus", "twice_out",
    "twice_out_ordered", "axes_ordered", "inside", "worse",
)  # fmt: skip
"""``inside``: the order is right to its +-; ``worse``: after it the axis is further out, by 1 mm or more."""


@cache
def worth_taking():
    """The network and every reading that brings something."""
    net, _ = front()
    many = choose_readings(net, tapes_of(net, brackwater().cage), wanted=0.1, slip=2.0, most=MOST)
    return net, tuple(c.reading for c in many)


def figures(size: int, seed: int) -> dict[str, float]:
    """Orders given and not, and how far they are from what is out in truth."""
    random = np.random.default_rng(seed)
    net, every = worth_taking()
    cage = brackwater().cage
    count = dict.fromkeys(COUNTED, 0)
    for _ in range(size):
        some = random.permutation(len(every))[: random.integers(6, len(every) + 1)]
        _, truth = disturbed(net, random, move=5.0, turn=0.006)
        found = adjust(net, taken(net, [every[i] for i in some], truth, random))
        for s in stands_of(cage, found):
            i = net.index[s.mark]
            fixed = net.bodies[int(net.body[i])].name not in found.loose
            ordered, true = s.pull != 0.0, net.points[i] - truth[i]
            size_of = np.abs(s.off)
            twice = fixed & (size_of > np.maximum(2.0 * s.sure, WITHIN))
            count["ends"] += 1
            count["not_fixed"] += not fixed
            count["orders"] += bool(ordered.any())
            count["not_fixed_ordered"] += bool(ordered.any() and not fixed)
            count["within_its_own_plus_minus"] += int((ordered & (size_of <= s.sure)).sum())
            count["twice_out"] += int(twice.sum())
            count["twice_out_ordered"] += int((twice & ordered).sum())
            count["axes_ordered"] += int(ordered.sum())
            count["inside"] += int((ordered & (np.abs(s.pull - true) <= s.sure)).sum())
            count["worse"] += int((ordered & (np.abs(true - s.pull) > np.abs(true) + 1.0)).sum())
    return {"sets": size, **count}


def check(found: dict[str, float]) -> None:
    """Hold what the study is to show.

    Raises:
        AssertionError: it does not.
    """
    assert found["not_fixed"] > 0
    assert found["not_fixed_ordered"] == 0
    assert found["within_its_own_plus_minus"] == 0
    assert found["twice_out"] > 0
    assert found["twice_out_ordered"] == found["twice_out"]
    # against the truth
    assert found["inside"] >= 0.9 * found["axes_ordered"]
    assert found["worse"] <= 0.01 * found["axes_ordered"]
