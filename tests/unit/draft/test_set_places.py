"""Bought sets placed in bodies: gaps by python-fcl, the best place by brute force, the wrong side found."""

import json
import math
from collections.abc import Callable
from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np
import pytest
import trimesh

from bodies import BODIES, mesh, survey
from bought import set_of
from cagewright.base.curves import point_at
from cagewright.base.vectors import turn
from cagewright.draft.layout import draft
from cagewright.draft.limits import Limits
from cagewright.draft.rigid import LyingTube, OnTube, Place, placed, placed_at
from cagewright.job.notches import notches_of
from cagewright.job.opening import open_job
from cagewright.job.set_draft import SetInBody, cut_off, set_draft_answer, set_draft_of, set_in_body
from cagewright.job.set_fits import SetInBodyCell, sets_in_bodies, verdict
from cagewright.job.survey import open_survey
from cagewright.job.trims import trims_answer
from cagewright.plan.survey import Survey
from cagewright.plan.survey_text import survey_text
from cagewright.plan.tube_set import TubeSet, read_set_text
from cagewright.shape.cloud import cloud_of
from cagewright.shape.mesh import mesh_of
from cagewright.shape.resolve import resolve
from cagewright.shape.scan import Scan
from cagewright.shape.trims import ADDED
from cagewright.shape.tube_shape import TubeFrame, TubeShape, centre_line
from cagewright.shape.types import Cage, member_named
from cagewright.stock.shop import NO_SHOP
from car_gaps import gaps_of, model_of


@cache
def drafted(body: str) -> Cage:
    """The cage that is drafted for the body."""
    return resolve(draft(survey(BODIES[body]), Limits(), NO_SHOP).plan)


def bought(**how) -> TubeSet:
    """The set made for the saloon, as a file would say it."""
    return read_set_text(json.dumps(set_of(drafted("saloon"), **how)))


@cache
def in_body(body: str, wider: float = 0.0) -> SetInBody:
    """The saloon's set in a body."""
    return put_in(body, bought(wider=wider))


def put_in(body: str, tubes: TubeSet) -> SetInBody:
    """A set in a body of which nothing but its survey is known."""
    return set_in_body(Survey(file=survey(BODIES[body])), tubes, Path(), name="s.yaml")


@cache
def legs_marked(left: str, right: str) -> SetInBody:
    """The saloon's set there, mirrored pairs as pairs but the front legs, each marked for a side."""
    data = set_of(drafted("saloon"))
    leg = data["tubes"].pop("front_leg_left")
    del leg["twin"]
    other = {**leg, "bends": [{**b, "twist": _minus(b["twist"])} for b in leg["bends"]]}
    data["tubes"] |= {"leg_one": {**leg, "side": left}, "leg_two": {**other, "side": right}}
    return put_in("saloon", read_set_text(json.dumps(data)))


@pytest.mark.slow
def test_the_set_made_for_the_body_has_its_place_there():
    found = in_body("saloon")
    answer = set_draft_answer(found)
    assert (len(found.made.used), len(found.empty), answer.seats[0].taken) == (20, 0, True)
    # 25 mm were left on at each end of every tube: they come off, ends that could slide apart
    for fit in found.made.used:
        off = cut_off(fit, member_named(found.made.cage, fit.slot.member.name))
        assert sum(off) == pytest.approx(50.0, abs=8.0), fit.slot.member.name


def test_what_of_the_scan_must_go_is_in_the_sets_own_answer():
    found = in_body("saloon")
    hoop = member_named(found.made.cage, "main_hoop")
    top, wide = point_at(hoop.path, hoop.path.length / 2.0), 80.0
    sheet = top + wide * np.array([[-1, 0, -1], [1, 0, -1], [1, 0, 1], [-1, 0, 1]])
    surface = mesh_of(sheet, np.array([[0, 1, 2], [0, 2, 3]]))
    scan = Scan(name="s", mesh=surface, cloud=cloud_of(surface), watertight=False, residuals=(), notes=())
    answer = set_draft_answer(replace(found, scan=scan))
    (row,) = [r for r in answer.trims.trims if r.member == "main hoop"]
    # a sheet square across a straight: the tube's circle with the gap added, pi r^2 (plane geometry)
    assert row.area.value == pytest.approx(math.pi * (hoop.tube.radius + ADDED) ** 2, rel=0.01)
    assert row.depth.value == pytest.approx(hoop.tube.radius, abs=1.0)
    assert answer.trims.cautions[0] in answer.cautions
    assert verdict(answer)[0] == "with trims"
    never = replace(answer.trims, trims=(replace(row, standing="never"),))
    assert verdict(replace(answer, trims=never))[0] == "does not"
    assert set_draft_answer(found).trims is None


@pytest.mark.slow
@pytest.mark.parametrize(
    ("body", "made"),
    [
        ("saloon", lambda: in_body("saloon")),
        ("saloon", lambda: in_body("saloon", 30.0)),
        ("coupe", lambda: in_body("coupe")),
        ("saloon", lambda: legs_marked("right", "left")),
    ],
    ids=["its own", "30 mm wider", "in a larger body", "a left leg marked right"],
)
def test_the_gaps_against_a_mesh_of_the_body(body: str, made: Callable[[], SetInBody]):
    found = made()
    model = model_of(*mesh(BODIES[body]))
    answer = set_draft_answer(found)
    for row in (r for r in answer.tubes if r.member in ("main_hoop", "front_leg_left", "front_leg_right")):
        if row.off_start is None:
            assert row.says, row
            continue
        member = member_named(found.made.cage, row.member)
        gaps = gaps_of(model, member, middle=700.0, above=400.0)
        told = row.gap.value if row.inside is None else -row.inside.value
        # the body's lines round it out from marks 200 mm and more apart: draft and fit are held to the same
        assert float(gaps.gap.min()) == pytest.approx(told, abs=6.0), (row.member, str(gaps))


@pytest.mark.slow
def test_a_set_30_mm_wider_says_where_it_is_too_wide():
    told = set_draft_answer(in_body("saloon", 30.0))
    made = set_draft_answer(in_body("saloon"))
    assert told.level == "look at"
    assert any("off the sill's top" in s.words for s in told.body)
    assert not any("off the sill's top" in s.words for s in made.body)


@pytest.mark.slow
def test_a_set_for_another_car_says_what_does_not_fit_and_places_what_it_can():
    told = set_draft_answer(in_body("hatchback"))
    assert told.level == "fail"
    assert told.headline.startswith("0 of 20 tubes of own set have their place")
    hoop = next(row for row in told.tubes if row.member == "main_hoop")
    assert "it is too large" in hoop.says
    assert all(row.says for row in told.tubes)


@pytest.mark.slow
@pytest.mark.parametrize(("left", "right", "wrong"), [("left", "right", 0), ("right", "left", 2)])
def test_a_left_tube_marked_right_is_found(left: str, right: str, wrong: int):
    rows = [r for r in set_draft_answer(legs_marked(left, right)).tubes if r.tube.startswith("leg")]
    assert {r.member for r in rows if r.tube == "leg_one"} == {"front_leg_left"}
    assert sum("but it fits on the" in r.says for r in rows) == wrong


@pytest.mark.slow
def test_mirrored_pairs_stand_as_mirror_images_whatever_is_marked_on_them():
    """The body is alike on both sides: two tubes of a pair are reflections of each other in its middle."""
    cage = legs_marked("right", "left").made.cage
    twins = {m.name: m.mirror_of for m in drafted("saloon").members if m.mirror_of}
    assert len(twins) >= 6
    for name, other in twins.items():
        member = member_named(cage, name)
        points = [
            np.array([point_at(m.path, share * m.path.length) for share in np.linspace(0.0, 1.0, 9)])
            for m in (member, member_named(cage, other))
        ]
        across = points[1] * [1.0, -1.0, 1.0]
        same = min(float(np.abs(points[0] - one).max()) for one in (across, across[::-1]))
        assert same < 1.0, (name, same)


@pytest.mark.slow
def test_sets_against_bodies_say_what_each_does_alone(tmp_path):
    surveys = []
    for body in ("saloon", "hatchback"):
        path = tmp_path / f"{body}.yaml"
        path.write_text(survey_text(survey(BODIES[body])))
        surveys.append(open_survey(path))
    (tmp_path / "own.yaml").write_text(json.dumps(set_of(drafted("saloon"))))
    (tmp_path / "broken.yaml").write_text("cagewright_set: 1\ntubs: {}\n")
    found = sets_in_bodies([tmp_path / "own.yaml", tmp_path / "broken.yaml"], surveys)
    by = {(c.bought, c.body): c for c in found.cells}
    for body in ("saloon", "hatchback"):
        told = set_draft_answer(in_body(body))
        bad = any(row.level in ("fail", "cannot tell") for row in told.tubes)
        trims = "with trims" if told.level == "look at" else "fits"
        assert by["own.yaml", f"{body}.yaml"].fits == ("does not" if bad else trims)
        assert by["broken.yaml", f"{body}.yaml"].fits == "cannot tell"
    assert by["own.yaml", "saloon.yaml"].placed == (20, 20)
    assert by["own.yaml", "hatchback.yaml"].fits == "does not"
    assert by["own.yaml", "saloon.yaml"].rules
    assert found.headline.startswith("own.yaml serves the most bodies: 1 of 2")


@pytest.mark.parametrize(
    ("fits", "headline", "level"),
    [
        (("fits", "with trims"), "a.yaml and b.yaml serve the most bodies: 1 of 1", "fine"),
        (("does not", "fits"), "b.yaml serves the most bodies: 1 of 1", "fine"),
        (("fits", "cannot tell"), "a.yaml serves the most bodies: 1 of 1; 1 of 2 cannot be told", "fine"),
        (("does not", "does not"), "for no set was a place found for all its tubes in a body", "fail"),
        (
            ("does not", "cannot tell"),
            "for no set was a place found for all its tubes in a body; 1 of 2 cannot be told",
            "cannot tell",
        ),
    ],
)
def test_what_cannot_be_told_of_a_set_is_no_answer_and_sets_that_are_alike_are_both_named(
    fits, headline, level, monkeypatch, tmp_path
):
    by = dict(zip(("a.yaml", "b.yaml"), fits, strict=True))
    monkeypatch.setattr(
        "cagewright.job.set_fits._cell",
        lambda one, body: SetInBodyCell(
            bought=one.name, body="body.yaml", fits=by[one.name], placed=None, why=(), rules=()
        ),
    )
    path = tmp_path / "body.yaml"
    path.write_text("cagewright_survey: 1\n")
    told = sets_in_bodies([tmp_path / name for name in by], [open_survey(path)])
    assert (told.headline, told.level) == (headline, level)


def _minus(angle: str) -> str:
    return f"{-float(angle.removesuffix(' deg')):.5f} deg"


@pytest.mark.slow
def test_notches_that_fit_are_kept_and_closed(tmp_path):
    roles = ("transverse member", "doorbar", "dash bar", "diagonal", "backstay")
    path, plan = tmp_path / "body.yaml", tmp_path / "plan.yaml"
    corners, faces = mesh(BODIES["saloon"], 8_000)
    sheet = [[1300.0, 0.0, 1000.0], [1900.0, 0.0, 1000.0], [1900.0, 0.0, 1300.0], [1300.0, 0.0, 1300.0]]
    more = np.array([[0, 1, 2], [0, 2, 3]]) + len(corners)
    shell = trimesh.Trimesh(np.vstack([corners, sheet]), np.vstack([faces, more]), process=False)
    shell.export(tmp_path / "shell.stl")
    path.write_text(survey_text(survey(BODIES["saloon"])) + "scan: {file: shell.stl, units: mm}\n")
    (tmp_path / "own.set.yaml").write_text(json.dumps(set_of(drafted("saloon"), notched=roles)))
    answer, text = set_draft_of(open_survey(path), tmp_path / "own.set.yaml")
    plan.write_text(text)
    assert answer.trims == trims_answer(open_job(plan)), "the set's answer is not the plan's own list"
    assert "main hoop" in {row.member for row in answer.trims.trims}
    kept = [row for row in answer.tubes if row.kept]
    assert {row.member for row in kept} >= {"header_bar", "dash_bar", "doorbar_top_left", "doorbar_top_right"}
    rows = notches_of(open_job(plan)).notches
    left = {row.end: row.pushed.value for row in rows}
    assert len(left) >= 12
    bars = [gap for end, gap in left.items() if end.startswith(("doorbar", "diagonal"))]
    assert len(bars) >= 8
    assert max(bars) < 0.8, left
    assert max(left.values()) < 3.0, left  # on a bend, a notch for a straight tube leaves what bends away


# --- the best place against brute force: a bent bar between two level tubes, moved in a level plane


def test_the_best_place_against_brute_force():
    shape = TubeShape(straights=(300.0, 300.0), angles=(math.radians(20.0),), radii=(100.0,), clockings=())
    tube = LyingTube(shape=shape, radius=19.0, past=(math.nan, math.nan))
    wanted = TubeShape(
        straights=(290.0, 285.0), angles=(math.radians(16.0),), radii=(100.0,), clockings=()
    )  # fmt: skip
    path = centre_line(wanted)
    posts = [path.pieces[0].start, path.pieces[-1].stop]
    up = np.array([0.0, 0.0, 200.0])
    stands = tuple(OnTube(line=np.array([p - up, p + up]), radius=22.5, point=p) for p in posts)
    place = Place(path=path, stands=(stands[0], stands[1]), body=None, gap=10.0)
    found, _ = placed(tube, place)
    best = math.inf
    middle = found.frame
    for turned in np.radians(np.linspace(-3.0, 3.0, 9)):
        for x in np.linspace(-12.0, 12.0, 9):
            for y in np.linspace(-12.0, 12.0, 9):
                frame = TubeFrame(
                    start=middle.start + np.array([x, y, 0.0]),
                    along=turn(middle.along, middle.normal, turned),
                    normal=middle.normal,
                )  # fmt: skip
                best = min(best, placed_at(tube, place, frame, turned=found.turned).cost)
    same = placed_at(tube, place, middle, turned=found.turned)
    assert same.cost == pytest.approx(found.cost, rel=1e-6)
    assert found.cost <= best + 1e-6
