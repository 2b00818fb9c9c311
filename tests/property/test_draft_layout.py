"""Any body: a symmetric shell, a symmetric cage; a higher roof, a higher hoop; no bend under its die."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bodies import BODIES, SALOON, Body, raised, survey
from cagewright.draft.layout import draft
from cagewright.draft.limits import Limits
from cagewright.shape.resolve import resolve
from cagewright.stock.benders import Die
from cagewright.stock.shop import Shop
from cases import cases

SHOP = Shop(
    name="two dies",
    dies=(
        Die(name="45", od=45.0, clr=135.0, least_straight=60.0, grip=160.0, tail=90.0),
        Die(name="38", od=38.0, clr=114.0, least_straight=50.0, grip=140.0, tail=80.0),
    ),
)
BODY = st.builds(
    lambda kind, crown, round_, wide, high: widened(
        replace(raised(kind, high), crown=crown, round=round_), wide
    ),
    st.sampled_from(list(BODIES.values())),
    st.floats(10.0, 60.0),
    st.floats(120.0, 190.0),
    st.floats(-30.0, 30.0),
    st.floats(-30.0, 60.0),
)
"""Invented bodies about the three: bow of the roof, round of its corner, width and height."""


def widened(body: Body, by: float) -> Body:
    """The body with its sides that much further out."""
    corner = tuple((x, y + by, z) for x, y, z in body.corner)
    return replace(body, corner=corner, side=body.side + by, waist=(body.waist[0] + by, body.waist[1]),
                   foot=(body.foot[0], body.foot[1] + by, body.foot[2]))  # fmt: skip


@settings(max_examples=cases(5), deadline=None)
@given(body=BODY)
def test_a_symmetric_shell_gives_a_symmetric_cage_that_the_shop_can_bend(body):
    drafted = draft(survey(body), Limits(), SHOP)
    left, right = drafted.hoop.left.places, drafted.hoop.right.places
    assert left * np.array([1.0, -1.0, 1.0]) == pytest.approx(right, abs=1e-6)
    cage = resolve(drafted.plan)
    across = np.sort(np.round([f.point[1] for f in cage.feet], 6))
    assert across == pytest.approx(-across[::-1])
    for member in cage.members:
        least = {45.0: 135.0, 38.0: 114.0}[member.tube.od]
        need = {45.0: 60.0, 38.0: 50.0}[member.tube.od]
        assert all(bend.clr >= least for bend in member.bends)
        for one, two in zip(member.bends, member.bends[1:], strict=False):
            # places are written to the whole millimetre
            assert two.start - one.stop >= need - 2.0


@settings(max_examples=cases(4), deadline=None)
@given(h=st.integers(-40, 80))
def test_raising_the_roof_by_h_raises_the_hoop_by_h(h):
    def top(body: Body) -> float:
        return float(draft(survey(body), Limits(), SHOP).hoop.left.places[-1][2])

    # the leg's lean changes a little with the height, and with it the best compromise at the corner
    assert top(raised(SALOON, h)) - top(SALOON) == pytest.approx(h, abs=1.5)


@settings(max_examples=cases(3), deadline=None)
@given(gap=st.floats(5.0, 25.0))
def test_the_wished_gap_is_the_gap_on_average(gap):
    file = survey(SALOON)
    wishes = file.wishes.model_copy(update={"gap": gap})
    after = draft(file.model_copy(update={"wishes": wishes}), Limits(), SHOP).hoop.tight.after
    assert after is not None
    assert after[1] == pytest.approx(gap, abs=1.0)


@settings(max_examples=cases(3), deadline=None)
@given(skew=st.floats(8.0, 25.0))
def test_an_uneven_shell_gets_an_uneven_hoop(skew):
    hoop = draft(survey(replace(SALOON, skew=skew)), Limits(), SHOP).hoop
    wider = float(hoop.right.places[0][1]) + float(hoop.left.places[0][1])
    assert wider == pytest.approx(skew, abs=1.0)
