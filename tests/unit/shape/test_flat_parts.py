"""Parts of sheet laid flat: what is alike, and what a fold uses, against tabled values of DIN 6935."""

import math
from dataclasses import replace

import numpy as np
import pytest

from cagewright.shape.flat_parts import FlatPart, alike, counted, disc, other_way_round, signed_area
from cagewright.shape.folds import faces, pattern
from cagewright.shape.part_types import EdgeFold
from cagewright.shape.resolve import resolve
from cagewright.shape.sheet_parts import flat_parts
from cagewright.stock.folding import Fold, FoldTrial, fold_of, k_factor
from cagewright.stock.shop import NO_SHOP
from small_plans import HOOP_FEET, hoop, plan

SQUARE = math.pi / 2.0
# Compensation values v for folds of 90 degrees: (inside radius, sheet, v), mm; the table by DIN 6935 in
# German trade tables (Tabellenbuch Metall), from memory. Rounded there to 0.1 mm.
TABLED = [
    (1.0, 1.0, 1.9),
    (1.6, 1.0, 2.1),
    (2.5, 2.5, 4.8),
    (4.0, 3.0, 6.0),
    (6.0, 3.0, 6.7),
    (10.0, 4.0, 9.6),
]


@pytest.mark.parametrize(("radius", "sheet", "tabled"), TABLED)
def test_a_square_fold_takes_what_the_table_says(radius, sheet, tabled):
    fold = Fold(thickness=sheet, radius=radius, k=k_factor(radius, sheet), source="")
    legs = 50.0, 30.0  # outside, so the flat sheet is legs less v
    plate = (legs[0] - sheet) * 2.0  # the inside of the fold is the side that is measured
    outline, _, short = pattern((plate, 80.0), (EdgeFold(edge=1, by=legs[1] - sheet, angle=SQUARE),), fold)
    # half of the plate stands for the first leg
    assert sum(legs) - float(outline[:, 0].max()) == pytest.approx(tabled, abs=0.06)
    assert short == ()


def test_the_shop_file_decides():
    trials = (FoldTrial(thickness=3.0, radius=2.0, k=0.4),)
    assert fold_of(3.0, trials).allowance(SQUARE) == pytest.approx(SQUARE * (2.0 + 0.4 * 3.0))
    assert "shop file" in fold_of(3.0, trials).source
    assert fold_of(2.0, trials).radius == 2.0
    assert "DIN 6935" in fold_of(2.0, trials).source


def folded_up(outline_x, bends, fold, thickness):
    """Where (x, z) the shell's side of a strip is when its flat pattern is folded, by walking along it."""
    x = z = lean = 0.0
    run = 0.0
    for bend in sorted(bends, key=lambda b: b.start[0]):
        flat = float(bend.start[0]) - bend.allowance / 2.0 - run
        x, z = x + flat * math.cos(lean), z - flat * math.sin(lean)
        angle = -bend.angle
        radius = fold.radius if angle > 0.0 else fold.radius + thickness
        middle = lean + angle / 2.0
        chord = 2.0 * radius * math.sin(abs(angle) / 2.0)
        x, z = x + chord * math.cos(middle), z - chord * math.sin(middle)
        lean += angle
        run = float(bend.start[0]) + bend.allowance / 2.0
    rest = outline_x - run
    return x + rest * math.cos(lean), z - rest * math.sin(lean)


@pytest.mark.parametrize(
    "folds",
    [
        [(45.0, SQUARE)],
        [(45.0, math.radians(70.0))],
        [(40.0, -SQUARE)],
        [(50.0, SQUARE), (60.0, -SQUARE)],
        [(50.0, -math.radians(60.0)), (60.0, math.radians(75.0))],
    ],
)
def test_folded_back_the_sheet_lies_on_the_shell(folds):
    """Over an edge, up a wall, in steps: within 0.2 mm of the shell's planes (measured: 1e-9)."""
    fold = fold_of(3.0, ())
    chain = tuple(EdgeFold(edge=1, by=by, angle=angle) for by, angle in folds)
    outline, bends, short = pattern((130.0, 110.0), chain, fold)
    assert short == ()
    end = faces(np.zeros(3), np.eye(3), (130.0, 110.0), chain)[-1]
    x, z = folded_up(float(outline[:, 0].max()), bends, fold, 3.0)
    assert (x, z) == pytest.approx((end[2, 0], end[2, 2]), abs=0.2)
    assert (x, z) == pytest.approx((end[2, 0], end[2, 2]), abs=1e-9)


def test_a_box_has_four_walls_and_corners_that_can_be_folded():
    fold = fold_of(3.0, ())
    walls = tuple(EdgeFold(edge=e, by=40.0, angle=SQUARE) for e in (0, 1, 2, 3))
    outline, bends, _ = pattern((130.0, 110.0), walls, fold)
    assert (len(outline), len(bends)) == (12, 4)
    grown = 2.0 * (40.0 - fold.setback(SQUARE, inside=True) * 2.0 + fold.allowance(SQUARE))
    assert np.ptp(outline[:, 0]) == pytest.approx(130.0 + grown)
    assert signed_area(outline) > 0.0


def test_a_face_too_short_to_fold_is_told():
    _, _, short = pattern((130.0, 110.0), (EdgeFold(edge=1, by=2.0, angle=SQUARE),), fold_of(3.0, ()))
    assert short == (pytest.approx(1.0),)


def test_a_disc_has_its_own_area():
    assert signed_area(disc(100.0)) == pytest.approx(math.pi / 4.0 * 100.0**2, rel=1e-3)


def part(outline, **more):
    given = {
        "name": "a",
        "kind": "plate",
        "outline": np.array(outline, float),
        "thickness": 2.0,
        "names": ("a",),
    }
    return FlatPart(**{**given, **more})


ELL = [(0, 0), (60, 0), (60, 20), (20, 20), (20, 50), (0, 50)]


def test_parts_that_are_alike_are_one():
    turned = 70.0 - np.array(ELL, float)
    one, other = part(ELL), part(turned, name="b", names=("b",))
    assert [p.names for p in counted((one, other))] == [("a", "b")]
    assert not alike(one, replace(other, thickness=3.0))
    assert not alike(one, part(np.array(ELL, float) * [1.1, 1.0]))


def test_an_ell_has_two_hands_and_a_square_has_not():
    assert not other_way_round(part(ELL))
    assert other_way_round(part([(0, 0), (50, 0), (50, 50), (0, 50)]))


FOLDED = {"at": [0, -640, 0], "on": "sill", "plate": [130, 110, 3], "mirror": "right",
          "folds": [{"edge": "outside", "by": 45}, {"edge": "rear", "by": 30, "turn": "up"}]}  # fmt: skip


def test_a_foot_folded_over_the_sill_has_a_hand():
    cage = resolve(plan({"hoop": hoop()}, feet={"left": FOLDED}))
    left, right = flat_parts(cage, NO_SHOP)
    assert (left.hand, right.hand, left.count) == ("left", "right", 1)
    assert len(left.bends) == 2
    assert sorted(b.angle for b in left.bends) == pytest.approx([-SQUARE, SQUARE])
    assert cage.feet[0].contact == pytest.approx(130 * 110 + 130 * 45 + 110 * 30)


def test_every_sheet_part_of_a_plan_is_there_once():
    p = plan({"hoop": hoop()}, feet=HOOP_FEET)
    assert sum(part.count for part in flat_parts(resolve(p), NO_SHOP)) == len(p.feet)
