"""Doorbars at stated heights, along the sill's slope, and posts where the builder says."""

import numpy as np
import pytest

from bodies import BODIES, survey
from cagewright.draft.layout import draft
from cagewright.draft.limits import Limits
from cagewright.draft.measured import measured
from cagewright.plan.survey import SurveyFile
from cagewright.shape.resolve import resolve
from cagewright.shape.types import member_named
from cagewright.stock.shop import NO_SHOP


def drafted(*, front: float | None = None, **wishes):
    """The saloon's cage with those wishes, its sill at the front foot at that height."""
    file: SurveyFile = survey(BODIES["saloon"])
    if front is not None:
        sill = {**file.readings["sill_height"], "front": (front,)}
        file = file.model_copy(update={"readings": {**file.readings, "sill_height": sill}})
    file = file.model_copy(update={"wishes": file.wishes.model_copy(update=wishes)})
    return resolve(draft(file, Limits(), NO_SHOP).plan)


def heights(cage, name: str) -> tuple[float, float]:
    """Of its ends: at the front, at the hoop."""
    path = member_named(cage, name).path
    return float(path.pieces[0].start[2]), float(path.pieces[-1].stop[2])


def test_stated_heights_are_kept():
    cage = drafted(doorbar_heights=(540.0, 300.0, 420.0))
    ups = [heights(cage, f"doorbar_{n}_left") for n in ("low", "mid", "top")]
    assert ups == [pytest.approx((h, h), abs=0.6) for h in (300.0, 420.0, 540.0)]


@pytest.mark.parametrize("count", [2, 3])
def test_spaced_evenly_each_is_as_far_from_the_next_as_the_lowest_from_the_sill(count: int):
    cage = drafted(doorbar_spacing="even", doorbars=count)
    names = ("low", "mid", "top") if count == 3 else ("low", "top")
    sill = measured(survey(BODIES["saloon"])).sill
    steps = np.diff([sill, *(heights(cage, f"doorbar_{n}_left")[1] for n in names)])
    assert steps == pytest.approx([steps.mean()] * count, abs=1.5)
    assert len([m for m in cage.members if m.role == "doorbar"]) == 2 * count


@pytest.mark.parametrize(("slope", "rise"), [("level", 0.0), ("half", 10.0), ("sill", 20.0)])
def test_the_sills_slope_is_followed_as_far_as_is_wished(slope: str, rise: float):
    front, rear = heights(drafted(front=230.0, doorbar_slope=slope, doorbars=1), "doorbar_mid_left")
    assert front - rear == pytest.approx(rise, abs=0.6)


def test_a_post_stands_in_line_with_the_brace_or_where_the_builder_says():
    cage = drafted()
    brace = member_named(cage, "pillar_brace_left").path.pieces[-1].stop
    assert member_named(cage, "doorbar_post_low_left").path.pieces[0].start[0] == pytest.approx(
        brace[0], abs=1.0
    )
    moved = member_named(drafted(post_back=900.0), "doorbar_post_low_left").path
    assert [float(p[0]) for p in (moved.pieces[0].start, moved.pieces[-1].stop)] == pytest.approx(
        [900.0, 900.0], abs=0.6
    )
