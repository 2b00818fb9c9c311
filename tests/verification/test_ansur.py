"""Body measures: the shipped rows against each other and against independent figures.

Sources: ANSUR II public data files (4082 men, 1986 women), statistics from the raw data (computed); stature
of the published report (C. Gordon and others, NATICK/TR-15/007, 2014: men 1756, women 1629 mm, from memory,
unchecked); eye heights over the H point against seat-back lean, GRSG informal document, October 2008 (read);
Formula SAE Rules 2024 F.5.6.4, 95th percentile side template (read).
"""

import math
from statistics import NormalDist

import numpy as np
import pytest

from cagewright.plan.types import PersonEntry
from cagewright.shape.seated import (
    figures,
    head_centre,
    measure,
    seated_parts,
    template_head,
)

ROWS = [  # name, men mean, sd, p5, p50, p95; women the same
    ("stature", 1756.2, 68.6, 1648, 1755, 1870, 1628.5, 64.2, 1525, 1626, 1740),
    ("sitting height", 918.3, 35.7, 860, 918, 977, 856.6, 33.1, 803, 857, 912),
    ("eye height, sitting", 804.5, 33.2, 750, 804, 860, 747.7, 30.4, 698, 748, 799),
    ("acromion above the seat", 602.8, 30.8, 552, 603, 653, 563.2, 27.8, 515, 564, 609),
    ("shoulder breadth", 510.4, 32.5, 459, 509, 567, 450.3, 28.7, 406, 450, 499),
    ("hip breadth, sitting", 379.3, 30.2, 333, 378, 431, 399.0, 32.8, 348, 397, 456),
    ("buttock to knee", 618.0, 30.6, 569, 617, 669, 590.6, 32.6, 541, 589, 646),
    ("knee height, sitting", 554.2, 28.0, 509, 553, 602, 511.3, 27.1, 469, 510, 557),
    ("chest depth", 253.8, 26.3, 211, 253, 298, 247.4, 27.3, 205, 245, 296),
    ("eye to top of head", 113.8, 9.0, 100, 114, 129, 108.9, 8.2, 96, 109, 123),
]


def at_percentile(name, people, percentile):
    """A measure at a percentile, mm, by the normal curve of its mean and standard deviation."""
    row = measure(name, people)
    return NormalDist(row["mean"], row["sd"]).inv_cdf(percentile / 100.0)


@pytest.mark.parametrize("row", ROWS, ids=[row[0] for row in ROWS])
def test_the_shipped_rows(row):
    for people, (mean, sd, p5, p50, p95) in (("men", row[1:6]), ("women", row[6:])):
        shipped = measure(row[0], people)
        assert (shipped["mean"], shipped["sd"]) == (mean, sd)
        assert (shipped["p5"], shipped["p50"], shipped["p95"]) == (p5, p50, p95)


@pytest.mark.parametrize("row", ROWS, ids=[row[0] for row in ROWS])
def test_the_normal_curve_meets_the_counted_percentiles(row):
    """Within 2 % (chest depth and breadths are skewed, so the counted tails lie off the normal curve)."""
    for people, counted in (("men", row[3:6]), ("women", row[8:11])):
        for percentile, value in zip((5, 50, 95), counted, strict=True):
            assert at_percentile(row[0], people, percentile) == pytest.approx(value, rel=0.02)


@pytest.mark.parametrize(("people", "mm"), [("men", 1756.0), ("women", 1629.0)])
def test_stature_of_the_published_report(people, mm):
    assert measure("stature", people)["mean"] == pytest.approx(mm, rel=1e-3)


def driver(**more) -> PersonEntry:
    return PersonEntry(**{"hip": [0, 0, 0], "back_angle": "25 deg", "stature": 1756.2, **more})


@pytest.mark.parametrize(("lean", "height"), [(5, 675.6), (15, 662.0), (25, 635.0), (35, 595.6), (40, 571.6)])
def test_the_dummy_s_eye_heights(lean, height):
    """The helmet's circle is centred at eye height; a man of mean stature is the 50th percentile dummy."""
    centre, doubt, _, certainty = head_centre(driver(back_angle=f"{lean} deg"))
    assert centre[2] == pytest.approx(height, abs=0.05)
    assert doubt > 0.0
    assert certainty == "memory"


def test_the_head_lies_where_the_regulation_s_eye_would_have_it():
    """UN R125 V1 (68 behind R at 25 degrees, from memory) is half a head ahead of the head's middle."""
    centre, *_ = head_centre(driver())
    assert centre[0] - measure("head length", "men")["mean"] / 2.0 == pytest.approx(68.0, abs=0.1)


def test_the_95th_percentile_template_is_met_by_a_95th_percentile_man():
    """His shoulder circle is centred within 5 mm of the rule's 490 mm up the back (own round of 75 mm)."""
    tall = driver(stature=at_percentile("stature", "men", 95))
    shoulders = next(part for part in seated_parts(tall) if part.name == "shoulder")
    up = float(np.linalg.norm((shoulders.one + shoulders.two) / 2.0))
    assert up == pytest.approx(figures()["template"]["hip_to_shoulder"], abs=5.0)


def test_the_template_s_head_is_770_up_the_back():
    lean = math.radians(25.0)
    assert template_head(driver()) == pytest.approx([770 * math.sin(lean), 0.0, 770 * math.cos(lean)])
