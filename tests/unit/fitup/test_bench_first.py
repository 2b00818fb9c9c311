"""What to join on the bench: positions by closed forms, the choice by enumeration, drift by a cantilever."""

from dataclasses import replace
from itertools import combinations

import numpy as np
import pytest
from test_carry import hole, meets_by_fcl, room_of_triangles, wall_with_a_hole

from cagewright.base.problems import ProblemsFound
from cagewright.check.torch.weld_points import WeldLoop
from cagewright.check.torch.weld_position import easy, slope_and_turn
from cagewright.fitup.bench_drift import bench_drift, laid_back
from cagewright.fitup.bench_first import (
    TURNS,
    bench_welds,
    best_for_bench,
    held_true,
    joined_sets,
    standing_on,
    worth_of,
)
from cagewright.fitup.bench_said import holds_flat
from cagewright.fitup.bench_work import ways_to_lie
from cagewright.fitup.carry import goes_in
from cagewright.fitup.order import broken_by
from cagewright.fitup.shrink import FIRST_ARM, KEPT
from cagewright.fitup.way import part_of, turned, way_in
from cagewright.job.bench_first import bench_first_of
from cagewright.job.bench_paper import bench_sheet
from cagewright.job.bench_work import bench_said_in, lie_words
from cagewright.job.opening import job_of, open_job
from cagewright.job.order import order_of, shell_in, steps_of
from cagewright.plan.text import parse
from cagewright.shape.resolve import resolve
from cagewright.shape.shell import shell_of
from fitted import EXAMPLES, brackwater
from small_plans import HOOP_FEET, hoop, plan

UP, BACK, RIGHT = np.array([0.0, 0, 1]), np.array([1.0, 0, 0]), np.array([0.0, 1, 0])


# --- positions


def weld(along, branch, main):
    """One point of weld with its axis and the two surfaces' normals."""
    rows = [np.array([v], float) for v in (along, branch, main)]
    return WeldLoop(
        name="w", kind="joint", branch="b", mains=("m",), phi=np.zeros(1), step=0.1, points=np.zeros((1, 3)),
        run=np.ones(1), along=rows[0], branch_normal=rows[1], main_normal=rows[2],
    )  # fmt: skip


@pytest.mark.parametrize(
    ("along", "branch", "main", "up", "slope", "turn", "good"),
    # ISO 6947:2019 figure 1, as every welder's chart has it: PA in the gutter, PB plate on plate, PC across
    # a wall, PD and PE overhead, PF up a corner
    [
        (BACK, (UP + RIGHT) / 2**0.5, (UP - RIGHT) / 2**0.5, UP, 0, 0, True),
        (BACK, UP, RIGHT, UP, 0, 45, True),
        (BACK, (RIGHT + UP) / 2**0.5, (RIGHT - UP) / 2**0.5, UP, 0, 90, False),
        (BACK, -UP, RIGHT, UP, 0, 135, False),
        (BACK, (RIGHT - UP) / 2**0.5, (-RIGHT - UP) / 2**0.5, UP, 0, 180, False),
        (UP, BACK, RIGHT, UP, 90, None, False),
        (BACK, -UP, RIGHT, -UP, 0, 45, True),
    ],
)  # fmt: skip
def test_the_main_positions(along, branch, main, up, slope, turn, good):
    line = weld(along, branch, main)
    found = slope_and_turn(line, up)
    assert np.degrees(found[0][0]) == pytest.approx(slope)
    if turn is not None:
        assert np.degrees(found[1][0]) == pytest.approx(turn)
    assert bool(easy(line, up)[0]) == good


def test_a_tube_standing_on_its_plate_is_welded_in_pb_all_round_and_lying_only_at_the_top():
    """Round a post on a level plate the face leans 45 degrees; lying, the axis slopes by its angle."""
    phi = np.linspace(0.0, 2 * np.pi, 360, endpoint=False) + np.radians(0.5)
    out = np.column_stack([np.cos(phi), np.sin(phi), 0 * phi])
    post = WeldLoop(
        name="f", kind="foot", branch="b", mains=(), phi=phi, step=phi[1] - phi[0], points=out,
        run=np.ones(360), along=np.column_stack([-np.sin(phi), np.cos(phi), 0 * phi]), branch_normal=out,
        main_normal=np.broadcast_to(UP, out.shape),
    )  # fmt: skip
    assert easy(post, UP).all()
    assert not easy(post, -UP).any()
    # lying on its side: within 15 degrees of the top
    assert easy(post, RIGHT).sum() == 30
    ((first, made), *_) = ways_to_lie([post])
    assert first == pytest.approx(UP)
    assert made == 360.0


def test_the_ways_to_lie_are_told():
    assert len(TURNS) == 18
    assert lie_words(UP) == "upright as in the car"
    assert lie_words(-UP) == "upside down"
    assert lie_words(-RIGHT) == "with its left side up"
    assert lie_words((UP - BACK) / 2**0.5) == "propped half way, its front and top up"


# --- the choice


def part_of_demo(*names):
    """The demo without its other tubes, as far as the choice looks at it."""
    cage = brackwater().cage
    members = tuple(m for m in cage.members if m.name in names)
    joints = tuple(j for j in cage.joints if {j.branch, *j.mains} <= set(names))
    return replace(cage, members=members, joints=joints)


EIGHT = (
    "main_hoop", "front_leg_left", "front_leg_right", "header", "backstay_left", "diagonal_hoop",
    "harness_bar_left", "roof_left",
)  # fmt: skip


def by_enumeration(cage, passes):
    """The most worth of every set of tubes that can be joined and goes in, each set looked at by itself."""
    welds, mains, best = bench_welds(cage), {}, 0.0
    for j in cage.joints:
        mains.setdefault(j.branch, set()).update(j.mains)
    names = [m.name for m in cage.members]
    for count in range(2, len(names) + 1):
        for chosen in combinations(names, count):
            there = frozenset(chosen)
            stands = all(mains.get(n, set()) <= there for n in there)
            if stands and _hang_together(there, mains) and passes(there) == "goes":
                best = max(best, worth_of(welds, there))
    return best


def _hang_together(there, mains):
    found, left = set(), [next(iter(there))]
    while left:
        one = left.pop()
        found.add(one)
        touch = mains.get(one, set()) | {n for n in there if one in mains.get(n, set())}
        left += [n for n in touch & there if n not in found]
    return found == set(there)


def fits_in(cage, size):
    """A set goes in where the box round it is small enough: as by any door, what is part of it does too."""
    ends = {m.name: np.array([p for e in m.path.pieces for p in (e.start, e.stop)]) for m in cage.members}

    def passes(names):
        points = np.concatenate([ends[n] for n in names])
        return "goes" if float(np.linalg.norm(np.ptp(points, axis=0))) <= size else "no way found"

    return passes


@pytest.mark.parametrize("size", [1500.0, 1700.0, 1800.0, 1900.0, 2000.0, 2100.0, 2500.0])
def test_the_choice_is_the_best_that_enumeration_finds(size):
    cage = part_of_demo(*EIGHT)
    passes = fits_in(cage, size)
    choice, best = best_for_bench(cage, passes), by_enumeration(cage, passes)
    assert choice.proved
    assert choice.worth == pytest.approx(best, abs=1.0)
    assert not choice.tubes or passes(frozenset(choice.tubes)) == "goes"
    # grown tube by tube it is never better, and on these as good
    assert best_for_bench(cage, passes, whole=0).worth == pytest.approx(best, abs=1.0)


@pytest.mark.parametrize("seed", range(12))
def test_whatever_goes_in_the_choice_is_the_best(seed):
    """Sets that go in drawn at random: what is part of one of them does, nothing else."""
    cage = part_of_demo(*EIGHT)
    random, every = np.random.default_rng(seed), sorted(joined_sets(standing_on(cage)), key=sorted)
    largest = [every[i] for i in random.choice(len(every), 2, replace=False)]
    passes = lambda names: "goes" if any(names <= one for one in largest) else "no way found"  # noqa: E731
    choice, best = best_for_bench(cage, passes), by_enumeration(cage, passes)
    assert choice.worth == pytest.approx(best, abs=1.0)
    assert best_for_bench(cage, passes, whole=0).worth <= best + 1.0


@pytest.mark.slow
def test_by_a_real_door_the_choice_is_what_enumeration_finds():
    job = open_job(EXAMPLES / "brackwater.yaml")
    cage, shell = (
        part_of_demo("main_hoop", "diagonal_hoop", "harness_bar_left", "front_leg_left"),
        shell_in(job),
    )
    edge = next(x for x in job.cage.lines if x.name == "door_opening_left").points
    known = {}

    def passes(names):
        known[names] = known.get(names) or goes_in(job.cage, shell, edge, sorted(names))
        return known[names]

    assert best_for_bench(cage, passes).worth == pytest.approx(by_enumeration(cage, passes), abs=1.0)
    assert "goes" in known.values()


def test_a_long_tube_whose_foot_has_yet_to_be_found_is_only_tacked():
    """A leg 1100 mm long may lean by its weld; a bar with both ends on the hoop may not."""
    cage = brackwater().cage
    welds = {w.name: w for w in bench_welds(cage)}
    leg = welds["front_leg_left.end"]
    # 1.96 times half of the lean, over the leg's whole reach; the figures by hand
    leg_size = 2.5 * 2**0.5
    lean = KEPT * 0.10 * (leg_size**2 / 2) / 2.5 / (19.0 * FIRST_ARM)
    member = next(m for m in cage.members if m.name == "front_leg_left")
    reach = float(np.linalg.norm(member.ends[0].cut.origin - member.ends[1].cut.origin))
    assert leg.doubt == pytest.approx(1.96 * 0.5 * lean * reach, rel=0.02)
    there = frozenset({"main_hoop", "front_leg_left", "diagonal_hoop"})
    assert held_true(tuple(welds.values()), there) == {"main_hoop", "diagonal_hoop"}
    # what lands on a tube that is only tacked is worth nothing either
    more = there | {"front_leg_right", "header"}
    assert worth_of(tuple(welds.values()), more) == worth_of(tuple(welds.values()), there)


# --- the way in, where only one attitude will do


def flat_frame():
    """A hoop with a bar between its legs, 1000 wide and 1000 high, flat."""
    rows = {
        "hoop": hoop(path=[{"foot": "left"}, [0, -500, 1200], [0, 500, 1200], {"foot": "right"}]),
        "low": (
            "bar",
            [{"on": "hoop", "side": "left", "up": 400}, {"on": "hoop", "side": "right", "up": 400}],
        ),
    }
    return resolve(plan(rows, feet={"left": [0, -500, 200], "right": [0, 500, 200]}))


@pytest.mark.slow
def test_a_flat_frame_goes_through_a_slot_only_edge_on_and_fcl_finds_nothing_on_its_way():
    """A slot 160 wide and 1150 high: the frame's plane stands along the slot and square to the wall."""
    part = part_of(flat_frame().members)
    triangles, opening = wall_with_a_hole(160, 1150), hole(160, 1150)
    room = room_of_triangles(triangles)
    way = next(w for n in range(6) if (w := way_in(part, room, opening, np.array([0.0, 900.0, 0.0]), seed=n)))
    inside = [p for p in way.poses if abs(p[1]) < 250.0] or [way.poses[np.argmin(np.abs(way.poses[:, 1]))]]
    for pose in inside:
        flat = turned(pose).apply(BACK)  # the frame's own plane is square to back
        assert abs(flat[0]) > 0.95
    assert not meets_by_fcl(part, way.poses, triangles)
    assert meets_by_fcl(part, way.poses, triangles, grown=90.0)


def test_a_frame_provably_too_large_is_said_never_to_pass():
    cage = flat_frame()
    edge = hole(160, 700).edge + np.array([0.0, -1000.0, 700.0])
    assert goes_in(cage, shell_of(cage, None), edge, ["hoop", "low"]) == "never"


# --- what the welds move


def test_a_bar_that_stands_out_drifts_as_a_cantilever_by_hand():
    """drawn 0.10 A / t along it, and lean times its reach aside: nothing else gives."""
    members = {
        "post": {"role": "main rollbar", "tube": "post", "path": [{"foot": "low"}, {"foot": "high"}]},
        "bar": {"role": "diagonal", "tube": "bar", "path": [{"on": "post", "up": 0}, {"foot": "far"}]},
    }
    feet = {
        "low": [0, 0, -200],
        "high": {"at": [0, 0, 200], "on": "rigid", "plate": [100, 100, 3], "normal": [0, 0, -1]},
        "far": {"at": [1000, 0, 0], "on": "rigid", "plate": [100, 100, 3], "normal": [-1, 0, 0]},
    }
    cage = resolve(
        plan(members, feet=feet, tubes={"post": {"od": 80, "wall": 20, "steel": "E355+N", "clr": 300}})
    )
    found = bench_drift(cage, ["post", "bar"], ["bar.start"])
    move = next(m for e, m in zip(found.ends, found.moves, strict=True) if e.name == "bar.end")
    drawn = 0.10 * (2.5 * 2**0.5) ** 2 / 2 / 2.5
    lean = KEPT * drawn / (19.0 * FIRST_ARM)
    assert move[0] == pytest.approx(-drawn, rel=0.02)
    assert np.hypot(move[1], move[2]) == pytest.approx(lean * 960.0, rel=0.03)
    # twice the shop's factor, twice the drift
    twice = bench_drift(cage, ["post", "bar"], ["bar.start"], factor=2.0)
    assert np.abs(twice.moves).max() == pytest.approx(2.0 * np.abs(found.moves).max(), rel=1e-6)


def test_a_rigid_move_of_the_base_is_no_drift():
    random = np.random.default_rng(5)
    base, points = random.normal(size=(9, 3)) * 500, random.normal(size=(4, 3)) * 900
    shift, spin = np.array([3.0, -2.0, 1.0]), np.array([0.001, -0.002, 0.003])
    moved = [shift + np.cross(spin, p) for p in (base, points)]
    own = random.normal(size=(4, 3))
    assert laid_back(base, moved[0], points, moved[1] + own) == pytest.approx(own, abs=1e-9)


# --- what the plan says of it

BENCH = """bench_first:
  tubes: [main_hoop, diagonal_hoop, harness_bar_left, harness_bar_right, backstay_left]
  clamps:
    low_left: {on: main_hoop, side: left, up: 300}
    low_right: {on: main_hoop, side: right, up: 300}
    top: [1600, 0, 1235]
"""


def with_bench(said=BENCH):
    text = (EXAMPLES / "brackwater.yaml").read_text(encoding="utf-8")
    whole = text.replace("members:\n", f"{said}members:\n", 1)
    return job_of(parse(whole, file="bench.yaml"), EXAMPLES / "bench.yaml")


@pytest.fixture(scope="module")
def said_job():
    return with_bench()


def test_the_order_takes_what_the_plan_joins_on_the_bench(said_job):
    first = steps_of(said_job)[0]
    assert first.where == "bench"
    assert set(first.tack) == set(said_job.plan.bench_first.tubes)
    assert {"diagonal_hoop.start", "harness_bar_left.end"} <= set(first.weld)
    # the stay's foot has yet to be found
    assert "backstay_left.start" not in first.weld
    assert any("Left open on purpose: backstay left start" in n for n in first.notes)
    later = [w for s in steps_of(said_job)[1:] for w in s.weld]
    assert sorted([*first.weld, *later]) == sorted(
        [j.name for j in said_job.cage.joints] + [f.name for f in said_job.cage.feet]
    )
    assert not broken_by(said_job.cage, shell_in(said_job), steps_of(said_job))
    assert order_of(said_job).steps[0].weld == first.weld


def test_the_bench_has_its_paper_where_the_plan_says_so(said_job):
    sheet = bench_sheet(said_job)
    welds = next(t for t in sheet.tables if t.title == "Welds")
    assert {r[1] for r in welds.rows} == {"welded", "tacked"}
    assert any(
        "only tacked: set it" in r[3] for t in sheet.tables if t.title.startswith("When") for r in t.rows
    )
    assert bench_sheet(brackwater()) is None


def test_what_the_plan_says_is_told_without_a_search(said_job):
    answer = bench_first_of(said_job)
    assert answer.said
    assert answer.tried == 0
    assert answer.opening == "door_opening_left"
    rows = {w.joint: w for w in answer.work.welds}
    assert rows["backstay_left.start"].done == "tacked"
    assert "3 mm is allowed" in rows["backstay_left.start"].why
    ends = {e.end: e for e in answer.work.ends}
    assert ends["backstay_left.end"].gap.value is None
    hoop_end = ends["main_hoop.start"]
    assert hoop_end.aside.plus_minus == pytest.approx(0.98 * hoop_end.aside.value)


@pytest.mark.slow
def test_the_demo_is_searched_and_the_lines_to_write_read_back():
    answer = bench_first_of(open_job(EXAMPLES / "brackwater.yaml"))
    assert answer.tubes[0] == "main_hoop"
    assert answer.worth.value > 500.0
    assert not answer.passage.waits
    again = with_bench(answer.write + "\n")
    assert bench_said_in(again).tubes == answer.tubes


@pytest.mark.parametrize(
    ("was", "now", "code", "words"),
    [
        ("harness_bar_left, ", "roof_left, ", "bench-apart", "front leg right and header: not joined"),
        ("harness_bar_left, ", "diagonal_hoop, ", "defined-twice", "stands here twice"),
        ("top: [1600, 0, 1235]", "top: [1600, 0, 1150]", "clamp-off", "mm off the nearest tube"),
        ("top: [1600, 0, 1235]", "top: {on: header, across: 0}", "clamp-off", "not joined on the bench"),
        ("top: [1600, 0, 1235]", "top: {on: main_hoop, up: 3000}", "no-such-place", "main_hoop"),
    ],
)
def test_bench_work_that_cannot_be_is_told_with_its_line(was, now, code, words):
    said = BENCH.replace(was, now)
    line = next(n for n, x in enumerate(said.splitlines()) if now in x)
    job = with_bench(said)
    with pytest.raises(ProblemsFound) as found:
        steps_of(job)
    (problem,) = found.value.problems
    assert problem.code == code
    assert words in problem.found
    start = (EXAMPLES / "brackwater.yaml").read_text().split("members:\n")[0].count("\n")
    assert problem.where.line == start + line + 1


def test_a_name_that_is_no_tube_is_refused_when_the_plan_is_read():
    with pytest.raises(ProblemsFound) as found:
        with_bench("bench_first: {tubes: [main_hoop, diagonal_hop]}\n")
    (problem,) = found.value.problems
    assert problem.code == "unknown-member"
    assert problem.nearest == "diagonal_hoop"


def test_three_clamps_in_a_line_do_not_hold(said_job):
    clamps = bench_said_in(said_job).clamps
    assert holds_flat(clamps)
    assert not holds_flat(clamps[:2])
    assert not holds_flat([clamps[0], clamps[1], clamps[0]])


def test_without_an_opening_nothing_is_claimed():
    rows = {"hoop": hoop(), "low": ("bar", [{"on": "hoop", "side": s, "up": 700} for s in ("left", "right")])}
    job = replace(open_job(EXAMPLES / "brackwater.yaml"), cage=resolve(plan(rows, feet=HOOP_FEET)))
    answer = bench_first_of(job)
    assert answer.level == "cannot tell"
    assert "closed line" in answer.headline
