import math
from dataclasses import replace

import numpy as np
import pytest

from cagewright.make.weldmap import filler_mass, leg_for, plate_weld, weld_map
from cagewright.shape.types import Foot, Gusset, Plate
from cagewright.stock.tubes import round_tube
from handmade import BAR, HOOP, flat
from shopmade import DEG, cage_of, tee, tube_through

THIN = round_tube(od=38.0, wall=2.0, steel=BAR.steel)


def test_leg_of_a_full_strength_fillet():
    # throat 2.5 mm, leg 3.54 mm (a = 0.7071 z for equal legs)
    assert leg_for(2.5) == pytest.approx(3.54, abs=5e-3)


def test_filler_of_a_metre():
    # throat 3 mm: leg 4.243, triangle 9 mm2, 7.85 kg/m3 x 1e-3: 0.0707 kg (hand)
    assert filler_mass(3.0, 1000.0) == pytest.approx(0.07065, abs=1e-6)


def test_a_cope_is_welded_all_round():
    (weld,) = weld_map(tee()).welds
    assert (weld.name, weld.kind, weld.members) == ("branch.start", "tube to tube", ("branch", "main"))
    assert (weld.length, weld.throat) == (130.0, 2.5)
    assert weld.least_angle == 1.0


def test_throat_is_the_thinner_wall():
    (weld,) = weld_map(tee(tube=THIN)).welds
    assert weld.throat == 2.0
    (other,) = weld_map(tee(main_tube=round_tube(od=45.0, wall=1.5, steel=BAR.steel))).welds
    assert other.throat == 1.5


def test_a_square_weld_takes_a_squared():
    (weld,) = weld_map(tee(bevel=np.full(144, math.pi / 2.0))).welds
    assert weld.filler == pytest.approx(2.5**2 * 130.0 * 7.85e-6)
    assert (weld.narrow, weld.wide) == (0.0, 0.0)


def test_an_open_weld_takes_more():
    (weld,) = weld_map(tee(bevel=np.full(144, 100.0 * DEG))).welds
    assert weld.filler == pytest.approx(2.5**2 * math.tan(50.0 * DEG) * 130.0 * 7.85e-6)


def test_tight_and_open_parts_of_the_line_are_measured():
    bevel = np.full(144, math.pi / 2.0)
    bevel[:36], bevel[36:72] = 50.0 * DEG, 130.0 * DEG
    flat_line = np.zeros(144)  # a plane line, so that every point stands for the same length
    (weld,) = weld_map(tee(bevel=bevel, outside=flat_line)).welds
    assert weld.narrow == pytest.approx(130.0 / 4.0)
    assert weld.wide == pytest.approx(130.0 / 4.0)


def test_a_line_of_no_main_is_not_welded():
    on = np.zeros(144, dtype=np.int64)
    on[:72] = -1
    bevel = np.where(on < 0, 170.0 * DEG, math.pi / 2.0)
    (weld,) = weld_map(tee(bevel=bevel, outside=np.zeros(144), on=on)).welds
    assert weld.filler == pytest.approx(2.5**2 * 130.0 * 7.85e-6)


def footed(tilt: float):
    normal = np.array([math.sin(tilt), 0.0, math.cos(tilt)])
    member = tube_through(((0, 0, 0), (0, 0, 500)), tube=BAR, start=flat((0, 0, 0), (0, 0, 1), normal, 19.0))
    start = replace(member.ends[0], foot="f")
    foot = Foot(name="f", point=np.zeros(3), normal=normal, seat="sill", plate=(130.0, 110.0, 3.0),
                contact=14300.0, bolts=None, members=(member.name,))  # fmt: skip
    return cage_of(replace(member, ends=(start, member.ends[1])), feet=(foot,))


def test_a_foot_is_welded_to_its_plate_and_the_plate_to_the_shell():
    tube, shell = weld_map(footed(0.0)).welds
    assert (tube.kind, tube.throat, tube.least_angle) == (
        "tube to foot plate",
        2.5,
        pytest.approx(math.pi / 2),
    )
    assert tube.length == pytest.approx(math.pi * 38.0)
    assert tube.filler == pytest.approx(2.5**2 * math.pi * 38.0 * 7.85e-6)
    assert (shell.kind, shell.length, shell.throat, shell.filler) == (
        "foot plate to shell",
        480.0,
        None,
        None,
    )


def test_a_tilted_foot_is_tight_on_one_side_and_open_on_the_other():
    tube, _ = weld_map(footed(35.0 * DEG)).welds
    assert tube.least_angle == pytest.approx(55.0 * DEG)
    assert tube.narrow > 0.0
    assert tube.wide == pytest.approx(tube.narrow, rel=1e-6)


def gusset(kind):
    return Gusset(name="g", between=("main", "branch"), point=np.zeros(3), leg=90.0, thickness=1.5, kind=kind)


@pytest.mark.parametrize(("kind", "length"), [("flat", 138.5), ("folded", 335.9)])
def test_gusset_edges(kind, length):
    weld = weld_map(replace(tee(), gussets=(gusset(kind),))).welds[-1]
    # legs of 90 from the axes, less where the other tube stands: 19 and 22.5 mm, or the chord 12.05 mm off
    assert (weld.kind, weld.throat) == ("gusset edge", 1.5)
    assert weld.length == pytest.approx(length, abs=0.05)


def test_plate_edges_on_its_members():
    main = tube_through(((0, -400, 0), (0, 400, 0)), name="main")
    corners = np.array([(0, 0, 22.5), (0, 100, 22.5), (0, 100, 122.5), (0, 0, 122.5)], float)
    plate = Plate(name="web", corners=corners, thickness=2.0, members=("main",))
    cage = cage_of(main, plates=(plate,))
    assert plate_weld(cage, plate) == pytest.approx(100.0)
    assert plate_weld(cage, replace(plate, members=())) == pytest.approx(400.0)
    assert weld_map(cage).welds[0].throat == 2.0


def test_totals_are_sums():
    got = weld_map(replace(footed(0.0)))
    assert got.length == pytest.approx(sum(w.length for w in got.welds))
    assert got.filler == pytest.approx(sum(w.filler or 0.0 for w in got.welds))
    assert HOOP.wall == 2.5
