"""No text, however broken, gets anything but a frame or located problems out of the frame file."""

from __future__ import annotations

import json

from hypothesis import given, settings
from hypothesis import strategies as st

from cagewright.base.problems import ProblemsFound
from cagewright.frame.neutral import KEYS, parse_frame
from cases import cases

GOOD = {
    "nodes": [[0, 0, 0], [0, 0, 500], [0, 0, 1000]],
    "elements": [[0, 1, 45, 2.5], [1, 2, 45, 2.5]],
    "fixed": [0],
    "E": 210000,
    "nu": 0.3,
    "fy": 350,
    "hardening": 0.01,
    "shear": True,
    "load": {"node": 2, "direction": [1, 0, 0], "target": 50},
}
SCRAP = st.recursive(
    st.none() | st.booleans() | st.floats() | st.integers() | st.text(max_size=5),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text(max_size=5), inner, max_size=3),
    max_leaves=12,
)


def parse(text: str) -> None:
    try:
        model, _ = parse_frame(text)
    except ProblemsFound:
        return
    assert len(model.elements) > 0


@given(st.text(max_size=60))
@settings(deadline=None)
def test_any_text(text):
    parse(text)


@given(key=st.sampled_from(KEYS), value=SCRAP)
@settings(max_examples=cases(300), deadline=None)
def test_any_value_at_any_key(key, value):
    parse(json.dumps({**GOOD, key: value}))


@given(key=st.sampled_from(["node", "direction", "target"]), value=SCRAP)
@settings(deadline=None)
def test_any_value_in_the_load(key, value):
    parse(json.dumps({**GOOD, "load": {**GOOD["load"], key: value}}))


@given(row=st.lists(SCRAP, min_size=1, max_size=5), key=st.sampled_from(["nodes", "elements", "fixed"]))
@settings(max_examples=cases(200), deadline=None)
def test_any_row(row, key):
    parse(json.dumps({**GOOD, key: [*GOOD[key], row]}))
