"""The cage as the page draws it."""

import struct
from pathlib import Path

import numpy as np
import pytest

from cagewright.base.cache import Cache
from cagewright.base.curves import nearest
from cagewright.base.plain import plain
from cagewright.job.opening import Job, job_of
from cagewright.job.scene.member import ROUND, SAGITTA, cut_round
from cagewright.job.scene.picks import BadPick, distance
from cagewright.job.scene.scan import packed, scan_bytes, thinned
from cagewright.job.scene.scene import delta, drawn_scene, scene_of
from cagewright.plan.read import read_plan
from cagewright.plan.text import parse
from cagewright.shape.resolve import resolve
from cagewright.shape.types import Cope, FlatCut
from deskside import changed
from edited import INCH, MM, edit, made, opened
from small_plans import on_post

EXAMPLES = Path(__file__).parents[3] / "examples"


def scene():
    return plain(scene_of(opened()[1], number=3))


def member(found, name):
    return next(m for m in found["members"] if m["name"] == name)


def is_plain(value):
    """Whether the value is made of what JSON can hold, with no number that it cannot."""
    if isinstance(value, dict):
        return all(isinstance(k, str) and is_plain(v) for k, v in value.items())
    if isinstance(value, list):
        return all(is_plain(v) for v in value)
    return (
        value is None or isinstance(value, str | bool | int) or (type(value) is float and np.isfinite(value))
    )


def test_the_scene_is_plain_values_of_the_whole_cage():
    found, cage = scene(), opened()[1].cage
    assert is_plain(found)
    assert [m["name"] for m in found["members"]] == [m.name for m in cage.members]
    assert (found["number"], found["revision"], found["units"]) == (3, cage.revision, "mm")
    assert len(found["joints"]) == len(cage.joints)
    assert len(found["feet"]) == len(cage.feet)
    assert {m["kind"] for m in found["mounts"]} == {"seat", "belt"}
    assert len(found["mounts"]) == 10
    (driver,) = found["people"]
    assert driver["name"] == "driver"
    assert [p["name"] for p in driver["body"]] == ["shoulder", "hip", "knee", "knee"]
    assert driver["helmet"] == {"centre": [1395.0, -330.0, 915.0], "radius": 150.0}
    assert found["scan"] is None


def test_the_axis_is_the_centre_line_within_its_sagitta():
    for drawn, member_ in zip(scene()["members"], opened()[1].cage.members, strict=True):
        axis = np.array(drawn["axis"])
        assert np.allclose(axis[0], member_.path.pieces[0].start, atol=0.006)
        assert np.allclose(axis[-1], member_.path.pieces[-1].stop, atol=0.006)
        middles = 0.5 * (axis[1:] + axis[:-1])
        assert all(nearest(member_.path, p)[1] < SAGITTA + 0.02 for p in middles)


def test_a_square_cope_is_the_textbooks():
    # two tubes crossing square, axes meeting: the cut lies sqrt(R^2 - r^2 sin^2 phi) from the main's axis
    # (descriptive geometry of intersecting cylinders, any textbook; computed)
    written = on_post([[0, 0, 0], [600, 0, 0]])
    cage = resolve(written)
    bar = next(m for m in cage.members if m.name == "bar")
    cope = next(end.cut for end in bar.ends if isinstance(end.cut, Cope))
    phi = np.arange(ROUND) * 2.0 * np.pi / ROUND
    wanted = np.sqrt(22.5**2 - (19.0 * np.sin(phi)) ** 2)
    assert np.allclose(np.sort(cut_round(cope, 19.0)), np.sort(wanted), atol=0.05)
    drawn = next(e for m in plain(drawn_scene(cage, written))["members"] for e in m["ends"] if e["mains"])
    assert drawn["mains"] == ["post"]
    assert np.allclose(drawn["cut"], cut_round(cope, 19.0), atol=0.006)


def test_a_slanting_flat_cut_lies_in_its_plane():
    cage = opened()[1].cage
    tilted = [
        (m, e.cut) for m in cage.members for e in m.ends if isinstance(e.cut, FlatCut) and e.cut.tilt > 0.05
    ]
    assert tilted
    for tube, cut in tilted:
        phi = np.arange(ROUND) * 2.0 * np.pi / ROUND
        side = np.cross(cut.axis, cut.zero)
        out = np.multiply.outer(np.cos(phi), cut.zero) + np.multiply.outer(np.sin(phi), side)
        rim = (
            cut.origin
            + tube.tube.radius * out
            + np.multiply.outer(cut_round(cut, tube.tube.radius), cut.axis)
        )
        assert np.abs((rim - cut.origin) @ cut.normal).max() < 1e-6


def test_places_say_what_they_are_on():
    left, right = (member(scene(), f"front_leg_{side}") for side in ("left", "right"))
    foot, bend, _, end = right["places"]
    assert (foot["kind"], foot["foot"]) == ("foot", "front_right")
    assert (bend["kind"], bend["at"]) == ("coordinates", [530.0, 640.0, 800.0])
    assert (end["kind"], end["on"], end["side"]) == ("member", "main_hoop", "right")
    assert (end["measure"], end["value"]) == ("up", 1208.0)
    assert [p["at"][1] for p in left["places"]] == [-p["at"][1] for p in right["places"]]
    waist = [p["point"] for p in member(scene(), "main_hoop")["places"]]
    assert waist == [None, "waist", None, None, "waist_right", None]


def test_a_mirrored_place_at_a_point_names_the_points_mirror():
    text = opened()[0].text.replace(
        "      - [530, -640, 800]\n", "      - {point: waist, offset: [-1070, 10, 20]}\n"
    )
    job = job_of(parse(text, file=MM.as_posix()), MM)
    place = member(plain(scene_of(job)), "front_leg_right")["places"][1]
    assert (place["kind"], place["point"], place["at"]) == ("point", "waist_right", [530.0, 640.0, 800.0])


def test_the_same_scene_makes_no_difference():
    job = opened()[1]
    found = delta(scene_of(job, number=3), scene_of(job, number=4))
    assert (found.number, found.revision) == (4, job.cage.revision)
    assert (found.members, found.gone, found.order, found.rest) == ((), (), None, {})


EDITS = [
    {"move": {"members": "front_leg_left", "places": "end", "up": 1211}},
    {"remove": {"names": ["header"], "dependents": True}},
    {"add": {"unnamed": [{"role": "roof reinforcement", "path": [[1600, 0, 1235], [1000, 0, 1188]]}]}},
    {"mirror": {"name": "seat_front"}},
    {"rename": {"member": "main_hoop", "to": "b_hoop"}},
    {"role": {"members": ["header"], "role": "cage reinforcement"}},
    {"size": {"members": ["dash_bar"], "tube": "rail"}},
    {"note": {"name": "header", "note": "bright side up"}},
    {"move": {"foot": "stay_left", "by": [0, 0, 4], "host": True}},
    {"move": {"members": "dash_bar", "places": 1, "up": 712, "one_side": True}},
]


@pytest.mark.parametrize("asked", EDITS, ids=lambda asked: next(iter(asked)))
@pytest.mark.parametrize("path", [MM, INCH], ids=["mm", "in"])
def test_the_old_scene_and_the_difference_make_the_new_one(asked, path):
    asked = in_inches(asked) if path is INCH else asked
    before, job = opened(path)[1], made(edit(asked, path), path)
    old, new = scene_of(before, number=1), scene_of(job, number=2)
    found = plain(delta(old, new))
    assert changed(plain(old), found) == plain(new)
    [(kind, what)] = asked.items()
    if kind in ("role", "size", "note"):
        assert [m["name"] for m in found["members"]] == what.get("members", [what.get("name")])
        assert found["gone"] == []


def in_inches(asked):
    """The edit with its lengths in inches, however deep they stand."""
    if isinstance(asked, list):
        return [in_inches(inner) for inner in asked]
    if not isinstance(asked, dict):
        return asked
    return {k: inches(v) if k in ("up", "by", "path") else in_inches(v) for k, v in asked.items()}


def inches(value):
    return [inches(v) for v in value] if isinstance(value, list) else round(value / 25.4, 4)


def test_a_difference_holds_only_what_has_changed():
    found = plain(delta(scene_of(opened()[1]), scene_of(made(edit(EDITS[0])), number=4)))
    assert {m["name"] for m in found["members"]} == {
        "front_leg_left", "front_leg_right", "header", "roof_left", "roof_right",
    }  # fmt: skip
    assert not {"feet", "lines", "people", "mounts", "scan", "plates", "units"} & found["rest"].keys()


# --- the scan


def ball(rings=60, around=120, radius=500.0):
    """A ball's corners and faces."""
    up, turn = np.meshgrid(np.linspace(0, np.pi, rings), np.linspace(0, 2 * np.pi, around), indexing="ij")
    corners = radius * np.stack([np.sin(up) * np.cos(turn), np.sin(up) * np.sin(turn), np.cos(up)], axis=-1)
    i, j = np.meshgrid(np.arange(rings - 1), np.arange(around - 1), indexing="ij")
    a = (i * around + j).ravel()
    faces = np.concatenate([
        np.stack([a, a + 1, a + around], 1),
        np.stack([a + 1, a + around + 1, a + around], 1),
    ])
    return corners.reshape(-1, 3), faces


def test_a_thinned_surface_is_small_and_still_the_surface():
    corners, faces = ball()
    found, left = thinned(corners, faces, most=2000)
    assert 600 < len(left) <= 2000
    assert left.max() == len(found) - 1
    # means of corners on a ball lie inside it, by no more than the sagitta of a cell
    away = np.linalg.norm(found, axis=1)
    assert away.max() <= 500.0 + 1e-6
    assert away.min() > 490.0
    assert np.all(left[:, 0] != left[:, 1])


def test_a_small_surface_is_left_as_it_is():
    corners, faces = ball(6, 8)
    found, left = thinned(corners, faces, most=2000)
    assert found is corners
    assert left is faces


def test_the_bytes_read_back():
    corners, faces = ball(6, 8)
    data = packed(corners, faces)
    n, m = struct.unpack("<II", data[:8])
    assert (n, m) == (len(corners), len(faces))
    assert len(data) == 8 + 12 * n + 12 * m
    assert np.allclose(np.frombuffer(data[8 : 8 + 12 * n], "<f4").reshape(-1, 3), corners, atol=1e-3)
    assert np.array_equal(np.frombuffer(data[8 + 12 * n :], "<u4").reshape(-1, 3), faces)


def test_a_plans_scan_is_sent_in_the_cars_axes(tmp_path):
    path = tmp_path / "plan.yaml"
    corners, faces = ball(20, 30)
    lines = [*(f"v {x} {y} {z}" for x, y, z in corners), *(f"f {a + 1} {b + 1} {c + 1}" for a, b, c in faces)]
    (tmp_path / "body.obj").write_text("\n".join(lines))
    scan = "  scan: {file: body.obj, units: mm, move: [1000, 0, 600]}\n"
    text = opened()[0].text.replace("shop: brackwater.shop.yaml\n", "")
    assert "shell:\n" in text
    job = job_of(parse(text.replace("shell:\n", "shell:\n" + scan), file="plan.yaml"), path)
    data = scan_bytes(job)
    assert data is not None
    n = struct.unpack("<I", data[:4])[0]
    found = np.frombuffer(data[8 : 8 + 12 * n], "<f4").reshape(-1, 3)
    assert np.allclose(found.mean(axis=0)[1:], [0.0, 600.0], atol=20.0)
    assert scene_of(job).scan.file == "body.obj"
    assert scan_bytes(job) is data
    assert (
        scan_bytes(Job(path=MM, plan=opened()[1].plan, shop=job.shop, cage=job.cage, cache=Cache())) is None
    )


def test_everybody_is_drawn_and_picked_by_name():
    plan = read_plan(EXAMPLES / "pellworth.yaml")
    cage = resolve(plan)
    found = drawn_scene(cage, plan)
    assert [person.name for person in found.people] == ["driver", "codriver"]
    assert {m.name for m in found.mounts if m.name.endswith("lap_outer")} == {
        "driver.lap_outer", "codriver.lap_outer",
    }  # fmt: skip
    own, other = {"person": "driver.helmet"}, {"person": "codriver.helmet"}
    apart = distance(cage, own, other)
    # heads 690 mm apart across, 2 back, 12 up; the balls are of 150 mm each
    assert apart.axis.mm == pytest.approx(np.sqrt(690.0**2 + 2.0**2 + 12.0**2), abs=0.01)
    assert apart.skin.mm == pytest.approx(apart.axis.mm - 300.0, abs=0.01)
    assert "the driver's helmet and the codriver's helmet" in apart.words
    with pytest.raises(BadPick, match="no person"):
        distance(cage, own, {"person": "cook.helmet"})
