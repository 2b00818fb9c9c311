"""The papers of every example put back into space: each says where steel is, and there it must be.

The papers' printed words are read as the builder reads them, and compared with the plan's geometry.
"""

from pathlib import Path

import numpy as np
import pytest

from cagewright.base.curves import Arc, Line
from cagewright.base.units import parse
from cagewright.make.bending import bend_sheet
from cagewright.make.wraps import Wrap, wraps_of
from cagewright.plan.shop import read_job
from cagewright.shape.resolve import resolve
from cagewright.shape.types import Cope, Member, member_named

ROOT = Path(__file__).parents[2]
PLANS = tuple(p for p in sorted((ROOT / "examples").glob("*.yaml")) if not p.name.endswith(".shop.yaml"))
READ = {p.stem: read_job(p) for p in PLANS}
CAGES = {name: resolve(plan) for name, (plan, _) in READ.items()}
SHOPS = {name: shop for name, (_, shop) in READ.items()}
WRAPS = [(name, wrap) for name, cage in CAGES.items() for wrap in wraps_of(cage)]


def printed(words: str) -> float:
    """A printed length, mm; an inch mark may carry its remainder."""
    return parse(words.split(" (")[0], "length", bare="mm")


def told(wrap: Wrap) -> float:
    """The length that the wrap prints for its edge, mm."""
    (fact,) = [f for f in wrap.facts if f.startswith("edge to ")]
    return printed(fact.split(": ")[1])


def slack(name: str) -> float:
    """How far a printed length may be off: half of what the tape shows, mm."""
    return 0.051 if CAGES[name].units == "mm" else 25.4 / 32.0 + 1e-6


def edge_in_space(member: Member, wrap: Wrap) -> np.ndarray:
    """Where the printed length puts the wrap's edge on the tube's axis, (3,) mm."""
    first = wrap.which == "start"
    path = member.path
    if member.bends:
        arcs = [p for p in path.pieces if isinstance(p, Arc)]
        mark = arcs[0].start if first else arcs[-1].stop
        into = path.pieces[0].direction if first else -path.pieces[-1].direction
        return mark - told(wrap) * into
    (line,) = path.pieces
    assert isinstance(line, Line)
    far = member.ends[1] if first else member.ends[0]
    into = line.direction if first else -line.direction
    point = line.stop if first else line.start
    # the far long point on the axis, then back by the printed length
    return point + far.trim * -into - told(wrap) * into


@pytest.mark.parametrize(("name", "wrap"), WRAPS, ids=[f"{n}-{w.member}-{w.which}" for n, w in WRAPS])
def test_every_wrap_cuts_where_the_main_or_the_plate_is(name: str, wrap: Wrap):
    """The edge stands the printed length from the mark, the cut hangs from the edge: on the steel it meets."""
    cage = CAGES[name]
    member = member_named(cage, wrap.member)
    end = member.ends[0 if wrap.which == "start" else 1]
    edge, cut = edge_in_space(member, wrap), end.cut
    down = wrap.edge - wrap.outside
    out = np.cos(wrap.phi)[:, None] * cut.zero + np.sin(wrap.phi)[:, None] * np.cross(cut.axis, cut.zero)
    points = edge - down[:, None] * cut.axis + member.tube.radius * out
    if isinstance(cut, Cope):
        main = member_named(cage, cut.mains[0])
        met = cut.on == 0 if len(cut.on) == len(wrap.phi) - 1 else None
        if met is None:  # cut on several tubes: drawn afresh with more points
            assert (edge - wrap.edge * cut.axis) == pytest.approx(cut.origin, abs=slack(name))
            return
        away = np.array([_off(main, p) for p in points[:-1][met]])
        assert np.abs(away).max() < slack(name) + 0.07  # a bent main is met to 0.07 mm
    else:
        foot = next(f for f in cage.feet if f.name == end.foot)
        high = (points - foot.point) @ foot.normal
        assert high == pytest.approx(np.full(len(high), foot.plate[2]), abs=slack(name))


def _off(main: Member, point: np.ndarray) -> float:
    """How far the point stands off the main's outside, mm."""
    return min(_from_axis(piece, point) for piece in main.path.pieces) - main.tube.radius


def _from_axis(piece: Line | Arc, point: np.ndarray) -> float:
    if isinstance(piece, Line):
        along = float(np.clip((point - piece.start) @ piece.direction, 0.0, piece.length))
        return float(np.linalg.norm(point - piece.start - along * piece.direction))
    way = point - piece.centre
    turned = float(np.arctan2(way @ piece.v, way @ piece.u))
    turned = min(max(turned, 0.0), piece.angle)
    out = np.cos(turned) * piece.u + np.sin(turned) * piece.v
    return float(np.linalg.norm(way - piece.radius * out))


@pytest.mark.parametrize(("name", "wrap"), WRAPS, ids=[f"{n}-{w.member}-{w.which}" for n, w in WRAPS])
def test_edge_and_printed_length_make_the_bend_sheet_or_the_finished_length(name: str, wrap: Wrap):
    member = member_named(CAGES[name], wrap.member)
    end = member.ends[0 if wrap.which == "start" else 1]
    # from the finished end to the edge: the paper's own height, or less where the bore reaches further
    whole = wrap.edge - wrap.long_point + told(wrap)
    if not member.bends:
        assert whole == pytest.approx(member.length, abs=slack(name))
        return
    sheet = bend_sheet(member, SHOPS[name])
    if end.which == sheet.starts_at:
        straight = sheet.steps[0].straight - sheet.spare.first
    else:
        straight = sheet.last_straight - sheet.spare.last
    assert whole == pytest.approx(straight, abs=slack(name))
