"""Findings on sight, the change when a leg moves, the eyes and the picture of the view ahead."""

import math
from dataclasses import replace
from itertools import pairwise
from pathlib import Path
from xml.etree import ElementTree

import numpy as np
import pytest

from aboard import changed
from cagewright.base.curves import Arc, Line, chain, nearest, point_at
from cagewright.base.vectors import mirrored, unit
from cagewright.check.sight.eyes import driver_side, eyes_of, regulation_point, seat_back_shift
from cagewright.check.sight.findings import in_field, sight_findings
from cagewright.check.sight.panorama import covered, hidden_runs, panorama
from cagewright.check.sight.seen import moved_outward, pillar_bars, pillar_limit, sight
from cagewright.make.panorama import panorama_drawing
from cagewright.make.svg import to_svg
from cagewright.plan.read import read_plan
from cagewright.shape.outlines import along, outline, silhouette, view_angles
from cagewright.shape.resolve import resolve
from cagewright.stock.tubes import round_tube
from seated import HIP, STEEL, body_line, driver, seated, straight

DEMO = Path(__file__).parents[3] / "examples" / "brackwater.yaml"
LEG = straight("leg", "lateral half-rollbar", (500.0, -650.0, 700.0), (900.0, -540.0, 1200.0))
EDGES = (
    body_line("pillar_inner", (430.0, -690.0, 700.0), (900.0, -590.0, 1200.0)),
    body_line("pillar_outer", (460.0, -745.0, 700.0), (930.0, -640.0, 1200.0)),
)
HEAD = (1390.0, -330.0, 910.0)


def pole(back: float, across: float, diameter: float = 80.0):
    tube = round_tube(od=diameter, wall=2.0, steel=STEEL)
    return straight("pole", "front rollbar", (back, across, 300.0), (back, across, 1500.0), tube=tube)


def test_without_a_driver_nothing_is_seen():
    cage = changed(seated(members=(LEG,)), body=None)
    assert [f.verdict for f in sight_findings(cage)] == ["cannot tell"]
    with pytest.raises(ValueError, match="no eyes"):
        sight(cage)
    with pytest.raises(ValueError, match="no eyes"):
        panorama(cage)


def test_a_thick_pillar_warns_and_never_fails():
    """A 200 mm post about 700 mm off hides some 2 asin(100/700) - 65/700, 11 degrees: past the road-car 6."""
    for diameter, warned in ((200.0, True), (45.0, False)):
        found = [
            f for f in sight_findings(seated(members=(pole(600.0, -600.0, diameter),))) if f.where.members
        ]
        pillar = next(f for f in found if f.rule == "pillar")
        assert pillar.verdict == ("look at" if warned else "looks kept")
        assert "from memory" in pillar.why


def test_unmeasured_pillars_are_asked_for():
    found = [f for f in sight_findings(seated(members=(LEG,))) if "body's own" in f.title]
    assert "left and the right" in found[0].why
    left = [f for f in sight_findings(seated(members=(LEG,), lines=EDGES)) if "body's own" in f.title]
    assert "of the right screen pillar" in left[0].why


def test_a_leg_in_front_of_the_pillar_is_taken_with_it():
    cage = seated(members=(LEG,), lines=EDGES)
    by_kind = {o.kind: o for o in sight(cage)}
    assert by_kind["together"].both >= max(by_kind["member"].both, by_kind["pillar"].both) - 1e-9
    told = [f for f in sight_findings(cage) if f.rule == "pillar" and f.where.members == ("leg",)]
    assert len(told) == 1
    assert "with the left pillar" in str(told[0].measured and told[0].measured.said)


def test_a_bar_apart_from_the_pillar_is_taken_alone():
    bar = straight(
        "brace", "windscreen pillar reinforcement", (880.0, -560.0, 1100.0), (860.0, -690.0, 620.0)
    )
    cage = seated(members=(bar,), lines=EDGES)
    together = next(o for o in sight(cage) if o.kind == "together")
    assert math.degrees(together.apart) > 1.0
    told = next(f for f in sight_findings(cage) if f.where.members == ("brace",))
    assert told.measured is not None
    assert "with the" not in told.measured.said


def test_moving_a_leg_is_the_same_as_building_it_there():
    cage = seated(members=(LEG,), lines=EDGES)
    moved = moved_outward(cage, "leg", by=15.0)
    shift = np.array([0.0, -15.0, 0.0])
    line = LEG.path.pieces[0]
    assert isinstance(line, Line)
    there = replace(LEG, path=chain((Line(start=line.start + shift, stop=line.stop + shift),)))
    before = {o.kind: o.both for o in sight(cage)}
    after = {o.kind: o.both for o in sight(replace(cage, members=(there,)))}
    assert moved is not None
    assert moved.together is not None
    assert moved.alone == pytest.approx(after["member"] - before["member"], abs=1e-12)
    assert moved.together == pytest.approx(after["together"] - before["together"], abs=1e-12)
    with pytest.raises(KeyError):
        moved_outward(cage, "nobody")


def test_a_leg_tucked_behind_the_pillar_frees_sight():
    """A leg standing inboard of the pillar in the view hides less as it moves outward."""
    inboard = straight("leg", "lateral half-rollbar", (520.0, -560.0, 700.0), (900.0, -460.0, 1200.0))
    moved = moved_outward(seated(members=(inboard,), lines=EDGES), "leg")
    assert moved is not None
    assert moved.together is not None
    assert moved.together < 0.0


def test_a_mirrored_car_sees_the_same():
    cage = seated(members=(LEG,), lines=EDGES, who=driver(head=HEAD))
    line = LEG.path.pieces[0]
    assert isinstance(line, Line)
    twin = replace(LEG, path=chain((Line(start=mirrored(line.start), stop=mirrored(line.stop)),)))
    lines = tuple(replace(one, points=mirrored(one.points)) for one in EDGES)
    hip, head = (HIP[0], -HIP[1], HIP[2]), (HEAD[0], -HEAD[1], HEAD[2])
    other = seated(members=(twin,), lines=lines, who=driver(hip=hip, head=head))
    for choice in ("own", "r125"):
        one, two = sight(cage, choice), sight(other, choice)
        assert [(o.kind, o.both, o.turned, o.one_eye) for o in one] == [
            (o.kind, pytest.approx(o.both), pytest.approx(o.turned), pytest.approx(o.one_eye)) for o in two
        ]
        assert {o.side for o in one} == {"left"}
        assert {o.side for o in two} == {"right"}


def test_a_front_rollbar_passes_with_each_leg():
    """One hoop ahead: each leg is seen by itself, as the same two posts would be, not as one wide thing."""
    corners = [(600.0, -600.0, 300.0), (600.0, -600.0, 1200.0), (600.0, 600.0, 1200.0), (600.0, 600.0, 300.0)]
    points = [np.array(p) for p in corners]
    runs = tuple(Line(start=a, stop=b) for a, b in pairwise(points))
    hoop = replace(pole(600.0, -600.0, 45.0), name="hoop", path=chain(runs))
    seen = {o.side: o for o in sight(seated(members=(hoop,)))}
    posts = {o.side: o for y in (-600.0, 600.0) for o in sight(seated(members=(pole(600.0, y, 45.0),)))}
    assert set(seen) == set(posts) == {"left", "right"}
    for side, one in seen.items():
        assert one.both == pytest.approx(posts[side].both, abs=1e-6)
    cage = seated(members=(hoop,))
    left, right = (moved_outward(cage, "hoop", side=side) for side in ("left", "right"))
    assert left is not None
    assert right is not None
    assert left.alone != pytest.approx(right.alone)


def test_pillars_by_side_and_ahead_only():
    cage = seated(members=(LEG,), lines=EDGES)
    assert len(pillar_bars(cage, "left", pillar_limit(cage))) == 2
    assert pillar_bars(cage, "right", pillar_limit(cage)) == ()
    behind = straight("b", "front rollbar", (1300.0, -600.0, 300.0), (1300.0, -600.0, 1300.0))
    assert sight(seated(members=(behind,))) == ()


def test_regulation_points():
    """V1 stands 665 above and 68 behind the R point at 25 degrees, where nothing moves (from memory)."""
    who = driver(back_angle=math.radians(25.0))
    assert seat_back_shift(who.back_angle).tolist() == [0.0, 0.0, 0.0]
    assert (regulation_point("v1", who) - np.array(HIP)).tolist() == pytest.approx([68.0, -5.0, 665.0])
    right = driver(hip=(HIP[0], 330.0, HIP[2]), back_angle=math.radians(25.0))
    assert driver_side(right) == "right"
    assert (regulation_point("p2", right) - np.array(right.hip)).tolist() == pytest.approx([
        63.0,
        -47.0,
        627.0,
    ])
    assert seat_back_shift(math.radians(22.5)).tolist() == pytest.approx([-22.0, 0.0, 6.0])


def test_eyes_by_measure_head_or_hip():
    own = eyes_of(driver(eyes=(1300.0, -330.0, 905.0)))
    assert own.mid.tolist() == [1300.0, -330.0, 905.0]
    assert "measured" in own.source
    head = eyes_of(driver(head=HEAD))
    assert head.mid[0] < HEAD[0] - 60.0
    reckoned = eyes_of(driver())
    assert 560.0 < reckoned.mid[2] - HIP[2] < 720.0
    for eyes in (own, head, reckoned, eyes_of(driver(), "r125")):
        assert eyes.ahead == pytest.approx(98.79, abs=0.005)  # computed: sqrt(104^2 - 32.5^2)


def test_the_field_ahead():
    """Between V1's level and planes falling 4 degrees through V2: points worked out by hand."""
    who = driver(back_angle=math.radians(25.0))
    v1, v2 = regulation_point("v1", who), regulation_point("v2", who)
    x, y = v2[0] - 500.0, v2[1]
    drop = 500.0 * math.tan(math.radians(4.0))
    ups = [v1[2] + 20.0, v1[2] + 18.0, v2[2] - drop - 18.0, v2[2] - drop - 20.0]
    points = np.array([[x, y, up] for up in ups])
    assert in_field(points, 19.0, who).tolist() == [False, True, True, False]
    far = np.array([[v2[0], y - 800.0, v2[2] - 50.0], [v2[0] - 10.0, y, v2[2] - 50.0]])
    assert in_field(far, 0.0, who).tolist() == [True, False]  # 4 degrees of 800 mm is 56 mm, of 10 mm 0.7


def test_a_bar_in_the_field_is_named():
    bar = straight("bar", "dash bar", (700.0, -600.0, 880.0), (700.0, 600.0, 880.0))
    found = next(f for f in sight_findings(seated(members=(bar,))) if f.rule == "field")
    assert found.where.members == ("bar",)
    assert found.verdict == "look at"
    low = straight("bar", "dash bar", (700.0, -600.0, 640.0), (700.0, 600.0, 640.0))
    found = next(f for f in sight_findings(seated(members=(low,))) if f.rule == "field")
    assert found.verdict == "looks kept"


# ---------------------------------------------------------------- outlines and the picture

BENT = chain((
    Line(start=np.array([-900.0, -500.0, -300.0]), stop=np.array([-900.0, -500.0, 200.0])),
    Arc(
        centre=np.array([-900.0, -365.0, 200.0]), radius=135.0, u=np.array([0.0, -1.0, 0.0]),
        v=np.array([0.0, 0.0, 1.0]), angle=math.pi / 2.0,
    ),
    Line(start=np.array([-900.0, -365.0, 335.0]), stop=np.array([-900.0, 300.0, 335.0])),
))  # fmt: skip


def test_lines_of_sight_to_the_outline_touch_the_tube():
    """Every edge direction passes the centre line at exactly the tube's radius (definition of a tangent)."""
    eye = np.array([-450.0, 40.0, -25.0])
    edges = outline(BENT, 60.0, eye, chord=10.0)
    far = np.linspace(0.0, 1200.0, 12_001)
    inside = slice(2, -2)  # the cut ends have no tube beyond them to touch
    for edge in edges[:, inside][:, ::7]:
        for way in edge:
            ray = eye + far[:, None] * way
            near = ray[np.argmin([nearest(BENT, p)[1] for p in ray[::200]]) * 200 - 200 :][:401]
            assert min(nearest(BENT, p)[1] for p in near) == pytest.approx(60.0, abs=2e-2)  # 0.1 mm steps


def test_the_picture_of_a_post_is_as_wide_as_the_closed_form():
    """80 mm straight ahead at 700 mm from eyes 65 apart hides 1.228 degrees from both (computed)."""
    who = driver(eyes=(1300.0, -330.0, 900.0))
    step = math.radians(0.02)
    seen = panorama(seated(members=(pole(600.0, -330.0),), who=who), step=step)
    level = seen.both[seen.both.shape[0] // 2].sum() * step
    assert math.degrees(level) == pytest.approx(1.228, abs=0.041)  # a cell at either edge
    one = seen.either[seen.either.shape[0] // 2].sum() * step
    wanted = 2.0 * (math.asin(40.0 / math.hypot(700.0, 32.5)) + math.atan(32.5 / 700.0))
    assert one == pytest.approx(wanted, abs=2.0 * step)
    thin = panorama(seated(members=(pole(600.0, -330.0, 45.0),), who=who), step=math.radians(0.1))
    assert not thin.both.any()
    assert thin.by_member == {}


def test_hidden_solid_angle_of_a_far_ball_of_tubes():
    """A level bar 1 m ahead, 60 mm thick, covers a band of 2 asin(30/1000) by its width (computed)."""
    who = driver(eyes=(1300.0, -330.0, 900.0))
    tube = round_tube(od=60.0, wall=2.0, steel=STEEL)
    bar = straight("bar", "dash bar", (300.0, -380.0, 900.0), (300.0, -280.0, 900.0), tube=tube)
    seen = panorama(seated(members=(bar,), who=who), step=math.radians(0.05))
    high = 2.0 * math.asin(30.0 / 1000.0)
    # both eyes, 32.5 mm either side, lose the 35 mm left and right of the bar's middle that lie before both
    wide = 2.0 * math.atan(17.5 / 1000.0)
    assert seen.by_member["bar"] == pytest.approx(high * wide, rel=0.03)  # cells of 0.05 degrees on 2


def test_the_picture_agrees_with_rays():
    """Cells are hidden where a ray through their middle passes within the radius of a tube's centre line."""
    cage, step = resolve(read_plan(DEMO)), math.radians(2.5)
    seen = panorama(cage, step=step)
    right, up = np.meshgrid(
        np.arange(-math.pi / 2.0 + step / 2.0, math.pi / 2.0, step),
        np.arange(math.radians(-40.0) + step / 2.0, math.radians(40.0), step),
    )
    ways = np.stack([-np.cos(right) * np.cos(up), np.sin(right) * np.cos(up), np.sin(up)], axis=-1)
    hit = [np.zeros(right.shape, dtype=bool) for _ in seen.eyes]
    for cells, eye in zip(hit, seen.eyes, strict=True):
        for member in cage.members:
            points = along(member.path, step=8.0) - eye
            ahead = ways @ points.T
            off = (points**2).sum(axis=1) - ahead**2
            cells |= ((ahead > 0.0) & (off < member.tube.radius**2)).any(axis=-1)
    # points 8 mm apart miss a sliver at the rims, and round ends stand past the cut ends
    assert np.mean(seen.either == (hit[0] | hit[1])) > 0.99
    assert np.mean(seen.both == (hit[0] & hit[1])) > 0.99
    assert seen.both.sum() > 50


def test_stripes_are_the_cells():
    cells = np.zeros((3, 6), dtype=bool)
    cells[1, 1:3] = True
    cells[2, 5] = True
    assert hidden_runs(cells, 0.5, (-1.5, -0.75)) == [(-1.0, -0.25, 0.0, 0.25), (1.0, 0.25, 1.5, 0.75)]


def test_nothing_covers_nothing():
    assert not covered([], math.radians(1.0)).any()


def test_behind_the_driver_is_not_in_view():
    behind = chain((Line(start=np.array([500.0, -100.0, 0.0]), stop=np.array([500.0, 100.0, 0.0])),))
    assert silhouette(behind, 20.0, np.zeros(3), name="b", which="left").strips == ()
    assert view_angles(np.array([[-1.0, 1.0, 0.0]]))[0].tolist() == pytest.approx([math.pi / 4.0, 0.0])
    assert view_angles(unit(np.array([[-1.0, 0.0, 1.0]])))[0].tolist() == pytest.approx([0.0, math.pi / 4.0])


def test_a_tube_seen_end_on_has_no_edges():
    toward = chain((Line(start=np.array([-900.0, 0.0, 0.0]), stop=np.array([-300.0, 0.0, 0.0])),))
    assert outline(toward, 20.0, np.zeros(3)).shape[1] == 0
    assert point_at(toward, 0.0)[0] == -900.0


def test_the_demo_is_drawn():
    cage = resolve(read_plan(DEMO))
    seen = panorama(cage)
    drawing = panorama_drawing(
        silhouettes=seen.silhouettes, lines=seen.lines, hidden=hidden_runs(seen.both, seen.step, seen.corner),
        wrong=frozenset({"pillar_brace_left"}),
    )  # fmt: skip
    assert {s.layer for s in drawing.strokes} >= {"tube", "hidden", "body", "area", "wrong", "dimension"}
    x0, y0, x1, y1 = drawing.box
    for stroke in drawing.strokes:
        assert np.all(stroke.points >= [x0, y0])
        assert np.all(stroke.points <= [x1, y1])
    names = {label.text for label in drawing.labels}
    assert {"header", "dash_bar", "front_leg_right"} <= names
    ElementTree.fromstring(to_svg(drawing))
    assert 0.0 < seen.share_both < seen.share_either < 1.0
