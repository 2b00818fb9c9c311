"""The bound that prices prove, where an offcut is worth money: by hand."""

import numpy as np
import pytest

from cagewright.make.prices import BarKind, Job, Prices, blank, by_prices, fill, generate

THREE_FROM_A_BAR_AND_THE_RACK = Job(
    sizes=(10,), demand=(3,), kinds=(BarKind(size=20, cost=10.0), BarKind(size=10, cost=0.0, limit=1))
)
"""Three pieces of 10: two from one bar of 20 for 10, one from the only offcut for nothing. Cost 10 in all."""


def test_the_offcut_s_own_worth_is_taken_off_the_bound():
    job = THREE_FROM_A_BAR_AND_THE_RACK
    worth = blank(job)
    piece = np.array([5.0])
    fill(job, job.demand, piece, worth)
    prices = Prices(piece=piece, bar=np.array([0.0, -5.0]), worth=worth)
    assert by_prices(job, prices, 20.0) == pytest.approx(10.0)


def test_the_prices_found_prove_the_cost():
    job = THREE_FROM_A_BAR_AND_THE_RACK
    prices = generate(job, {}, float("inf"))
    assert by_prices(job, prices, 20.0) == pytest.approx(10.0)
