"""A tube of the plan as a distance piece: it touches both by python-fcl, and passes by what stands there."""

from dataclasses import replace

import fcl
import numpy as np
import pytest

from cagewright.fitup.distance_piece import WASTE, distance_pieces
from cagewright.fitup.order import BuildStep
from cagewright.fitup.tacking import bench_group, standing_before, tack_steps
from cagewright.job.order import step_row
from cagewright.shape.resolve import resolve
from cagewright.shape.types import member_named
from fitted import brackwater
from small_plans import plan

POSTS = {"post_left": 1, "post_right": 1}


def feet(**ends):
    """Feet named ``tube_low`` and ``tube_high`` at the ends of each tube, plates square to it."""
    stands = {}
    for name, (low, high) in ends.items():
        way = np.subtract(high, low) / np.linalg.norm(np.subtract(high, low))
        for word, at, normal in (("low", low, way), ("high", high, -way)):
            stands[f"{name}_{word}"] = {
                "at": at, "on": "rigid", "plate": [100, 100, 3], "normal": normal.round(9).tolist()
            }  # fmt: skip
    return stands


def leaning(**more):
    """Two posts that lean to each other, 1200 mm apart at their feet and 800 at the top, and other tubes."""
    ends = {
        "post_left": ([0.0, -600.0, 0.0], [0.0, -400.0, 1000.0]),
        "post_right": ([0.0, 600.0, 0.0], [0.0, 400.0, 1000.0]),
        **more,
    }
    tubes = {
        n: ("hoop" if "post" in n else "bar", [{"foot": f"{n}_low"}, {"foot": f"{n}_high"}]) for n in ends
    }
    return resolve(plan(tubes, feet=feet(**ends)))


def bar(length):
    return [1000.0, -length / 2.0, 100.0], [1000.0, length / 2.0, 100.0]


def cylinder(radius, ends, *, more=0.0):
    """A cylinder between two places, longer by ``more`` (mm)."""
    a, b = map(np.array, ends)
    z = (b - a) / np.linalg.norm(b - a)
    x = np.cross(z, [1.0, 0.3, 0.2])
    x /= np.linalg.norm(x)
    turned = np.column_stack([x, np.cross(z, x), z])
    long = float(np.linalg.norm(b - a)) + more
    return fcl.CollisionObject(fcl.Cylinder(radius, long), fcl.Transform(turned, (a + b) / 2.0))


def touches(one, two) -> bool:
    return fcl.collide(one, two, fcl.CollisionRequest(), fcl.CollisionResult()) > 0


def test_it_touches_both_where_and_as_long_as_it_is_told():
    cage = leaning(bar=bar(900.0))
    (piece,) = distance_pieces(cage, {**POSTS, "bar": 2}, 1)
    spare = member_named(cage, "bar")
    assert (piece.tube, piece.between, piece.own, piece.until) == (
        "bar",
        ("post_left", "post_right"),
        False,
        2,
    )
    assert spare.length <= piece.length < spare.length + 5.0  # the nearest of the places that were tried
    assert np.linalg.norm(np.subtract(*piece.at)) == pytest.approx(piece.length)
    for name in piece.between:
        post = member_named(cage, name)
        solid = cylinder(post.tube.radius, (post.path.pieces[0].start, post.path.pieces[-1].stop))
        assert touches(cylinder(spare.tube.radius, piece.at, more=0.2), solid), name
        assert not touches(cylinder(spare.tube.radius, piece.at, more=-0.2), solid), name


@pytest.mark.parametrize("length", [700.0 - WASTE, 1150.0])
def test_a_tube_that_is_too_long_or_would_be_wasted_is_not_offered(length):
    assert distance_pieces(leaning(bar=bar(length)), {**POSTS, "bar": 2}, 1) == ()


def test_it_passes_by_what_stands_there():
    cage = leaning(bar=bar(900.0), middle_post=([0.0, 0.0, 0.0], [0.0, 0.0, 1000.0]))
    assert distance_pieces(cage, {**POSTS, "middle_post": 1, "bar": 2}, 1) == ()
    assert distance_pieces(cage, {**POSTS, "middle_post": 3, "bar": 2}, 1)


def tacked_in(cage):
    steps = tack_steps(cage, standing_before(cage), bench := bench_group(cage))
    rows = [BuildStep(number=1, title="", where="bench", tack=bench)]
    return (
        *rows,
        *(BuildStep(number=n, title="", where="car", tack=s) for n, s in enumerate(steps, start=2)),
    )


def test_the_bar_that_ties_two_legs_holds_them_in_its_own_place():
    cage = brackwater().cage
    steps = tacked_in(cage)
    at = {name: s.number for s in steps for name in s.tack}
    row = step_row(cage, steps, steps[at["front_leg_left"] - 1])
    (piece,) = [d for d in row.distance if "front_leg_left" in d.between]
    tied = member_named(cage, piece.tube)
    assert piece.own
    assert {m for e in tied.ends for m in e.cut.mains} == set(piece.between)
    assert piece.until == at[piece.tube] > row.number
    assert piece.length.value == tied.length
    assert piece.length.said in piece.words
    assert f"tacked at step {piece.until}" in piece.words
    # tacked with them, it ties them at once: nothing has to hold them apart
    at_once = distance_pieces(cage, at | {piece.tube: row.number}, row.number)
    assert not any("front_leg_left" in d.between for d in at_once)


def test_a_tube_of_a_bought_set_is_taped_first():
    cage = leaning(bar=bar(900.0))
    own = replace(cage, members=tuple(replace(m, bought="a set") for m in cage.members))
    steps = (
        BuildStep(number=1, title="", where="car", tack=("post_left", "post_right")),
        BuildStep(number=2, title="", where="car", tack=("bar",)),
    )
    told, ours = (step_row(c, steps, steps[0]).distance[0].words for c in (own, cage))
    assert told == f"{ours} It came cut: tape first whether it is that long."
    assert "Take it out at step 2 at the latest, then cut its ends." in ours
