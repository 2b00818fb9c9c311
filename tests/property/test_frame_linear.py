"""For any cage: more tube never makes it softer, and swapping load and reading changes nothing."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from cagewright.frame.linear import solve_linear
from cagewright.frame.neutral import parse_frame
from cases import cases

FRAME = json.loads(
    (Path(__file__).resolve().parents[1] / "data" / "frame" / "linear-shear.json").read_text()
)["frame"]
NODES = len(FRAME["nodes"])
FREE = [k for k in range(NODES) if k not in FRAME["fixed"]]
PAIRS = {tuple(sorted(map(int, e[:2]))) for e in FRAME["elements"]}


def compliance(frame, loads) -> float:
    model, _ = parse_frame(json.dumps(frame))
    return float(2.0 * solve_linear(model, loads[None]).energy[0])


@given(
    pair=st.tuples(st.integers(0, NODES - 1), st.integers(0, NODES - 1)).filter(
        lambda p: p[0] != p[1] and tuple(sorted(p)) not in PAIRS
    ),
    od=st.floats(20.0, 60.0), seed=st.integers(0, 10**6),
)  # fmt: skip
@settings(max_examples=cases(40), deadline=None)
def test_adding_a_member_never_softens(pair, od, seed):
    loads = np.random.default_rng(seed).standard_normal((NODES, 6)) * [1, 1, 1, 100, 100, 100]
    loads[FRAME["fixed"]] = 0.0
    more = {**FRAME, "elements": [*FRAME["elements"], [*pair, od, 2.0]]}
    assert compliance(more, loads) <= compliance(FRAME, loads) * (1.0 + 1e-9)


@given(
    first=st.tuples(st.sampled_from(FREE), st.integers(0, 5)),
    second=st.tuples(st.sampled_from(FREE), st.integers(0, 5)),
)
@settings(max_examples=cases(40), deadline=None)
def test_movement_here_from_a_load_there_equals_the_other_way_round(first, second):
    """Maxwell and Betti's reciprocal theorem."""
    model, _ = parse_frame(json.dumps(FRAME))
    loads = np.zeros((2, NODES, 6))
    loads[0][first], loads[1][second] = 1.0, 1.0
    got = solve_linear(model, loads).displacement
    largest = np.abs(got).max()
    assert got[0][second] == pytest.approx(got[1][first], rel=1e-7, abs=1e-10 * largest)


@given(seed=st.integers(0, 10**6))
@settings(max_examples=cases(20), deadline=None)
def test_renumbering_the_nodes_changes_nothing(seed):
    rng = np.random.default_rng(seed)
    order = rng.permutation(NODES)
    where = np.argsort(order)
    other = {**FRAME, "nodes": [FRAME["nodes"][k] for k in order],
             "elements": [[int(where[e[0]]), int(where[e[1]]), *e[2:]] for e in FRAME["elements"]],
             "fixed": [int(where[k]) for k in FRAME["fixed"]],
             "load": {**FRAME["load"], "node": int(where[FRAME["load"]["node"]])}}  # fmt: skip
    loads = rng.standard_normal((NODES, 6))
    a = solve_linear(parse_frame(json.dumps(FRAME))[0], loads[None]).displacement[0]
    b = solve_linear(parse_frame(json.dumps(other))[0], loads[order][None]).displacement[0]
    assert b[where] == pytest.approx(a, rel=1e-6, abs=1e-9 * np.abs(a).max())
