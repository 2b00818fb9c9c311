"""The papers of every example put back into space: each says where steel is, and there it must be.

The papers' printed words are read as the builder reads them, and compared with the plan's geometry.
"""

from functools import cache
from pathlib import Path

import numpy as np
import pytest

from cagewright.base.curves import Arc, Line, point_at
from cagewright.base.units import parse
from cagewright.make.bending import BendSheet, bend_sheet
from cagewright.make.bendpaper import bend_paper
from cagewright.make.sketch import first_frame
from cagewright.make.views import FRAMES, cage_view
from cagewright.make.work import Work, work_out
from cagewright.make.wraps import Wrap, wraps_of
from cagewright.plan.shop import read_job
from cagewright.shape.resolve import resolve
from cagewright.shape.types import Cope, Member, member_named

ROOT = Path(__file__).parents[2]
PLANS = tuple(p for p in sorted((ROOT / "examples").glob("*.yaml")) if not p.name.endswith(".shop.yaml"))
READ = {p.stem: read_job(p) for p in PLANS}
CAGES = {name: resolve(plan) for name, (plan, _) in READ.items()}
SHOPS = {name: shop for name, (_, shop) in READ.items()}
FIRST = {"brackwater", "brackwater-inch"}
"""The papers of the first demo in both units are looked through in every run, the others' in `make deep`."""
every_example = pytest.mark.parametrize(
    "name", [pytest.param(n, marks=() if n in FIRST else pytest.mark.slow) for n in CAGES]
)


@cache
def wraps(name: str) -> tuple[Wrap, ...]:
    return tuple(wraps_of(CAGES[name]))


@cache
def work(name: str) -> Work:
    return work_out(CAGES[name], SHOPS[name])


@cache
def skin_of(name: str) -> np.ndarray:
    return np.vstack([surface(m) for m in CAGES[name].members])


def printed(words: str, units: str = "mm") -> float:
    """A printed length, mm; in ``units`` where only its column says the unit."""
    return parse(words, "length", bare=units)


def told(wrap: Wrap) -> float:
    """The length that the wrap prints for its edge, mm."""
    (fact,) = [f for f in wrap.facts if f.startswith("edge to ")]
    return printed(fact.split(": ")[1])


def slack(name: str) -> float:
    """How far a printed length may be off: half of what the tape shows, mm."""
    return 0.051 if CAGES[name].units == "mm" else 25.4 / 64.0 + 1e-6


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


@every_example
def test_every_wrap_cuts_where_the_main_or_the_plate_is(name: str):
    """The edge stands the printed length from the mark; the cut that hangs from it is on the steel."""
    for wrap in wraps(name):
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
                continue
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


@every_example
def test_edge_and_printed_length_make_the_bend_sheet_or_the_finished_length(name: str):
    for wrap in wraps(name):
        member = member_named(CAGES[name], wrap.member)
        end = member.ends[0 if wrap.which == "start" else 1]
        # from the finished end to the edge: the paper's own height, or less where the bore reaches further
        whole = wrap.edge - wrap.long_point + told(wrap)
        if not member.bends:
            assert whole == pytest.approx(member.length, abs=slack(name))
            continue
        sheet = bend_sheet(member, SHOPS[name])
        if end.which == sheet.starts_at:
            straight = sheet.steps[0].straight - sheet.spare.first
        else:
            straight = sheet.last_straight - sheet.spare.last
        assert whole == pytest.approx(straight, abs=slack(name))


def table(made: Work, sheet: BendSheet, title: str) -> tuple[tuple[str, ...], ...]:
    """The rows of one table of the bend sheet's paper."""
    paper = bend_paper(made, sheet)
    return next(t.rows for t in paper.tables if t.title.startswith(title))


def laid_on(points: np.ndarray, wanted: np.ndarray) -> float:
    """The furthest point after the best move and turn, never a mirror (Kabsch), mm."""
    a, b = points - points.mean(axis=0), wanted - wanted.mean(axis=0)
    u, _, vt = np.linalg.svd(a.T @ b)
    hand = np.diag([1.0, 1.0, np.sign(np.linalg.det(u @ vt))])
    return float(np.linalg.norm(a @ u @ hand @ vt - b, axis=1).max())


def planned(member: Member, sheet: BendSheet) -> np.ndarray:
    """Finished ends and apexes in the plan's space, from the end that is bent first, (n, 3) mm."""
    low, high = member.ends[0].trim, member.path.length - member.ends[1].trim
    rows = [point_at(member.path, low), *(b.apex for b in member.bends), point_at(member.path, high)]
    return np.array(rows if sheet.starts_at == "start" else rows[::-1])


@pytest.mark.slow
@every_example
def test_a_tube_laid_out_from_its_printed_table_is_the_planned_one_and_not_its_mirror(name: str):
    for sheet in work(name).bends:
        rows = table(work(name), sheet, "Where it lies")
        laid = np.array([
            [printed(cell, CAGES[name].units) for cell in row[1:]]
            for row in rows
            if not row[0].startswith("rough")
        ])
        wanted = planned(member_named(CAGES[name], sheet.member), sheet)
        assert laid_on(laid, wanted) < 4.0 * slack(name)


@every_example
def test_a_tube_bent_by_its_printed_steps_is_the_planned_one_and_not_its_mirror(name: str):
    """Straight, turn, bend, as printed; clockwise is seen looking along the tube from the starting end."""
    for sheet in work(name).bends:
        steps = table(work(name), sheet, "Bends in the order")
        at, along, left = np.zeros(3), np.array([1.0, 0.0, 0.0]), np.array([0.0, 1.0, 0.0])
        run, apexes = 0.0, []
        for row in steps:
            start, stop = (printed(row[i], CAGES[name].units) for i in (1, 3))
            angle = np.radians(float(row[4].rstrip("°")))
            left = np.cos(_turned(row[6])) * left + np.sin(_turned(row[6])) * np.cross(along, left)
            at = at + (start - run) * along
            radius = (stop - start) / angle
            apexes.append(at + radius * np.tan(angle / 2.0) * along)
            out, ahead = -left, along
            at = at + radius * (np.cos(angle) * out + np.sin(angle) * ahead - out)
            along, left = (
                np.cos(angle) * ahead - np.sin(angle) * out,
                -np.cos(angle) * out - np.sin(angle) * ahead,
            )
            run = stop
        last = at + (sheet.rough - run - sheet.spare.last) * along
        bent = np.array([[sheet.spare.first, 0.0, 0.0], *apexes, last])
        wanted = planned(member_named(CAGES[name], sheet.member), sheet)
        # angles are printed to a tenth: half of that over every straight
        assert laid_on(bent, wanted) < 4.0 * slack(name) + 0.0009 * len(steps) * sheet.rough / 2.0


def _turned(words: str) -> float:
    """The printed turn, rad, clockwise (right-handed about the travel) positive."""
    if words in ("first", "same way"):
        return 0.0
    if words.startswith("opposite"):
        return float(np.pi)
    return np.radians(float(words.split("°")[0])) * (-1.0 if "anticlockwise" in words else 1.0)


def surface(member: Member) -> np.ndarray:
    """Points (n, 3) all over the outside of the finished tube, a step of 2 mm along it at a time."""
    path, turns = member.path, np.linspace(0.0, 2.0 * np.pi, 240)
    points = []
    for piece, start in zip(path.pieces, path.starts, strict=False):
        steps = np.linspace(0.0, piece.length, int(piece.length / 2.0) + 2)
        if isinstance(piece, Arc):
            a = steps[:, None] / piece.radius
            across = np.cos(a) * piece.u + np.sin(a) * piece.v
            centre, up = piece.centre + piece.radius * across, np.tile(piece.normal, (len(a), 1))
        else:
            any_way = np.eye(3)[np.argmin(np.abs(piece.direction))]
            across = np.cross(piece.direction, any_way)
            across = np.tile(across / np.linalg.norm(across), (len(steps), 1))
            centre, up = piece.start + steps[:, None] * piece.direction, np.cross(piece.direction, across)
        out = (
            np.cos(turns)[None, :, None] * across[:, None, :] + np.sin(turns)[None, :, None] * up[:, None, :]
        )
        skin = centre[:, None, :] + member.tube.radius * out
        stands = np.ones(skin.shape[:2], dtype=bool)
        for end, far in zip(member.ends, (start + steps, path.length - start - steps), strict=True):
            cut, near = end.cut, far < 200.0
            along = (skin - cut.origin) @ cut.axis
            phi = np.arctan2(out @ np.cross(cut.axis, cut.zero), out @ cut.zero) % (2.0 * np.pi)
            line = (
                np.interp(phi, cut.phi, cut.outside, period=2.0 * np.pi)
                if isinstance(cut, Cope)
                else -member.tube.radius * np.tan(cut.tilt) * np.cos(phi)
            )
            stands &= (along >= line) | ~near[:, None]
        points.append(skin[stands])
    return np.vstack(points)


@pytest.mark.parametrize("direction", [d for d in FRAMES if d != "three-quarter"])
@every_example
def test_sizes_over_all_are_those_of_the_tubes_surfaces(name: str, direction):
    """Every tube walked over, its ends too; a cut is met at most a step of 2 mm late."""
    view = FRAMES[direction]
    true = [float(np.ptp(skin_of(name) @ way)) for way in (view.right, view.up)]
    labels = [t.text for t in cage_view(CAGES[name], direction, numbers=False, caption=False).labels]
    sizes = sorted(printed(t) for t in labels if t[0].isdigit())
    assert sizes == pytest.approx(sorted(true), abs=slack(name) + 4.0)
    assert all(size >= t - slack(name) for size, t in zip(sizes, sorted(true), strict=True))


@every_example
def test_a_bend_sketchs_sizes_over_all_are_those_of_the_tubes_surface(name: str):
    """Every size over all of the two views is the tube's width some way in that view's frame."""
    for sheet in work(name).bends:
        member = member_named(CAGES[name], sheet.member)
        side = first_frame(member, sheet.starts_at)
        skin = surface(member)
        true = [float(np.ptp(skin @ way)) for way in (side.right, side.up, side.toward)]
        for drawing in bend_paper(work(name), sheet).drawings:
            for label in (
                t.text for t in drawing.labels if t.text.endswith("over all") and t.text[0].isdigit()
            ):
                assert (
                    min(abs(printed(label.removesuffix(" over all")) - t) for t in true) < slack(name) + 4.0
                )
