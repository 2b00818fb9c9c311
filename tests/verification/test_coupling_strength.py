"""Bolts, pins, butts and sleeves of couplings against handbook values.

Sources: steel designers' tables of bolts to EN 1993-1-8 (8.8, non-preloaded and preloaded; from memory): M12,
M16, M20 in tension 48.6, 90.4, 141 kN, in single shear 32.4, 60.3, 94.1 kN; M20 preloaded to 0.7 fub As = 137
kN, one face slipping at 0.5: 54.9 kN. Bearing of an M20 8.8 on 10 mm S275 with e1 40, e2 30, holes of 22 mm
by hand from Table 3.4 (computed). A pin of 10 mm in lugs by hand from Table 3.10 (computed). A fixed beam of
any handbook: M at a from an end under P at mid span is P (4a - L)/8, shear P/2.
"""

import math

import numpy as np
import pytest

from cagewright.frame.choices import Choices
from cagewright.frame.couplings import (
    bolt_bearing,
    bolt_slip,
    coupling_strength,
    flange_tension,
    lug_net,
    pin_strengths,
)
from cagewright.frame.idealise import idealise
from cagewright.frame.respond import respond
from cagewright.plan.types import CouplingEntry
from cagewright.shape.coupling_parts import coupling_mass, small_parts
from cagewright.shape.couplings import coupling_of
from cagewright.shape.resolve import resolve
from cagewright.stock.bolts import bolt_named, grade_named, shear_force, tension_force
from push_cages import beam, point_push, rigid
from small_plans import plan

G88 = grade_named("8.8")


@pytest.mark.parametrize(
    ("size", "pull", "across"), [("M12", 48.6, 32.4), ("M16", 90.4, 60.3), ("M20", 141.0, 94.1)]
)
def test_bolts_carry_what_the_tables_say(size, pull, across):
    bolt = bolt_named(size)
    assert tension_force(bolt, G88) / 1e3 == pytest.approx(pull, abs=0.6)  # tabled to three figures
    assert shear_force(bolt, G88) / 1e3 == pytest.approx(across, abs=0.4)


def test_a_preloaded_bolt_slips_where_the_table_says():
    assert bolt_slip(bolt_named("M20"), G88, 0.5) / 1e3 == pytest.approx(54.9, abs=0.3)
    assert bolt_slip(bolt_named("M20"), G88, 0.5, faces=2) / 1e3 == pytest.approx(109.8, abs=0.6)


def test_bearing_by_hand():
    force = bolt_bearing(
        bolt_named("M20"), G88, tensile=410.0, thickness=10.0, end=40.0, side=30.0, hole=22.0
    )
    k1, along = 2.8 * 30 / 22 - 1.7, 40 / 66
    assert force == pytest.approx(k1 * along * 410 * 20 * 10 / 1.25, rel=1e-9)
    assert force / 1e3 == pytest.approx(84.2, abs=0.6)


def test_a_pin_by_hand():
    """10 mm of 9.8 in lugs of 5, 10 and 5 mm, 0.5 mm clear: two planes of 0.6 x 78.5 x 900 / 1.25."""
    ways = pin_strengths(10.0, grade_named("9.8"), lug=5.0, middle=10.0, clear=0.5)
    shear = 2 * 0.6 * 78.54 * 900 / 1.25
    moment = 1.5 * 98.17 * 720
    bending = 8 * moment / (10 + 4 * 0.5 + 2 * 5)
    assert ways["pin"] == pytest.approx(1 / math.hypot(1 / shear, 1 / bending), rel=1e-3)
    assert ways["lugs at the pin"] == pytest.approx(1.5 * 10 * 10 * 235)


def test_an_eye_by_table_3_9():
    """a of 30 mm beyond a hole of 20.5: F = (30 - 2 x 20.5/3) x 2 t fy."""
    assert lug_net(2 * 30.0 + 20.5, 20.5, 10.0) == pytest.approx((30.0 - 2 * 20.5 / 3) * 2 * 10 * 235)
    assert lug_net(20.0, 18.0, 10.0) == 0.0


def set_in(kind, **more):
    cage = beam(tube="bar")
    return cage.members[0], coupling_of(
        "bar", 0, CouplingEntry.model_validate({"along": 300, "kind": kind, **more}),
        cage.members[0].path, cage.members[0].tube,
    )  # fmt: skip


def test_a_thick_flange_leaves_it_to_the_bolts_and_prying_costs_some():
    _, thin = set_in("flange", thickness=4)
    _, thick = set_in("flange", thickness=25)
    bolts = 4 * tension_force(bolt_named("M8"), G88)
    assert flange_tension(thin, bolts)[1] == "flange"
    carried, governs = flange_tension(thick, bolts)
    assert governs == "bolts"
    assert 0.5 * bolts < carried < bolts


def test_a_butt_over_a_sleeve_carries_what_the_tube_does():
    member, butt = set_in("inner sleeve")
    strength = coupling_strength(butt, tube_tensile=490.0)
    assert math.isinf(strength.axial)
    assert not butt.parts
    assert butt.length == pytest.approx(4 * 38)
    sleeve = math.pi / 4 * ((33 - 0.5) ** 2 - (33 - 0.5 - 5) ** 2) * 4 * 38 * 7.85e-6
    assert coupling_mass(member, butt) == pytest.approx(sleeve)


def test_a_sleeve_by_its_bolts_in_two_planes():
    _, sleeve = set_in("sleeve")
    strength = coupling_strength(sleeve, tube_tensile=490.0)
    m6, grade = bolt_named("M6"), grade_named("9.8")
    assert strength.axial <= 2 * shear_force(m6, grade, 2)
    assert strength.shear is None


def spanned(kind, **more):
    """A tube 1000 mm long between held feet, 300 N down in its middle, a coupling 200 mm from its start."""
    bar = {"role": "main rollbar", "tube": "bar", "path": [{"foot": "left"}, {"foot": "right"}],
           "couplings": [{"along": 200, "kind": kind, **more}]}  # fmt: skip
    feet = {"left": rigid((0, -500, 900), (0, 1, 0)), "right": rigid((0, 500, 900), (0, -1, 0))}
    return resolve(plan({"bar": bar}, feet=feet, car={"mass": "900 kg"}))


def used(kind, **more):
    choices = Choices(joints="report", softened="none", tearing=False)
    model = idealise(spanned(kind, **more), choices, {"bar": (500.0,)})
    push = point_push("bar", 500.0, [0.0, 0.0, -300.0], travel=0.02)
    results = respond(model, push)
    use = next(j for j in results.joints if "coupling" in j.joint)
    return use, results.peak.load


def test_a_flange_bends_as_the_fixed_beam_does():
    use, load = used("flange")
    assert abs(use.forces[1]) == pytest.approx(load * 200 / 8, rel=0.005)
    assert use.governs == "flange"


def test_a_level_pin_bends_nothing():
    use, load = used("double lug")
    assert abs(use.forces[1]) < 0.02 * load * 25.0


def test_small_parts_are_counted():
    parts = small_parts(spanned("sleeve"))
    assert [(p.kind, p.count) for p in parts] == [("sleeve", 1), ("bolt", 4)]
    assert np.isclose(parts[0].od, 38 + 0.5 + 4)
