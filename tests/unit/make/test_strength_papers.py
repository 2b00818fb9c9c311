"""Pictures and tables of a push: what is drawn where, what is said when it cannot be told."""

from dataclasses import replace

import numpy as np
import pytest

from cagewright.frame.results import Event, TubePlace
from cagewright.make.projection import on_paper
from cagewright.make.ramp import ramp
from cagewright.make.strength_drawing import NUMBERED, bent_view, load_drawing, numbered, use_view
from cagewright.make.strength_sheet import push_tables, pushes_table, strength_sheets
from cagewright.make.svg import to_svg
from cagewright.make.views import FRAMES
from pushed import roll_bar, summary


@pytest.fixture(scope="module")
def results():
    return summary("main-hoop-down").results[0]


@pytest.fixture(scope="module")
def cage():
    return roll_bar()[2]


def cells(table):
    return {row[0]: row[1:] for row in table.rows}


def test_each_tube_has_the_colour_of_its_use(results, cage):
    drawing = use_view(cage, results)
    inks = {s.look.ink for s in drawing.strokes if s.look and s.look.width == 0.0}
    for use in results.members:
        assert ramp(round(min(use.most, 1.0), 2)) in inks
    words = {label.text for label in drawing.labels}
    assert {"0", "0.25", "0.5", "0.75", "1", "bends through here"} <= words


def test_the_bent_cage_is_drawn_at_true_size_over_the_cage_at_rest(results, cage):
    shape = results.shapes[-1]
    drawing = bent_view(cage, results, shape, "front")
    view = replace(FRAMES["front"], scale=drawing.scale)
    heavy = [s.points for s in drawing.strokes if s.layer == "tube"]
    assert len(heavy) == len(cage.members)
    for points, line in zip(heavy, shape.lines, strict=True):
        assert np.allclose(points, on_paper(view, line))
    assert any(f"{shape.travel:.0f} mm" in label.text for label in drawing.labels)


def test_the_platen_is_drawn_where_it_touches(results, cage):
    """Pressed straight down, its edge lies a tube's radius above the highest bent centre line."""
    shape = results.shapes[-1]
    drawing = bent_view(cage, results, shape, "front")
    ring = next(s for s in drawing.strokes if s.layer == "selected")
    top = max(float(line[:, 2].max()) for line in shape.lines) + 22.5
    assert np.allclose(ring.points[:, 1] / drawing.scale, top, atol=1.0)


def test_what_gives_is_numbered_in_order_and_only_the_first_dozen(results, cage):
    spot = TubePlace(member="main_hoop", along=300.0, words="here")
    many = tuple(
        Event(kind="hinge", travel=float(k), load=1e3 * k, spot=spot, words=f"it bends at {k}.0 mm, {k}.0 kN")
        for k in range(1, 31)
    )
    first = Event(kind="yield", travel=0.5, load=500.0, spot=spot, words="starts to yield")
    made = replace(results, order=(first, *many))
    assert [n for n, _ in numbered(made)][:3] == [1, 2, 3]
    words = [label.text for label in bent_view(cage, made, results.shapes[-1]).labels]
    assert str(NUMBERED) in words
    assert str(NUMBERED + 1) not in words
    order = next(t for t in push_tables(made, "mm") if t.title.startswith("What gives"))
    assert order.rows[0] == ("1", "1", "1.0", "it bends")
    assert order.rows[-1][3] == "and 10 more places after these"


def test_the_curve_says_where_it_peaks(results):
    assert results.peak is not None
    words = " ".join(label.text for label in load_drawing(results).labels)
    assert f"{results.peak.load / 1e3:.1f} kN" in words


def test_a_load_that_still_rises_is_a_lower_bound(results):
    for passed, mark in ((True, ""), (False, "≥ ")):
        made = replace(results, peak=replace(results.peak, passed=passed))
        assert cells(push_tables(made, "mm")[0])["largest load"][0].startswith(
            f"{mark}{made.peak.load / 1e3:.1f}"
        )


def test_a_stalled_push_says_cannot_tell(results):
    stalled = replace(results, reached=False, end="stalled at 31 mm", peak=None, energy=None, drop=None)
    facts = cells(push_tables(stalled, "mm")[0])
    assert facts["how it ended"] == ("stalled at 31 mm; cannot tell what comes after",)
    for name in ("largest load", "energy taken up", "drop whose energy is taken up"):
        assert facts[name] == ("cannot tell",), name
    assert any(s.layer == "wrong" for s in load_drawing(stalled).strokes)


def test_a_typical_yield_strength_gives_a_range():
    results = summary("main-hoop-down", band=True).results[0]
    least, typical = results.band.peak
    facts = cells(push_tables(results, "mm")[0])
    assert facts["largest load"][0].removeprefix("≥ ") == f"{least / 1e3:.1f} to {typical / 1e3:.1f} kN"
    assert typical > least


def test_an_inch_tape_reads_inches(results):
    row = pushes_table(summary("main-hoop-down"), "in").rows[0]
    assert "mm)" not in row[1]
    sheets = strength_sheets(replace(roll_bar()[2], units="in"), summary("main-hoop-down"))
    assert "lb" in dict(sheets[0].tables[1].rows)["mass of the tubes"]


def test_the_sheets_hold_pictures_tables_and_cautions(cage):
    whole, one = strength_sheets(cage, summary("main-hoop-down"))
    assert whole.kind == one.kind == "strength"
    assert "compare alternatives before trusting" in whole.notes[0]
    assert any("from memory" in note for note in whole.notes)
    assert len(one.drawings) == 4
    titles = {t.title for t in one.tables}
    assert {"What gives, in order", "Feet on the shell", "Tubes", "Loads wanted"} <= titles
    assert all(to_svg(d).startswith("<svg") for d in one.drawings)
