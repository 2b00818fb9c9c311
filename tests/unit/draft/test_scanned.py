"""Readings taken from a scan against what a tape reads on the same shell, and sections with known answers."""

import numpy as np
import pytest

from bodies import BODIES, mesh, points, survey
from cagewright.draft.layout import draft
from cagewright.draft.limits import Limits
from cagewright.draft.openings import roof_openings, side_openings
from cagewright.draft.scanned import filled, normal_at
from cagewright.draft.slabs import Slab, corner_of, half_at, roof_at, slab_at
from cagewright.plan.survey import read_survey_text
from cagewright.plan.survey_text import survey_text
from cagewright.shape.cloud import cloud_of
from cagewright.shape.mesh import mesh_of
from cagewright.shape.scan import Scan
from cagewright.stock.shop import NO_SHOP
from car_bodies import CARS, car_mesh, car_survey, scanned
from saloon import box

FACET = 6.0
ALONG = 25.0
"""A round corner is deepest over some way along it: how deep is sure, not where along it, mm."""
CORNERS = ("cant_rail", "pillar_", "rail_mid")


def scan_of(corners, faces) -> Scan:
    seen = mesh_of(corners, faces)
    return Scan(name="s", mesh=seen, cloud=cloud_of(seen), watertight=False, residuals=(), notes=())


BOX = scan_of(*box((1000.0, 1400.0, 900.0)))


def test_a_section_of_a_box_is_its_rectangle():
    slab = slab_at(BOX.cloud, 100.0)
    assert half_at(slab, 0.0, -1) == pytest.approx(700.0)
    assert half_at(slab, 0.0, 1) == pytest.approx(700.0)
    assert roof_at(slab, 300.0) == pytest.approx(450.0)
    assert corner_of(slab, 1) == pytest.approx((700.0, 450.0), abs=5.0)
    assert roof_at(slab_at(BOX.cloud, 600.0), 0.0) is None
    assert corner_of(slab_at(BOX.cloud, 600.0), 1) is None


def test_scatter_is_averaged_and_a_small_hole_is_bridged_a_large_one_is_no_metal():
    points = BOX.cloud.points + np.random.default_rng(1).normal(0.0, 2.0, BOX.cloud.points.shape)
    for hole, metal in ((25.0, True), (160.0, False)):
        kept = np.linalg.norm(points[:, :2] - [100.0, 300.0], axis=1) > hole
        holed = type(BOX.cloud)(points=points[kept], normals=BOX.cloud.normals[kept],
                                faces=BOX.cloud.faces[kept], spacing=8.0,
                                tree=BOX.cloud.tree, low=BOX.cloud.low, near=BOX.cloud.near)  # fmt: skip
        up = roof_at(slab_at(holed, 100.0), 300.0)
        assert up == pytest.approx(450.0, abs=1.5) if metal else up is None


def test_beside_an_edge_there_is_no_metal():
    short = scan_of(*box((1000.0, 570.0, 900.0)))  # the roof ends 285 mm to the side
    assert roof_at(slab_at(short.cloud, 100.0), 230.0) == pytest.approx(450.0)
    assert roof_at(slab_at(short.cloud, 100.0), 300.0) is None


def bare(body, file):
    """Only what a section has to be told: stations and heights, and what no section shows."""
    told = ("hoop_station", "sill_height", "front_foot", "turret", "door", "dash", "hip", "floor_height")
    kept = {name: file.readings[name] for name in told}
    where = points(body)
    kept["waist"] = {"left": (None, body.waist[1])}
    kept |= {name: {"left": (where[name][0], None, None)} for name in ("pillar_base", "pillar_top")}
    return file.model_copy(update={"readings": kept})


@pytest.mark.slow
@pytest.mark.parametrize("body", BODIES.values(), ids=BODIES)
def test_a_scan_reads_as_a_tape_does(body):
    whole = survey(body)
    read, taken = filled(bare(body, whole), scan_of(*mesh(body, 60_000)))
    assert {"sill_side left", "waist right", "cant_rail left", "roof_height centre", "rail_mid right"} <= set(
        taken
    )
    for name in taken:
        reading, part = (*name.split(" "), "")[:2]
        got, wanted = read.readings[reading][part], whole.readings[reading][part]
        if reading.startswith(CORNERS):
            assert sum(got[-2:]) == pytest.approx(sum(wanted[-2:]), abs=FACET), name
            assert got == pytest.approx(wanted, abs=ALONG), name
        else:
            assert got == pytest.approx(wanted, abs=FACET), name


@pytest.mark.slow
@pytest.mark.parametrize("body", BODIES.values(), ids=BODIES)
def test_a_draft_from_a_scan_is_the_draft_from_the_tape(body):
    whole = survey(body)
    read, _ = filled(bare(body, whole), scan_of(*mesh(body, 60_000)))
    taped, scanned = (draft(file, Limits(), NO_SHOP).hoop.left.places for file in (whole, read))
    assert scanned[:3] == pytest.approx(taped[:3], abs=FACET)


def test_what_was_read_on_the_car_is_kept():
    body = BODIES["saloon"]
    whole = survey(body)
    changed = {**whole.readings, "waist": {"left": (640.0, 700.0), "right": (641.0, 700.0)}}
    read, taken = filled(whole.model_copy(update={"readings": changed}), scan_of(*mesh(body, 20_000)))
    assert read.readings["waist"] == changed["waist"]
    assert not any(name.startswith("waist") for name in taken)


def test_the_half_that_was_read_on_the_car_is_kept():
    body = BODIES["saloon"]
    changed = {**bare(body, survey(body)).readings}
    changed["pillar_base"] = {"left": (470.0, None, None), "right": (490.0, None, None)}
    read, _ = filled(survey(body).model_copy(update={"readings": changed}), scan_of(*mesh(body, 20_000)))
    assert [read.readings["pillar_base"][side][0] for side in ("left", "right")] == [470.0, 490.0]


def test_each_side_has_its_own_half_width():
    aside = slab_at(scan_of(*box((1000.0, 1400.0, 900.0), middle=(0.0, 100.0, 0.0))).cloud, 100.0)
    assert half_at(aside, 0.0, -1) == pytest.approx(600.0)
    assert half_at(aside, 0.0, 1) == pytest.approx(800.0)


# --- a whole car with doors, windows and a sunroof, as a phone scans it


@pytest.fixture(scope="module")
def dented() -> Scan:
    car = CARS["dented saloon"]
    corners, faces = scanned(car_mesh(car, 60_000), noise=1.0, bits=0, turned=0.0)
    return scan_of(corners - [2500.0, -900.0, 1400.0], faces)


@pytest.mark.slow
def test_doors_window_and_sunroof_are_seen_where_they_are(dented):
    car = CARS["dented saloon"]
    for sign in (-1, 1):
        door, window = side_openings(dented.cloud, sign)[:2]
        assert (door.front, door.rear, door.low) == pytest.approx(car.door[:3], abs=20.0)
        assert window.low == pytest.approx(car.waist[1] + 40.0, abs=35.0)
    (roof,) = roof_openings(dented.cloud)
    assert (roof.front, roof.rear, roof.low, roof.high) == pytest.approx((1040, 1400, -300, 300), abs=20.0)


def test_with_nothing_read_the_scan_gives_what_it_can(dented):
    car = CARS["dented saloon"]
    bare = car_survey(car).model_copy(update={"readings": {}})
    file, names = filled(bare, dented)
    assert file.readings["hoop_station"][""][0] == pytest.approx(car.door[1] + 20.0, abs=20.0)
    assert file.readings["sill_height"]["middle"][0] == pytest.approx(car.sill, abs=2.0)
    assert file.readings["floor_height"]["left"][0] == pytest.approx(car.floor, abs=2.0)
    # the sunroof is no metal: the roof half way is asked for and never read off the floor
    assert "roof_mid" not in names
    assert not any(name.startswith(("front_foot", "turret", "hip")) for name in names)
    assert file.from_scan.readings == names
    assert read_survey_text(survey_text(file)).file.from_scan == file.from_scan


def test_the_normal_is_the_metal_s():
    normal = normal_at(BOX, np.array([0.0, 0.0, -450.0]), np.array([0.3, 0.0, 0.9]))
    assert normal == pytest.approx([0.0, 0.0, 1.0], abs=1e-6)
    assert normal_at(BOX, np.array([0.0, 0.0, 0.0]), np.array([0.0, 0.0, 1.0])) is None


@pytest.mark.parametrize("seen", [True, False])
def test_the_edge_of_a_box_in_a_leaning_corner_is_read_or_nothing_is(seen):
    rng = np.random.default_rng(3)
    x, t = rng.uniform(-24.0, 24.0, 1500), rng.uniform(0.0, 40.0, 1500)
    level = rng.random(1500) < 0.5  # the box's two faces run from its edge at half 680, up 890
    half, up = 680.0 + np.where(level, t, 0.0), 890.0 + np.where(level, 0.0, t)
    out = np.stack([half + up, half - up])
    far = rng.uniform(-130.0, 130.0, 1500) - 210.0  # and behind it the corner, deepest at 1610
    behind = np.stack([1610.0 - np.abs(far + 210.0) / 3.0, far])
    behind = behind[:, np.abs(far + 210.0) > 40.0]
    both = np.concatenate([out, behind], axis=1) if seen else behind
    back = (
        np.r_[x, rng.uniform(-24.0, 24.0, behind.shape[1])] if seen else rng.uniform(-24, 24, both.shape[1])
    )
    points = np.stack([back, both.sum(axis=0) / 2.0, (both[0] - both[1]) / 2.0], axis=1)
    points = points + back[:, None] * np.array([0.0, -0.2, 1.0]) + rng.normal(0.0, 0.7, points.shape)
    floor = np.array([[0.0, 600.0, 0.0]]).repeat(200, axis=0)
    slab = Slab(points=np.concatenate([points * [1.0, -1.0, 1.0], floor]))
    edge = corner_of(slab, -1, box=(-0.2, 1.0))
    assert edge == pytest.approx((680.0, 890.0), abs=4.0) if seen else edge is None
