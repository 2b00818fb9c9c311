"""The room of a seated person: how far its parts reach, and distances against dense points on them."""

from dataclasses import replace

import numpy as np
import pytest

from cagewright.shape.seated import measure, seated_parts
from cagewright.shape.survival_space import STEP, distances, points_of, survival_spaces
from cagewright.shape.types import driver_body
from pushed import demo


@pytest.fixture(scope="module")
def spaces():
    return {s.part: s for s in survival_spaces(demo()[2])}


def test_nobody_in_the_car_leaves_no_space():
    assert survival_spaces(replace(demo()[2], people=())) == ()


def test_a_person_is_helmet_torso_thighs_and_knees(spaces):
    assert list(spaces) == ["helmet", "torso", "left thigh", "right thigh", "left knee", "right knee"]
    assert {s.person for s in spaces.values()} == {"driver"}
    assert all(s.source and s.certainty for s in spaces.values())


def test_the_torso_is_as_thick_as_a_chest_and_as_broad_as_shoulders_and_hips(spaces):
    """ANSUR II chest depth of men, mean 253.8 mm; breadths as the driver's own parts have them."""
    torso, parts = spaces["torso"], {p.name: p for p in seated_parts(driver_body(demo()[2]))}
    assert 2.0 * torso.radius == pytest.approx(253.8) == pytest.approx(measure("chest depth", "men")["mean"])
    for edge, name in ((torso.outline[:2], "shoulder"), (torso.outline[2:], "hip")):
        part = parts[name]
        broad = np.abs(part.two - part.one)[1] + 2.0 * part.radius
        assert np.ptp(edge[:, 1]) + 2.0 * torso.radius == pytest.approx(broad)
    top = 0.5 * (parts["shoulder"].one + parts["shoulder"].two)
    way = torso.outline[0] - torso.outline[3]
    up = np.array([way[0], 0.0, way[2]]) / np.hypot(way[0], way[2])
    assert (torso.outline[0] @ up) + torso.radius == pytest.approx(top @ up + parts["shoulder"].radius)


def test_a_thigh_runs_from_the_hip_to_its_own_knee(spaces):
    for side in ("left", "right"):
        assert spaces[f"{side} thigh"].outline[1] == pytest.approx(spaces[f"{side} knee"].outline[0])
    assert spaces["left knee"].outline[0, 1] < spaces["right knee"].outline[0, 1]


@pytest.mark.parametrize("part", ["helmet", "torso", "left thigh"])
def test_distances_are_those_to_dense_points_of_it(spaces, part):
    outline, rng = spaces[part].outline, np.random.default_rng(5)
    one = outline.mean(axis=0) + rng.uniform(-500, 500, (40, 3))
    two = one + rng.uniform(-150, 150, (40, 3))
    share = np.linspace(0, 1, 31)[:, None, None]
    along = one + share * (two - one)  # points of each segment
    rows = np.linspace(0, 1, 61)
    corners = outline if len(outline) == 4 else outline[[0, -1, -1, 0]]
    grid = np.array([
        (1 - v) * ((1 - u) * corners[0] + u * corners[1]) + v * ((1 - u) * corners[3] + u * corners[2])
        for u in rows for v in rows
    ])  # fmt: skip
    dense = np.array([np.sqrt(((along[:, i, None] - grid) ** 2).sum(axis=2)).min() for i in range(40)])
    found = distances(one, two, outline)
    assert (found <= dense + 1e-9).all()
    # points stand up to 9 mm apart: what passes through is found at most that far off
    assert found == pytest.approx(dense, abs=9.0)
    assert np.abs(found - dense)[found > 60.0].max() < 1.0


def test_a_tube_through_the_middle_of_a_torso_is_at_no_distance(spaces):
    outline = spaces["torso"].outline
    middle, normal = outline.mean(axis=0), np.cross(outline[1] - outline[0], outline[3] - outline[0])
    off = normal / np.linalg.norm(normal) * 400.0
    assert distances((middle - off)[None], (middle + off)[None], outline)[0] == 0.0
    assert distances((middle + 0.5 * off)[None], (middle + off)[None], outline)[0] == pytest.approx(200.0)


def test_its_points_are_close_together_and_on_it(spaces):
    for space in spaces.values():
        points = points_of(space)
        assert distances(points, points, space.outline).max() < 1e-6
        if len(points) > 1:
            away = np.sqrt(((points[:, None] - points) ** 2).sum(axis=2)) + np.eye(len(points)) * 1e9
            assert away.min(axis=1).max() <= STEP + 1e-9
