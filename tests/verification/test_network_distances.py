"""A published position from six measured distances in space.

A. Norrdine, An Algebraic Solution to the Multilateration Problem, International Conference on Indoor
Positioning and Indoor Navigation (2012): six reference points in a hall, the radio distances measured to a
seventh (two of them corrected there for walls they passed), and where that one really is. Second-hand: read
in the author's published example program. The least-squares position is computed here by scipy from the bare
distance equations.
"""

import numpy as np
import pytest
from scipy.optimize import least_squares

from cagewright.draft import network as survey
from cagewright.fitup.adjust import adjust
from cagewright.fitup.network import Body, Reading, network
from fitted import mark

POINTS = 1000.0 * np.array([
    [27.297, -4.953, 1.47],
    [20.693, -4.849, 1.93],
    [22.590, 0.524, 1.20],
    [17.113, -3.003, 2.17],
    [22.554, 4.727, 1.77],
    [22.447, -7.880, 1.60],
])
READ = 1000.0 * np.array([3.652, 7.036, 4.586, 9.960 - 0.12, 7.542 - 0.14, 7.883])
TRUE = 1000.0 * np.array([26.759, -1.342, 1.13])
START = TRUE + np.array([30.0, -20.0, 290.0])


def by_scipy():
    return least_squares(lambda p: np.linalg.norm(POINTS - p, axis=1) - READ, START, xtol=1e-14).x


def test_the_fit_up_puts_the_mark_where_the_bare_equations_do():
    fixed = [mark(f"p{i}", at) for i, at in enumerate(POINTS)]
    net = network([*fixed, mark("n", START, "n")], [Body(name="n", members=("n",))])
    tapes = [
        Reading(name=f"p{i}", kind="tape", a=f"p{i}", b="n", axis=-1, seen=s, size=2.0)
        for i, s in enumerate(READ)
    ]
    found = adjust(net, tapes, false_alarm=1e-300)
    assert not found.outliers
    # the soft 50 mm start holds back the weakest way, up: 1/2500 against the distances' own
    there = by_scipy()
    slope = (there - POINTS) / np.linalg.norm(there - POINTS, axis=1)[:, None]
    soft = np.linalg.inv(slope.T @ slope / 4.0 + np.eye(3) / 2500.0) @ ((START - there) / 2500.0)
    assert found.places[net.index["n"]] == pytest.approx(there + soft, abs=0.8)  # to first order


def test_the_survey_puts_the_point_there_too():
    seen = [
        survey.Observation(reading="r", part="", value=f"{i}", seen=s, spread=100.0, point="n", other=f"p{i}")
        for i, s in enumerate(READ)
    ]
    fixed = [
        survey.Observation(reading="", part="", value="", seen=at[k], spread=0.01, point=f"p{i}", axis=k)
        for i, at in enumerate(POINTS)
        for k in range(3)
    ]
    start = {"n": tuple(TRUE + 25.0), **{f"p{i}": tuple(at) for i, at in enumerate(POINTS)}}
    found = survey.solve([*seen, *fixed], start)
    assert found.points["n"][:2] == pytest.approx(by_scipy()[:2], abs=0.05)
    assert found.points["n"][2] == pytest.approx(by_scipy()[2], abs=0.5)  # the six hold it ten times worse


def test_it_is_the_published_place_as_far_as_the_distances_are_good():
    """In plan; the six stand within a metre of one height, so that height is told ten times worse."""
    left = np.linalg.norm(POINTS - TRUE, axis=1) - READ
    assert np.abs(left).max() < 60.0  # what a radio distance is worth, from the example itself
    assert by_scipy()[:2] == pytest.approx(TRUE[:2], abs=60.0)
