"""The cage as a frame: what each simplification does to the answer, and what is refused."""

from dataclasses import replace

import numpy as np
import pytest

from cagewright.frame.choices import Choices
from cagewright.frame.errors import FrameError
from cagewright.frame.feet import foot_hold, grounds, punching
from cagewright.frame.idealise import idealise, node_at
from cagewright.frame.linear import solve_linear
from cagewright.frame.push_names import push_named
from cagewright.frame.respond import pattern_of, solve
from cagewright.frame.supports import shell_under
from cagewright.frame.yields import yield_of
from cagewright.make.weights import weigh
from cagewright.stock.catalogue import softening_of, typical_of
from cagewright.stock.catalogue import steels as built_in_steels
from push_cages import beam, demo, hoop_cage, on_sill, point_push, tee

RIGID = Choices(feet="rigid")


def compliance(cage, choices=RIGID, *, member="hoop", along=None, force=(0, 1.0, -1.0)):
    """Movement along a unit load at the middle of a member, mm/N."""
    length = next(m for m in cage.members if m.name == member).path.length
    at = 0.4 * length if along is None else along
    model = idealise(cage, choices, {member: (at,)})
    pattern = pattern_of(model, point_push(member, at, force))
    return float(solve_linear(model.model, pattern[None]).energy[0] * 2.0)


def test_the_model_weighs_what_the_tubes_weigh():
    """Against the weights of the cut list; stubs and copes make the difference."""
    model = idealise(demo()).model
    tips = model.nodes[model.elements] + model.stubs
    length = np.sqrt(((tips[:, 1] - tips[:, 0]) ** 2).sum(axis=1))
    tubes = sum(p.mass for p in weigh(demo()).parts if p.kind == "member")
    assert float((model.sections.area * length).sum()) * 7850e-9 == pytest.approx(tubes, rel=0.01)


def test_a_symmetric_cage_is_a_symmetric_frame():
    model = idealise(hoop_cage()).model
    here = {tuple(np.round(p, 6)) for p in model.nodes}
    there = {tuple(np.round(p * [1, -1, 1], 6) + 0.0) for p in model.nodes}
    assert {tuple(np.array(p) + 0.0) for p in here} == there


@pytest.mark.parametrize(
    "softer",
    [
        Choices(feet="rigid", stubs=False),
        Choices(feet="shell"),
    ],
    ids=["without stubs", "on the shell"],
)
def test_what_softens(softer):
    cage = hoop_cage(seat="sill")
    assert compliance(cage, softer) > 1.005 * compliance(cage)


def test_bends_and_shear_soften():
    cage = hoop_cage()
    assert compliance(cage) > 1.01 * compliance(cage, replace(RIGID, bends=False))
    assert compliance(cage) > 1.01 * compliance(cage, replace(RIGID, shear=False))


def test_joints_that_may_yield_are_as_stiff_until_they_do():
    cage = hoop_cage()
    assert compliance(cage, replace(RIGID, joints="yield")) == pytest.approx(compliance(cage), rel=0.01)


def test_a_further_member_never_makes_it_more_flexible():
    path = [{"on": "cross", "part": 0.25}, {"on": "hoop", "across": 100}]
    brace = {"role": "diagonal", "tube": "bar", "path": path}
    with_brace = hoop_cage(extra={"brace": brace})
    for force in ((0, 1, 0), (0, 0, -1), (1, 0, 0), (0.3, -0.5, -0.8)):
        assert compliance(with_brace, force=force) < compliance(hoop_cage(), force=force)


def test_the_answer_settles_as_the_mesh_is_refined():
    coarse, fine, finest = (compliance(hoop_cage(), replace(RIGID, mesh=m)) for m in (40, 20, 5))
    assert fine == pytest.approx(finest, rel=2e-3)
    assert abs(fine - finest) < abs(coarse - finest)


def test_no_element_is_shorter_than_it_needs_to_be():
    model = idealise(demo(), Choices(softened="cautious"))
    length = model.along[:, 1] - model.along[:, 0]
    assert length.min() > 3.0
    assert length.max() <= 40.0 + 1e-9


def test_a_load_finds_its_node():
    model = idealise(hoop_cage(), RIGID, {"hoop": (777.0,)})
    node = node_at(model, "hoop", 777.0)
    number = int(np.argmin(np.abs(model.along[:, 0] - 777.0) + 1e9 * (model.member != 0)))
    assert model.along[number, 0] == pytest.approx(777.0)
    assert int(model.model.elements[number, 0]) == node


def test_a_cage_on_nothing_is_refused():
    cage = beam()
    ends = tuple(replace(e, foot=None) for e in cage.members[0].ends)
    with pytest.raises(FrameError, match="no member lands on a foot"):
        idealise(replace(cage, members=(replace(cage.members[0], ends=ends),)))


def test_a_member_in_the_air_is_named():
    cage = tee()
    post, bar = cage.members
    lost = replace(bar, ends=tuple(replace(e, foot=None, joint=None) for e in bar.ends))
    with pytest.raises(FrameError, match="'bar' float"):
        idealise(replace(cage, members=(post, lost), joints=()))


def test_a_steel_without_a_yield_strength_is_refused():
    cage = beam(tubes={"hoop": {"od": 45, "wall": 2.5, "steel": "E355+C", "clr": 135}})
    with pytest.raises(FrameError, match=r"no yield strength is known for E355\+C"):
        idealise(cage)


def test_a_bought_tube_whose_paper_nobody_has_is_not_pushed():
    cage = beam(tubes={"hoop": {"od": 45, "wall": 2.5, "steel": "cannot tell", "clr": 135}})
    with pytest.raises(FrameError, match=r"nobody can tell the steel of .*: ask for its paper"):
        idealise(cage)


def test_typical_yield_is_the_stockists_where_known():
    """60 ksi for 1020 and 75 ksi for 1026, a stockist's table (read); a mill sheet is what it says."""
    steels = built_in_steels()
    typical = Choices(strength="typical")
    assert yield_of(steels["A513-5 1020"], typical) == pytest.approx(60 * 6.894757, rel=2e-3)
    assert yield_of(steels["A513-5 1026"], typical) == pytest.approx(75 * 6.894757, rel=2e-3)
    assert yield_of(steels["E355+N"], typical) == pytest.approx(1.15 * 355)
    assert typical_of(steels["E355+N"]).certainty == "memory"
    sheet = replace(steels["E355+N"], name="Mill 7", certainty="shop", yield_strength=402.0)
    assert yield_of(sheet, typical) == 402.0


def test_a_steel_without_a_figure_beside_welds_takes_the_lowest_of_its_kind_and_says_so():
    steels = built_in_steels()
    own = steels["E355+SR"].softening
    assert (softening_of(steels["E355+SR"]), own.assumed) == (own, False)
    normalised = [s.softening.part for s in steels.values() if s.softening and s.condition == "normalised"]
    bare = softening_of(replace(steels["E355+N"], softening=None))
    assert (bare.part, bare.assumed) == (min(normalised), True)
    sheet = softening_of(replace(steels["E355+N"], name="Mill 7", softening=None, condition=None))
    assert sheet.part == min(s.softening.part for s in steels.values() if s.softening)
    mill = {"yield_strength": 402, "tensile": 561, "source": "mill sheet"}
    cage = beam(
        steels={"Mill 7": mill}, tubes={"hoop": {"od": 45, "wall": 2.5, "steel": "Mill 7", "clr": 135}}
    )
    assert any(n.startswith("assumed: Mill 7 keeps 65%") for n in idealise(cage).notes)
    assert not any("assumed: " in n for n in idealise(beam()).notes)
    assert not any("assumed: Mill" in n for n in idealise(cage, Choices(softened="none")).notes)


def foot_stiffness(normal):
    """Stiffness (3, 3) at a foot whose plate faces ``normal``, from a stiff bar's end moved by unit loads."""
    model = idealise(tee(foot=on_sill((0, 500, 0), normal, seat="floor")))
    place = next(p for p in model.feet if p.foot.name == "far")
    frame = model.model
    total = np.zeros((3, 3))
    for row in place.springs:
        if frame.springs.dof[row] < 3:
            total[frame.springs.dof[row], frame.springs.dof[row]] += frame.springs.stiffness[row]
    for row in place.hinges:
        axes = frame.hinges.axes[row]
        total += axes.T @ np.diag(frame.hinges.stiffness[row, :3]) @ axes
    return total, place.hold


@pytest.mark.parametrize("normal", [(0, -1, 0), (0.3, -1, 0.2), (0, -1, 1)])
def test_a_plate_holds_in_its_own_axes_however_it_is_tilted(normal):
    found, hold = foot_stiffness(normal)
    n = np.array(normal) / np.linalg.norm(normal)
    square, flat = hold.normal + hold.dishing, hold.sliding * (1.0 + 1e-3 * (np.abs(n).max() < 0.99))
    expected = square * np.outer(n, n) + flat * (np.eye(3) - np.outer(n, n))
    assert found == pytest.approx(expected, rel=1e-9, abs=1e-6 * flat)


def test_springs_and_hinges_of_one_plate_answer_alike():
    """A plate tilted by a fifth of a degree stands on hinges, one that is not stands on springs."""
    push = point_push("bar", 250.0, (0, 1.0, -0.2), travel=3.0)
    curves = []
    for tilt in (0.0, 0.0035):
        model = idealise(tee(foot=on_sill((0, 500, 0), (tilt, -1, 0), seat="floor")))
        curves.append(solve(model, push).load)
    assert curves[0] == pytest.approx(curves[1], rel=0.02)  # the hinge counts push and tilt together


def test_what_the_builder_gauged_replaces_what_is_assumed():
    sheet = {"thickness": 1.5, "yield_strength": "220 MPa", "source": "gauged"}
    cage = tee(foot=on_sill((0, 500, 0), (0, -1, 0), seat="floor", sheet=sheet))
    place = next(p for p in idealise(cage).feet if p.foot.name == "far")
    assert place.shell == replace(
        grounds()["floor"], thickness=1.5, yield_strength=220.0, source="gauged", certainty="shop"
    )
    assert place.hold == foot_hold(place.shell, (120, 100))
    # all round the plate: 2 x (120 + 100) x 1.5 x 220 / sqrt(3), von Mises shear
    assert place.punching == pytest.approx(440 * 1.5 * 220 / 3**0.5)
    assert place.punching == punching(place.shell, (120, 100))
    assert shell_under(cage.feet[0]) is None


def test_a_branch_opposite_makes_an_x():
    forms = {p.joint.name: p.form for p in idealise(demo()).joints}
    assert forms["doorbar_post_upper_left.end"] == "X"
    assert forms["backstay_left.start"] == "T"


def test_notes_say_what_was_assumed():
    said = " ".join(idealise(demo()).notes)
    for words in ("shell under the feet", "gussets carry nothing", "from memory, unchecked"):
        assert words in said
    assert "gussets" not in " ".join(idealise(tee()).notes)
    assert "not welded all round: bar.start" in " ".join(idealise(tee(open_="top")).notes)
    assert "typical yield strength: E355+N 1.15" in " ".join(
        idealise(tee(), Choices(strength="typical")).notes
    )


@pytest.mark.slow
def test_the_demo_answers_as_the_simplifications_say():
    """Over the first 60 mm, where nothing new comes to bear."""
    push = replace(push_named(demo(), "roof-left"), travel=60.0)

    def energy(choices):
        return float(solve(idealise(demo(), choices), push).work[-1])

    held = energy(RIGID)
    assert energy(Choices()) < held
    assert energy(replace(RIGID, joints="report")) > held
    assert energy(replace(RIGID, mesh=20.0)) == pytest.approx(held, rel=0.02)  # hinges sit on mesh lengths
    assert energy(replace(RIGID, strength="typical")) > 1.05 * held
