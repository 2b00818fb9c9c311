"""Everybody who drives: extremes by trigonometry over every way of sitting, holes and tabs one by one."""

import math
import re
from itertools import pairwise, product
from types import SimpleNamespace

import numpy as np
import pytest

from cagewright.base.problems import ProblemsFound
from cagewright.change.edit import edit
from cagewright.check.belts.findings import belts_findings
from cagewright.check.belts.tab_place import between
from cagewright.check.bench import NOT_MEASURED
from cagewright.check.body.near_driver import driver_findings
from cagewright.check.judge import judge
from cagewright.check.library import book_ids, built_in
from cagewright.check.measures.helmet import above_helmet, heads_of
from cagewright.check.postures import HELMET, PostureFigure, best_holes, postures
from cagewright.job.drivers import drivers_of, drivers_sheet, hole_template
from cagewright.job.opening import job_of, open_job
from cagewright.plan.text import parse
from cagewright.plan.write import document
from cagewright.shape.resolve import resolve
from fitted import EXAMPLES, brackwater

HIPS = {"Ann": (1210.0, 265.0), "Bob": (1190.0, 275.0)}
HOLES = [(0.0, 0.0), (0.0, 15.0), (15.0, 30.0)]
SLIDES = [-30.0, 0.0, 30.0]
PEOPLE = """people:
  driver:
    - called: Ann
      stature: 1790 mm
      hip: [1210, -330, 265]
      back_angle: 22 deg
      head: [1395, -330, 915]
      shoulder: [1402, -330, 746]
      groin: [1100, -330, 245]
      seat:
        travel: [-30, 30]
        holes: [[0, 0], [0, 15], [15, 30]]
      belts:
        standard: fia-253-6.2-2013
        sheet: {source: made up, lap_angle: [45 deg, 65 deg], lap_free: [100 mm, 300 mm]}
        mounts:
          lap_left: {at: [1280, -545, 150], plate: [80, 60, 3]}
          lap_right: {at: [1275, -115, 160], plate: [80, 60, 3]}
    - {called: Bob, stature: 1690 mm, hip: [1190, -330, 275], back_angle: 20 deg, shoulder: [1375, -330, 720]}
"""


def text_with(people=PEOPLE):
    """The demo with other people in it, and without its own driver, seat and belts."""
    lines, out, skip = (EXAMPLES / "brackwater.yaml").read_text(encoding="utf-8").splitlines(), [], False
    for line in lines:
        if line and not line[0].isspace() and not line.startswith("#"):
            skip = line.split(":")[0] in {"driver", "seat", "belts"}
        if not skip:
            out.append(line)
    return "\n".join(out) + "\n" + people


def job_with(people=PEOPLE):
    return job_of(parse(text_with(people), file="people.yaml"), EXAMPLES / "people.yaml")


@pytest.fixture(scope="module")
def job():
    return job_with()


@pytest.fixture(scope="module")
def answer(job):
    (found,) = drivers_of(job)
    return found


def by_hand(who, hole, slid):
    """The left lap belt's angle: the hip goes back and up with the hole, back with the slide."""
    (x, z), (back, up) = HIPS[who], HOLES[hole]
    return math.degrees(math.atan2(z + up - 150.0, 1280.0 - (x + back + slid)))


def test_lap_angles_run_between_the_extremes_found_by_trigonometry(answer):
    row = next(r for r in answer.rows if r.what == "lap angle, lap left")
    every = {k: by_hand(*k) for k in product(HIPS, range(3), SLIDES)}
    low, high = min(every, key=every.get), max(every, key=every.get)
    assert answer.postures == 18
    assert answer.people == ("Ann", "Bob")
    assert row.low.value == pytest.approx(every[low])
    assert row.high.value == pytest.approx(every[high])
    assert row.low_who == f"{low[0]}, hole {low[1] + 1}, slid 30 mm forward"
    assert row.high_who == f"{high[0]}, hole {high[1] + 1}, slid 30 mm back"


def test_the_hole_is_the_one_with_the_most_room_all_along_the_travel(answer):
    for row in answer.holes:
        worst = [
            min(min(by_hand(row.who, h, s) - 45.0, 65.0 - by_hand(row.who, h, s)) for s in SLIDES)
            for h in range(3)
        ]
        assert row.hole == int(np.argmax(worst)) + 1
        assert "to spare" in row.said
        assert (row.level == "fine") == (max(worst) >= 0.0)


def test_the_least_room_of_all_places_counts_and_not_the_last():
    """Hole 1 has 1 degree to spare first and 9 last, hole 2 has 4 both times: hole 2."""

    def reading(hole, degrees):
        limit = SimpleNamespace(bounds=(SimpleNamespace(kind="at_least", value=0.0),))
        posture = SimpleNamespace(turn=0, hole=hole)
        value = math.radians(degrees)
        return PostureFigure(what="lap angle", label="", sort="angle", low=value, high=value, limit=limit,
                       posture=posture)  # fmt: skip

    assert best_holes((reading(1, 1.0), reading(1, 9.0), reading(2, 4.0), reading(2, 4.0))) == {0: 2}


def test_the_room_to_spare_is_that_in_the_holes_chosen(answer):
    row = next(r for r in answer.rows if r.what == "lap angle, lap left")
    chosen = {h.who: h.hole - 1 for h in answer.holes}
    told = [by_hand(who, hole, s) for who, hole in chosen.items() for s in SLIDES]
    assert row.margin.value == pytest.approx(min(min(a - 45.0, 65.0 - a) for a in told))


def test_the_helmet_is_nearest_where_the_nearest_of_many_points_on_the_tubes_says(job, answer):
    """A tube's middle line as points 1 mm apart, by hand."""
    from cagewright.base.curves import sample

    row = next(r for r in answer.rows if r.what.startswith(HELMET))
    lines = [(sample(m.path, sagitta=0.01), m.tube.radius) for m in job.cage.members]
    gaps = []
    for (back, up), slid in product(HOLES, SLIDES):
        at = np.array([1395.0 + back + slid, -330.0, 915.0 + up])
        for line, radius in lines:
            ways = [a + np.linspace(0, 1, 800)[:, None] * (b - a) for a, b in pairwise(line)]
            gaps.append(min(float(np.linalg.norm(w - at, axis=1).min()) for w in ways) - radius - 150.0)
    ann = min(gaps)
    assert row.low.value <= ann + 0.5
    mine = [r for r in (answer.rows) if r.what.startswith(HELMET)]
    assert len(mine) == 1
    if row.low_who.startswith("Ann"):
        assert row.low.value == pytest.approx(ann, abs=0.5)


def test_a_tab_is_put_where_everybody_is_within_the_limits(answer):
    row = next(t for t in answer.tabs if t.mount == "lap_left")
    assert "everybody is within" in row.said
    # the whole grid by hand: somewhere the least room is positive, and where it is now it is not
    chosen = {h.who: h.hole - 1 for h in answer.holes}

    def least(dx, dz):
        told = []
        for who, hole in chosen.items():
            (x, z), (back, up) = HIPS[who], HOLES[hole]
            for s in SLIDES:
                told.append(math.degrees(math.atan2(z + up - 150 - dz, 1280 + dx - (x + back + s))))
        return min(min(a - 45.0, 65.0 - a) for a in told)

    steps = np.arange(-60.0, 61.0, 10.0)
    assert least(0.0, 0.0) < 0.0 < max(least(x, z) for x in steps for z in steps)


def test_a_tab_is_turned_half_way_between_the_pulls_furthest_apart():
    pulls = np.array([[-math.cos(a), 0.0, math.sin(a)] for a in np.radians([40.0, 44.0, 62.0])])
    way, spread = between(pulls, np.array([0.0, 1.0, 0.0]))
    assert math.degrees(math.atan2(way[2], -way[0])) == pytest.approx(51.0)
    assert math.degrees(spread) == pytest.approx(11.0)


def test_three_readings_are_asked_for_with_the_driver_in(answer):
    assert [s.what.split(",")[0] for s in answer.sit] == ["lap angle", HELMET]
    assert "stop where it is not at least 45.0°" in answer.sit[0].stop
    (full,) = drivers_of(brackwater())
    assert [s.what.split(",")[0] for s in full.sit] == ["lap angle", "shoulder down", HELMET]


def test_the_template_has_each_hole_where_the_seat_is_put_by_it(job, answer):
    drawing = hole_template(job, answer)
    cuts = [s.points.mean(axis=0) for s in drawing.strokes if s.layer == "cut"]
    assert drawing.scale == 1.0
    # the bracket stands on the floor: a seat that is to stand 15 mm higher goes into a hole 15 mm higher
    assert cuts[0::2] == [pytest.approx([b, u]) for b, u in HOLES]
    assert any("Ann" in label.text for label in drawing.labels)
    assert drivers_sheet(job).drawings
    assert drivers_sheet(open_job(EXAMPLES / "brackwater.yaml")) is None


def test_a_lone_driver_without_holes_is_one_posture():
    job = brackwater()
    (person,) = job.cage.people
    (one,) = postures(person, job.plan.seat)
    assert one.person.body.hip == person.body.hip
    (found,) = drivers_of(job)
    assert found.holes == ()
    assert all(r.low_who == "driver" for r in found.rows)


@pytest.mark.parametrize(
    ("was", "now", "code", "words", "at"),
    [
        ("called: Bob", "called: Ann", "defined-twice", "Ann sits there twice", "called: Ann, stature"),
        ("called: Bob, ", "called: Bob, hole: 4, ", "no-such-hole", "Bob sits in hole 4", "hole: 4"),
        ("        holes: [[0, 0], [0, 15], [15, 30]]\n", "", None, "", ""),
    ],
)
def test_drivers_twice_and_a_hole_that_is_not_there_are_told_with_their_line(was, now, code, words, at):
    people = PEOPLE.replace(was, now)
    if code is None:
        assert drivers_of(job_with(people))[0].holes == ()
        return
    with pytest.raises(ProblemsFound) as found:
        job_with(people)
    (problem,) = found.value.problems
    assert (problem.code, problem.found) == (code, words)
    line = next(n for n, x in enumerate(text_with(people).splitlines(), start=1) if at in x)
    assert problem.where.line == line


def test_the_list_and_its_long_form_are_one_cage():
    first, bob = PEOPLE.split("    - {called: Bob")
    long = re.sub("(?m)^  (?=    )", "", first).replace("  - called: Ann", "  called: Ann")
    longer = long + "    others: [{called: Bob" + bob.rstrip() + "]\n"
    one, two = job_with(), job_with(longer)
    assert one.plan.people == two.plan.people
    assert resolve(one.plan).revision == resolve(two.plan).revision


@pytest.mark.parametrize(
    ("change", "gone", "new"),
    [
        ({"rename": {"member": "harness_bar_left", "to": "belt_bar"}}, "harness_bar_left", "belt_bar"),
        ({"remove": {"names": ["harness_bar_left"], "dependents": True}}, "harness_bar_left", ""),
    ],
)
def test_an_edit_of_a_plan_with_a_list_of_people_leaves_the_rest_of_it_as_it_was(change, gone, new):
    mount = "          shoulder: {at: {on: harness_bar_left, across: -330}, belt: shoulder, wrap: true}\n"
    text = text_with(PEOPLE.replace("          lap_right", f"{mount}          lap_right"))
    after, _ = edit(document(text, file="people.yaml"), None, None, change)
    assert gone not in after.text
    assert (new in after.text) if new else (mount not in after.text)
    kept = [x for x in text.splitlines() if gone not in x]
    assert "called: Bob" in after.text
    assert len([x for x in kept if x in after.text.splitlines()]) >= len(kept) - 6


def test_rule_rows_and_own_checks_about_who_drives_are_judged_for_everybody_who_does():
    taller = PEOPLE.replace(
        "{called: Bob, stature: 1690 mm", "{called: Bob, head: [1375, -330, 1050], stature: 1690 mm"
    )
    cage = job_with(taller).cage
    heads = heads_of(cage)
    assert heads is not None
    assert [h.whose for h in heads] == ["Ann", "Bob"]
    asked = [(b, r) for b in map(built_in, book_ids()) for r in b.rules if r.measure == "above helmet"]
    book, roof = next((b, r) for b, r in asked if "main rollbar" in r.members)
    amounts = {a.spot.part.split("'")[0]: a.low for a in above_helmet(cage, roof, NOT_MEASURED)}
    assert amounts["Ann"] - amounts["Bob"] == pytest.approx(1050.0 - 915.0)  # both of one helmet
    assert any("Bob" in f.where.part for f in judge(cage, book, roof, NOT_MEASURED))
    for found in (belts_findings(cage), driver_findings(cage)):
        said = " ".join(f"{f.where} {f.title} {f.measured.said if f.measured else ''}" for f in found)
        assert "Ann" in said
        assert "Bob" in said
