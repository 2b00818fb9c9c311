import math

import pytest

from cagewright.base.answers import difference, figure, price, worst
from cagewright.base.cache import Cache
from cagewright.base.names import listed, shown, typed
from cagewright.base.plain import plain


def test_a_figure_holds_the_plain_value_and_the_words():
    value = figure(math.pi / 6.0, "angle", "in", plus_minus=math.radians(0.5))
    assert value.value == pytest.approx(30.0)
    assert (value.unit, value.said) == ("deg", "30.0 ± 0.5°")
    assert plain(value)["plus_minus"] == pytest.approx(0.5)


def test_what_cannot_be_told_says_so():
    for unknown in (None, math.nan, math.inf):
        value = figure(unknown, "force", "mm", why="the push stalled")
        assert (value.value, value.said, value.why) == (None, "cannot tell", "the push stalled")


def test_a_bound_is_said():
    assert figure(219_700.0, "force", "mm", bound="at least").said == "≥ 219.7 kN"


def test_a_difference_is_only_between_figures_of_one_basis():
    estimate = price(420.0, "EUR", rests_on="estimate")
    planned = price(339.0, "EUR", rests_on="cutting plan")
    more = price(358.5, "EUR", rests_on="cutting plan")
    assert estimate.said == "420.00 EUR (estimate)"
    assert difference(estimate, planned, "price", "mm") is None
    assert difference(more, planned, "price", "mm").said == "+19.50 EUR"
    assert difference(price(None, "EUR", rests_on="cutting plan"), planned, "price", "mm") is None


def test_names_are_shown_and_typed_either_way():
    assert shown("main_hoop") == "main hoop"
    assert typed("main hoop") == typed(" main_hoop ") == "main_hoop"
    assert listed(["main_hoop", "header", "sill_bar"]) == "main hoop, header and sill bar"
    assert listed(["a", "b", "c", "d"], most=2) == "a, b and 2 more"


def test_the_worst_level_counts():
    assert worst(("fine", "cannot tell", "look at")) == "look at"
    assert worst(()) == "fine"


def test_results_are_kept_by_what_they_depend_on():
    cache, made = Cache(most=2), []
    for key in (1, 1, 2, 1, 3, 2):
        cache.get(("stage", key), lambda key=key: made.append(key))
    assert made == [1, 2, 3, 2]
