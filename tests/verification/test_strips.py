"""Plates as tension strips.

Sources: pull angle of Timler and Kulak, University of Alberta Structural Engineering Report 114 (1983), as in
AISC 341 F5 (formula second-hand, restated by a public calculator's page), checked here by least work worked
independently; plastic strength of a panel in a pin-jointed frame, V = 0.5 fy t L sin(2a), Berman and Bruneau,
J. Struct. Eng. 129 (2003) 1448-1456 (from memory; AISC 341 uses 0.42 of it by overstrength 1.2, second-hand).
"""

import math

import numpy as np
import pytest
from scipy.optimize import minimize_scalar

from cagewright.frame.choices import Choices
from cagewright.frame.idealise import idealise
from cagewright.frame.model import Bars, Hinges, Material, bilinear, frame_model
from cagewright.frame.respond import pattern_of, solve
from cagewright.frame.strips import SHEET, chords, flattened, pull_angle, strips_of
from cagewright.frame.travel import Steps, push_pattern
from cagewright.shape.resolve import resolve
from frame_materials import plain_sections
from push_cages import demo
from small_plans import plan

WALL = {"thickness": 5.0, "width": 3750.0, "height": 2500.0, "post_area": 16_500.0,
        "post_inertia": 308e6, "beam_area": 18_400.0}  # fmt: skip
TUBES = {"thickness": 1.2, "width": 800.0, "height": 500.0, "post_area": 333.8,
         "post_inertia": 75_625.0, "beam_area": 278.8}  # fmt: skip


def work(angle, *, thickness, width, height, post_area, post_inertia, beam_area):
    """Elastic work of a unit shear: plate, posts' push and bending (built in), beams' push; over E."""
    sine, cosine = math.sin(angle), math.cos(angle)
    pull = 1.0 / (thickness * width * sine * cosine)
    plate = pull**2 * thickness * width * height / 2.0
    posts = 2 * (pull * thickness * width * cosine**2 / 2.0) ** 2 * height / (2.0 * post_area)
    beam = (pull * thickness * height * sine**2) ** 2 * width / (2.0 * beam_area)
    bending = 2 * (pull * thickness * sine**2) ** 2 * height**5 / (1440.0 * post_inertia)
    return plate + posts + beam + bending


@pytest.mark.parametrize("panel", [WALL, TUBES])
def test_pull_angle_is_of_least_work(panel):
    least = minimize_scalar(lambda a: work(a, **panel), bounds=(0.05, 1.5), method="bounded",
                            options={"xatol": 1e-10})  # fmt: skip
    assert pull_angle(**panel) == pytest.approx(least.x, rel=1e-6)


def test_pull_angle_of_a_stiff_frame_is_45_degrees():
    stiff = {**WALL, "post_area": 1e12, "post_inertia": 1e15, "beam_area": 1e12}
    assert math.degrees(pull_angle(**stiff)) == pytest.approx(45.0, abs=1e-3)
    assert 35.0 < math.degrees(pull_angle(**WALL)) < 50.0  # the usual range (second-hand)


def test_strips_cover_the_panel_whatever_its_shape():
    """The strips' breadth times length is the panel's area, in both directions."""
    corners = np.array([[0, 0, 0], [900, 0, 60], [820, 0, 480], [40, 0, 400.0]])
    flat, frame = flattened(corners)
    assert frame @ frame.T == pytest.approx(np.eye(2), abs=1e-12)
    x, y = flat[:, 0], flat[:, 1]
    area = 0.5 * abs(x @ np.roll(y, -1) - y @ np.roll(x, -1))
    for turn in (math.pi / 4, 3 * math.pi / 4):
        way = np.array([math.cos(turn), math.sin(turn)])
        sheet = sum(b * np.linalg.norm(q - p) for (p, q), b in chords(flat, way, 24))
        assert sheet == pytest.approx(area, rel=2e-3)  # midpoint rule over the corners' kinks


def panel(width, height, thickness, fy, count=12):
    """A panel in four stiff bars hinged at the corners; nodes wherever a strip ends."""
    corners = np.array([[0, 0, 0], [width, 0, 0], [width, 0, height], [0, 0, height]], float)
    flat, frame = flattened(corners)
    strips = []
    for turn in (math.pi / 4, 3 * math.pi / 4):
        way = np.array([math.cos(turn), math.sin(turn)])
        strips += [
            (corners[0] + p @ frame, corners[0] + q @ frame, b) for (p, q), b in chords(flat, way, count)
        ]
    nodes, elements, ends, hinges = [], [], {}, []
    for k in range(4):
        a, b = corners[k], corners[(k + 1) % 4]
        size = np.linalg.norm(b - a)
        on = {0.0, float(size)}
        for p in (p for s in strips for p in s[:2]):
            along = float((p - a) @ (b - a) / size)
            if np.linalg.norm(a + (b - a) * along / size - p) < 1e-6:
                on.add(round(along, 6))
        first = len(nodes)
        for along in sorted(on):
            ends[tuple(np.round(a + (b - a) * along / size, 3) + 0.0)] = len(nodes)
            nodes.append(a + (b - a) * along / size)
        elements += [(i, i + 1) for i in range(first, len(nodes) - 1)]
        hinges.append((first, len(nodes) - 1))
    corner = [(hinges[k][1], hinges[(k + 1) % 4][0]) for k in range(4)]
    return nodes, elements, strips, ends, corner, hinges


@pytest.mark.parametrize(("width", "height"), [(800.0, 800.0), (1000.0, 600.0)])
def test_a_panel_in_a_hinged_frame_carries_half_its_sheet(width, height):
    """V = 0.5 fy t L sin(2a) with a = 45 degrees; the frame itself is a mechanism."""
    thickness, fy, young = 1.0, 180.0, 210e3
    nodes, elements, strips, ends, corner, sides = panel(width, height, thickness, fy)
    n, fixed = len(nodes), None
    fixed = np.zeros((n, 6), np.bool_)
    fixed[:, [1, 3, 5]] = True  # in its plane
    fixed[sides[0][0] : sides[0][1] + 1] = True  # the lower bar stands still
    model = frame_model(
        nodes=np.array(nodes), elements=np.array(elements),
        sections=plain_sections(len(elements), area=2e4, inertia_y=1e9, inertia_z=1e9, torsion=1e9),
        materials=(
            Material(young=young, shear=81e3),
            Material(young=young, shear=81e3, curve=bilinear(fy=fy, hardening=0.0, young=young)),
        ),
        fixed=fixed,
        hinges=Hinges(
            ends=np.array(corner), axes=np.tile(np.eye(3), (4, 1, 1)),
            stiffness=np.tile([1e8, 1e8, 1e8, 1e2, 1e2, 1e2], (4, 1)), capacity=np.full((4, 3), np.inf),
        ),
        bars=Bars(
            ends=np.array([[ends[tuple(np.round(p, 3) + 0.0)] for p in s[:2]] for s in strips]),
            area=np.array([s[2] * thickness for s in strips]),
            material=np.ones(len(strips), np.int64), slack=np.ones(len(strips), np.bool_),
        ),
    )  # fmt: skip
    top = range(sides[2][0], sides[2][1] + 1)
    pattern = np.zeros((n, 6))
    pattern[list(top), 0] = 1.0 / len(top)
    travel = 4.0 * fy / young * height
    found = push_pattern(model, pattern=pattern, measure=pattern[:, :3], target=travel,
                         steps=Steps(size=travel / 20))  # fmt: skip
    assert found.reached
    assert found.load[-1] == pytest.approx(0.5 * fy * thickness * width, rel=0.01)
    slack = found.bars[-1] <= 1e-6 * fy
    assert slack.sum() == len(strips) // 2  # the other way of strips has gone slack


def door(thickness):
    """Two uprights and two bars between them, with or without a sheet."""
    stands = {"on": "rigid", "plate": [100, 100, 3]}
    members = {
        f"post_{i}": {"role": "cage reinforcement", "tube": "hoop",
                      "path": [{"foot": f"low_{i}"}, [x, 0, 900]], "cut": None}
        for i, x in enumerate((0, 900))
    }  # fmt: skip
    for i in (0, 1):
        members[f"post_{i}"]["path"][1] = {"foot": f"top_{i}"}
    members |= {
        f"bar_{i}": {"role": "doorbar", "tube": "bar",
                     "path": [{"on": "post_0", "up": z}, {"on": "post_1", "up": z}]}
        for i, z in enumerate((250, 650))
    }  # fmt: skip
    feet = {
        f"{w}_{i}": {**stands, "at": [x, 0, z], "normal": [0, 0, n]}
        for i, x in enumerate((0, 900))
        for w, z, n in (("low", 0, 1), ("top", 900, -1))
    }
    corners = [{"on": f"post_{i}", "up": z} for i, z in ((0, 250), (1, 250), (1, 650), (0, 650))]
    plates = {"skin": {"corners": corners, "thickness": thickness}} if thickness else {}
    return resolve(plan(members, feet=feet, plates=plates))


def test_strips_of_a_cage_hang_on_its_tubes():
    """Every strip ends on nodes of the plate's tubes, most of the sheet is hung, and it stiffens the cage."""
    cage = door(1.2)
    model = idealise(cage)
    plate = cage.plates[0]
    assert set(plate.members) == {"post_0", "post_1", "bar_0", "bar_1"}
    bars = model.model.bars
    owner = {}
    for e, ends in enumerate(model.model.elements):
        for node in ends:
            owner.setdefault(int(node), set()).add(model.model.names[e])
    assert all(owner[int(n)] & set(plate.members) for n in bars.ends.ravel())
    run = model.model.nodes[bars.ends[:, 1]] - model.model.nodes[bars.ends[:, 0]]
    hung = float((np.linalg.norm(run, axis=1) * bars.area).sum()) / 1.2 / 2.0
    assert hung == pytest.approx(900 * 400, rel=0.1)  # ends go to the nearest node
    assert model.model.materials[int(bars.material[0])].curve.stress[0] == SHEET.yield_strength
    assert any("mild sheet" in note for note in model.notes)


def test_a_sheet_stiffens_and_its_switch_takes_it_off():
    from push_cages import point_push

    push = point_push("bar_1", 450.0, (1.0, 0, 0), travel=2.0)
    loads = []
    for cage, choices in ((door(0), Choices()), (door(1.2), Choices()), (door(1.2), Choices(plates=False))):
        model = idealise(cage, choices, {"bar_1": (450.0,)})
        assert pattern_of(model, push).any()
        loads.append(float(solve(model, push).load[-1]))
    assert loads[1] > 1.05 * loads[0]
    assert loads[2] == pytest.approx(loads[0], rel=1e-9)


def test_no_plates_no_strips():
    model = idealise(demo())
    assert strips_of(demo(), {}) == ()
    assert len(model.model.bars.area) == 0
