"""A published levelling net, a levelling loop and a braced square.

Net: G. Strang and K. Borre, Linear Algebra, Geodesy, and GPS (1997), levelling of two points E, F from
three fixed ones; the figures and the weighted sum of squares 4.636 and error factor 1.243 of an
independent adjustment with 0.006 m per root km are second-hand, from a surveyors' discussion that
prints both (read there). Loop and square: the condition adjustment v = c (c'c)^-1 w, worked by hand
below (computed).
"""

import numpy as np
import pytest

from cagewright.fitup.adjust import adjust
from cagewright.fitup.network import Body, Reading, network
from fitted import mark


def level(a, b, seen):
    return Reading(name=f"{a} to {b}", kind="level", a=a, b=b, axis=2, seen=seen, size=1.0)


def test_a_closed_levelling_loop_shares_its_misclosure_equally():
    marks = [mark("a", [0, 0, 0]), mark("b", [900, 0, 10], "b"), mark("c", [0, 900, 15], "c")]
    net = network(marks, [Body(name=n, members=(n,)) for n in ("b", "c")])
    found = adjust(net, [level("a", "b", 10.0), level("b", "c", 5.0), level("c", "a", -12.0)])
    # misclosure 10 + 5 - 12 = +3: each run gives up 1, to the softness of the 50 mm start (1 in 2500)
    assert [c.residual for c in found.checks] == pytest.approx([1.0, 1.0, 1.0], abs=5e-3)
    assert found.places[1, 2] == pytest.approx(9.0, abs=0.02)
    assert found.places[2, 2] == pytest.approx(13.0, abs=0.02)
    # each run is one third checked: one redundancy over three equal readings
    assert [c.checked for c in found.checks] == pytest.approx([1 / 3] * 3, abs=1e-3)
    # height of b: two ways, 1 and 2 runs long: variance 1 / (1 + 1/2) = 2/3
    assert found.mark_covariance[1, 2, 2] == pytest.approx(2.0 / 3.0, rel=2e-3)


def test_a_braced_square_shares_its_misclosure_by_the_condition():
    """Points p, q read from held a, b on the square's corners, in a plane: one condition among five tapes."""
    corners = {"a": [0, 0, 0], "b": [1000, 0, 0], "p": [0, 1000, 0], "q": [1000, 1000, 0]}
    marks = [mark(n, at, n if n in "pq" else None) for n, at in corners.items()]
    net = network(marks, [Body(name=n, members=(n,)) for n in "pq"])
    diagonal = 1000.0 * np.sqrt(2.0)
    tapes = [
        ("a", "p", 1000.0),
        ("b", "q", 1000.0),
        ("p", "q", 1000.0),
        ("a", "q", diagonal),
        ("b", "p", diagonal + 2.0),
    ]
    seen = [Reading(name=a + b, kind="tape", a=a, b=b, axis=-1, seen=s, size=1.0) for a, b, s in tapes]
    found = adjust(net, seen)
    # A small change of the five lengths closes where it does no work with the square's self-stress: sides 1,
    # diagonals -sqrt(2) (plane statics; the held side takes its share silently). v = c (c'c)^-1 w.
    c = np.array([1.0, 1.0, 1.0, -np.sqrt(2.0), -np.sqrt(2.0)])
    misclosure = c @ np.array([0.0, 0.0, 0.0, 0.0, 2.0])
    wanted = c * misclosure / (c @ c)
    assert [k.residual for k in found.checks] == pytest.approx(wanted, abs=0.01)
    assert [k.checked for k in found.checks] == pytest.approx(c**2 / (c @ c), abs=2e-3)


def test_the_levelling_net_of_strang_and_borre():
    fixed = {"A": 10021.0, "B": 10321.0, "C": 11002.0}
    rough = {"E": 10740.0, "F": 12000.0}
    marks = [mark(n, [0, 0, z]) for n, z in fixed.items()] + [mark(n, [0, 0, z], n) for n, z in rough.items()]
    net = network(marks, [Body(name=n, members=(n,)) for n in "EF"])
    runs = [
        ("A", "E", 732.0, 970),
        ("A", "F", 1978.0, 1002),
        ("B", "E", 420.0, 1070),
        ("C", "F", 988.0, 1110),
        ("E", "F", 1258.0, 890),
    ]
    seen = [
        Reading(name=a + b, kind="level", a=a, b=b, axis=2, seen=d, size=6.0 * np.sqrt(run / 1000.0))
        for a, b, d, run in runs
    ]
    found = adjust(net, seen, false_alarm=1e-9)
    square = sum((c.residual / c.reading.size) ** 2 for c in found.checks)
    # the soft 50 mm start takes 1 in 100 of what a 3.7 mm spread leaves
    assert square == pytest.approx(4.636, rel=0.01)
    assert found.unit_sigma == pytest.approx(1.243, rel=0.01)
    # heights by the normal equations (computed): 10.74450 and 11.99762 m
    assert found.places[net.index["E"], 2] == pytest.approx(10744.50, abs=0.1)
    assert found.places[net.index["F"], 2] == pytest.approx(11997.62, abs=0.1)
