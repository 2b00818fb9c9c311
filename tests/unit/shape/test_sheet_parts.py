"""Boxed and shaped feet, plates with holes, gussets in a named corner: what is built and how it lies flat."""

import math

import numpy as np
import pytest

from cagewright.base.problems import ProblemsFound
from cagewright.base.vectors import UP
from cagewright.make.weights import weigh
from cagewright.shape.feet import footprint
from cagewright.shape.flat_parts import signed_area
from cagewright.shape.gussets import gusset_legs, gusset_shape
from cagewright.shape.mesh import mesh_of
from cagewright.shape.resolve import resolve
from cagewright.shape.sheet_parts import flat_parts, foot_part, gusset_part
from cagewright.stock.folding import fold_of
from cagewright.stock.shop import NO_SHOP
from small_plans import HOOP_FEET, hoop, plan

CROSS = {
    "role": "diagonal", "tube": "bar",
    "path": [{"on": "hoop", "up": 600, "side": "left"}, {"on": "hoop", "up": 600, "side": "right"}],
}  # fmt: skip
POST = {
    "role": "diagonal",
    "tube": "bar",
    "path": [{"on": "hoop", "across": 0}, {"on": "cross", "across": 0}],
}


def told(p):
    with pytest.raises(ProblemsFound) as caught:
        resolve(p)
    return [x.code for x in caught.value.problems]


def footed(**foot):
    stands = {"at": [0, -640, 200], "on": "floor", "plate": [130, 110, 3], **foot}
    return resolve(plan({"hoop": hoop()}, feet={"left": stands, "right": HOOP_FEET["right"]}))


def test_a_box_stands_the_tube_on_its_top():
    cage = footed(box={"high": 40, "rim": 20})
    foot, flat = cage.feet[0], footed()
    assert foot.on_shell == pytest.approx([0, -640, 200])
    assert foot.point == pytest.approx([0, -640, 240])
    shorter = flat.members[0].length - cage.members[0].length
    assert shorter == pytest.approx(40.0)
    assert footprint(foot) == (170.0, 150.0)
    assert foot.contact == pytest.approx(2 * (130 + 110) * 20)
    part = foot_part(foot, NO_SHOP, "mm")
    assert (len(part.bends), part.sound, part.hand) == (8, True, "either")
    # four walls and rims of sheet; every fold a little less than its sharp corner
    mass = (130 * 110 + 2 * (130 + 110) * 60) * 3 * 7.85e-6
    assert next(w.mass for w in weigh(cage).parts if w.name == "left") == pytest.approx(mass)


@pytest.mark.parametrize("fold", [{"edge": "up", "by": 40}, {"edge": "down", "by": 40, "turn": "up"}])
def test_an_edge_that_no_side_of_the_plate_has(fold):
    stands = {"at": [0, -640, 200], "on": "floor", "plate": [130, 110, 3], "folds": [fold]}
    assert told(plan({"hoop": hoop()}, feet={"left": stands, "right": HOOP_FEET["right"]}))[0] == "no-edge"


def tunnel(radius):
    """A floor bowed along the car: a cylinder about the across axis under the point (0, -640, 200)."""
    turn, wide = np.linspace(-0.4, 0.4, 41), np.linspace(-740, -540, 11)
    t, y = np.meshgrid(turn, wide, indexing="ij")
    corners = np.column_stack([
        (radius * np.sin(t)).ravel(), y.ravel(), (200.0 - radius * (1.0 - np.cos(t))).ravel()
    ])  # fmt: skip
    i = np.arange(40 * 11).reshape(40, 11)[:, :-1].ravel()
    faces = np.concatenate([np.column_stack([i, i + 11, i + 12]), np.column_stack([i, i + 12, i + 1])])
    return mesh_of(corners, faces)


def test_a_plate_shaped_to_a_bowed_floor_is_as_long_as_its_arc():
    """A cylinder unrolls without stretching: 130 mm of chord on a radius of 300 is 131.04 mm of sheet."""
    part = flat_parts(footed(shaped=True), NO_SHOP, tunnel(300.0))[0]
    assert part.sound
    assert part.size[0] == pytest.approx(2 * 300 * math.asin(65 / 300), abs=0.2)
    assert part.size[1] == pytest.approx(110.0, abs=0.2)
    assert "shaped to the scan" in part.notes[0]


def test_without_a_scan_its_shape_cannot_be_told():
    part = flat_parts(footed(shaped=True), NO_SHOP)[0]
    assert not part.sound
    assert "cannot tell" in part.notes[0]


WEB = {
    "corners": [
        {"on": "hoop", "up": 600, "side": "left"},
        {"on": "cross", "across": 0},
        {"on": "hoop", "across": 0},
    ],
    "thickness": 2,
}


def holed(*holes):
    return plan(
        {"hoop": hoop(), "cross": CROSS}, feet=HOOP_FEET, plates={"web": {**WEB, "holes": list(holes)}}
    )


def test_holes_lighten_a_plate():
    bare, cage = resolve(holed()), resolve(holed({"at": [0, -150, 850], "size": 80}))
    masses = [next(w.mass for w in weigh(c).parts if w.name == "web") for c in (bare, cage)]
    assert masses[0] - masses[1] == pytest.approx(math.pi / 4 * 80**2 * 2 * 7.85e-6)
    part = next(p for p in flat_parts(cage, NO_SHOP) if p.name == "web")
    assert part.holes[0].diameter == 80.0
    off = part.holes[0].centre - part.outline
    assert np.hypot(*off.T).min() < 400.0


@pytest.mark.parametrize(
    "holes",
    [
        [{"at": [0, -600, 1100], "size": 40}],
        [{"at": [0, -20, 850], "size": 60}],
        [{"at": [0, -150, 850], "size": 40}, {"at": [0, -150, 880], "size": 40}],
    ],
)
def test_a_hole_stays_in_its_plate_and_clear_of_others(holes):
    assert told(holed(*holes)) == ["hole-outside"]


def cornered(**gusset):
    given = {"between": ["cross", "post"], "leg": 90, "thickness": 1.5, **gusset}
    return plan({"hoop": hoop(), "cross": CROSS, "post": POST}, feet=HOOP_FEET, gussets={"g": given})


@pytest.mark.parametrize(("word", "across"), [("left", -1.0), ("right", 1.0)])
def test_a_gusset_stands_in_the_corner_that_is_named(word, across):
    cage = resolve(cornered(corner=word))
    first, second = gusset_legs(cage, cage.gussets[0])
    assert first == pytest.approx([0.0, across, 0.0])
    assert second == pytest.approx(UP)
    legs = gusset_legs(cage := resolve(cornered(corner=[word, "up"])), cage.gussets[0])
    assert legs[0] == pytest.approx(first)


def test_a_corner_that_the_two_do_not_make():
    assert told(cornered(corner=["left", "down"])) == ["gusset-corner"]
    assert told(cornered(corner="front")) == ["gusset-corner"]


def shape(kind, **more):
    cage = resolve(cornered(kind=kind, corner="left", **more))
    return cage, gusset_shape(cage, cage.gussets[0], fold_of(1.5, ()))


def test_a_bent_corner_folded_back_reaches_both_tubes():
    """Two folds of 45 degrees between tubes of 38: its length is legs, span and what the folds take."""
    _, made = shape("bent corner")
    assert [b.angle for b in made.bends] == pytest.approx([math.pi / 4] * 2)
    fold = fold_of(1.5, ())
    back, used = fold.setback(math.pi / 4, inside=False), fold.allowance(math.pi / 4)
    run = float(np.ptp(made.outline[:, 0]))
    span = math.hypot(90.0 - 19.0, 90.0 - 19.0)
    assert run == pytest.approx(2 * 19.0 + span - 4 * back + 2 * used)


def test_a_half_tube_wraps_half_round_and_is_cut_to_both():
    _, made = shape("half tube")
    assert np.ptp(made.outline[:, 1]) == pytest.approx(math.pi * (19.0 - 0.75))
    # on its back the generator is 19 mm further out than the legs' ends: between the tubes it is that longer
    middle = np.abs(made.outline[:, 1]).min()
    rows = made.outline[np.isclose(np.abs(made.outline[:, 1]), middle)]
    assert float(np.ptp(rows[:, 0])) > math.hypot(71.0, 71.0)


@pytest.mark.parametrize("kind", ["flat", "folded", "bent corner", "half tube"])
def test_every_kind_lies_flat_at_its_own_area(kind):
    """Folds use a little less sheet than sharp corners: within 3 %, and none is turned over."""
    cage, made = shape(kind)
    part = gusset_part(cage, cage.gussets[0], NO_SHOP)
    assert part.sound
    assert signed_area(part.outline) > 0.0
    assert part.area == pytest.approx(made.area, rel=0.05)


def test_a_hole_too_large_for_its_gusset_is_told():
    cage = resolve(cornered(hole=60, dimpled=True))
    part = gusset_part(cage, cage.gussets[0], NO_SHOP)
    assert not part.sound
    assert "hole" in part.notes[0]
    fits = resolve(cornered(hole=20, dimpled=True))
    assert gusset_part(fits, fits.gussets[0], NO_SHOP).holes[0].dimple == 3.0


def test_legs_too_short_leave_no_sheet():
    cage = resolve(cornered(leg=15))
    assert not gusset_part(cage, cage.gussets[0], NO_SHOP).sound
