"""Arrows of what to pull: from where an end is to where the plan wants it."""

import numpy as np
import pytest

from cagewright.fitup.adjust import adjust
from cagewright.fitup.arrows import arrows_of
from cagewright.fitup.pull import stands_of
from fitted import brackwater, disturbed, front, taken


def found():
    net, readings = front()
    rng = np.random.default_rng(5)
    _, places = disturbed(net, rng)
    adjusted = adjust(net, taken(net, readings, places, rng))
    return adjusted, stands_of(brackwater().cage, adjusted), places


def test_an_arrow_runs_from_where_the_mark_is_to_where_the_plan_wants_it():
    adjusted, stands, places = found()
    arrows = {a.mark: a for a in arrows_of(adjusted, stands)}
    out = [s for s in stands if s.stands == "out"]
    assert out, "bodies set down 8 mm off are out"
    for s in out:
        arrow, row = arrows[s.mark], adjusted.net.index[s.mark]
        assert arrow.stop == pytest.approx(adjusted.net.points[row])
        # the true place is known: the tape's 1 mm leaves the marks' places good to a few mm (computed)
        assert arrow.start == pytest.approx(adjusted.places[row], abs=1e-9)
        assert np.abs(arrow.start - places[row]).max() < 4.0 * max(float(s.sure.max()), 1.0)


def test_what_is_in_place_has_no_arrow():
    adjusted, stands, _ = found()
    marks = {a.mark for a in arrows_of(adjusted, stands)}
    assert marks == {s.mark for s in stands if s.stands != "in place"}


def test_a_stretched_arrow_keeps_its_way_and_its_words():
    adjusted, stands, _ = found()
    plain, long = arrows_of(adjusted, stands), arrows_of(adjusted, stands, stretch=20.0)
    for a, b in zip(plain, long, strict=True):
        assert b.stop - b.start == pytest.approx(20.0 * (a.stop - a.start))
        assert a.words == b.words


def test_a_stretch_of_nothing_is_refused():
    adjusted, stands, _ = found()
    with pytest.raises(ValueError, match="more than 0"):
        arrows_of(adjusted, stands, stretch=0.0)
