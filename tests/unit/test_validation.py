"""The page of physical tests holds what its files come to, and a curve of a test is read."""

from __future__ import annotations

import importlib.util
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
_spec = importlib.util.spec_from_file_location("validation", ROOT / "scripts" / "validation.py")
assert _spec is not None
assert _spec.loader is not None
validation = importlib.util.module_from_spec(_spec)
_spec.loader.exec_module(validation)


def test_the_page_is_up_to_date():
    made = validation.table(sorted((ROOT / "docs" / "validation").glob("*.yaml")))
    assert made in (ROOT / "docs" / "validation.md").read_text()
    assert made.count("\n") >= 3


def test_a_measured_curve_is_set_beside_ours():
    frame = {
        "nodes": [[0, 0, 0], [0, 500, 0]], "fixed": [0], "E": 210000, "fy": 1e4,
        "load": {"node": 1, "direction": [0, 0, -1], "target": 2}, "shear": False,
    }  # fmt: skip
    stiff = 400.0
    test = {"frame": frame, "tubes": {"a": [45, 2.5]}, "measured": [{"of": "a", "curve": [[1, 2 * stiff]]}]}
    ((words, measured, ours),) = validation.rows(test)
    assert words == "a at 1 mm, N"
    # 3 E I/L3 by hand
    assert ours == pytest.approx(3 * 210e3 * 3.141592653589793 / 64 * (45**4 - 40**4) / 500**3, rel=1e-3)
    assert measured == 2 * stiff
