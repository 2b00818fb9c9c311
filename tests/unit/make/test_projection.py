"""Where tubes fall on the paper, against brute force: thousands of points of the surface, projected."""

import numpy as np
import pytest

import handmade
from cagewright.base.curves import point_at, tangent_at
from cagewright.base.vectors import cross, dot, square_to
from cagewright.make.projection import (
    cut_loop,
    edges,
    finished,
    frame,
    on_paper,
    seen_cut,
    stations,
)

LEG, BAR = handmade.leg("left"), handmade.members()[6]
VIEWS = [
    frame(np.array([1.0, 0.0, 0.0]), np.array([0.0, 0.0, 1.0])),
    frame(np.array([0.3, -0.9, 0.1]), np.array([0.2, 0.1, 1.0]), scale=0.2),
]


def test_a_frame_is_square_and_right_handed():
    view = frame(np.array([2.0, 0.0, 0.0]), np.array([1.0, 0.0, 5.0]))
    axes = np.array([view.right, view.up, view.toward])
    assert axes @ axes.T == pytest.approx(np.eye(3))
    assert np.linalg.det(axes) == pytest.approx(1.0)


def test_stations_lie_on_the_path_with_its_tangents():
    at = stations(LEG.path, -10.0, LEG.path.length + 10.0, straight=50.0)
    assert at.s[0] == -10.0
    assert at.s[-1] == pytest.approx(LEG.path.length + 10.0)
    assert (np.diff(at.s) > 0.0).all()
    for s, point, tangent in zip(at.s, at.points, at.tangents, strict=True):
        assert point == pytest.approx(point_at(LEG.path, s), abs=1e-9)
        assert tangent == pytest.approx(tangent_at(LEG.path, s), abs=1e-9)


def test_straights_are_cut_no_longer_than_asked():
    at = stations(BAR.path, 0.0, BAR.path.length, straight=50.0)
    assert np.diff(at.s).max() <= 50.0 + 1e-9


@pytest.mark.parametrize("view", VIEWS, ids=["side", "askew"])
@pytest.mark.parametrize("member", [LEG, BAR], ids=["bent", "straight"])
def test_edges_are_the_outline_of_the_tube_s_surface(member, view):
    """At each station the surface's ring, seen square to the tube on the paper, reaches just to the edges."""
    drawn = edges(member, view)
    at = stations(member.path, *finished(member))
    phi = np.linspace(0.0, 2.0 * np.pi, 3601)[:, None]
    for i in range(1, len(at.s) - 1):
        u = square_to(at.tangents[i], np.array([0.3, 0.5, 0.8]))
        ring = at.points[i] + member.tube.radius * (np.cos(phi) * u + np.sin(phi) * cross(at.tangents[i], u))
        seen = on_paper(view, at.tangents[i])
        left = np.array([-seen[1], seen[0]]) / np.hypot(*seen)
        reach = on_paper(view, ring) @ left
        assert drawn.left[i] @ left == pytest.approx(reach.max(), abs=1e-3)
        assert drawn.right[i] @ left == pytest.approx(reach.min(), abs=1e-3)


def test_edges_end_on_the_cut():
    """Of the cut's ring the first and last edge points are the ones at the tube's two sides."""
    view = VIEWS[1]
    drawn = edges(BAR, view)
    for end, row in ((BAR.ends[0], 0), (BAR.ends[1], -1)):
        loop, _ = cut_loop(end, 19.0, np.linspace(0.0, 2.0 * np.pi, 72001))
        ring = on_paper(view, loop)
        for edge in (drawn.left, drawn.right):
            assert np.hypot(*(ring - edge[row]).T).min() < 0.01


def test_finished_ends_are_the_long_points():
    low, high = finished(LEG)
    assert high - low == pytest.approx(LEG.length)
    loop, _ = cut_loop(LEG.ends[1], 19.0, LEG.ends[1].cut.phi)
    cut = LEG.ends[1].cut
    assert dot(loop - cut.origin, cut.axis).min() == pytest.approx(LEG.path.length - high)


def test_a_tube_seen_end_on_has_no_edges():
    view = frame(np.array([0.0, 0.0, 1.0]), BAR.path.pieces[0].direction * 0.0 + np.array([1.0, 0.0, 0.0]))
    assert np.isnan(edges(BAR, view).left).all()


def test_the_near_half_of_a_cut_is_seen_unless_it_faces_the_eye():
    round_it = np.linspace(0.0, 2.0 * np.pi, 360, endpoint=False)
    end = BAR.ends[0]
    aside = frame(end.cut.axis, end.cut.zero)
    facing = frame(end.cut.zero, cross(end.cut.zero, -end.cut.axis) * -1.0)
    half, _ = seen_cut(end, 19.0, aside, round_it)
    assert np.isfinite(half[:, 0]).sum() == pytest.approx(180, abs=2)
    facing = facing if float(dot(facing.toward, end.cut.axis)) < 0.0 else frame(-facing.right, facing.up)
    assert np.isfinite(seen_cut(end, 19.0, facing, round_it)[0]).all()
