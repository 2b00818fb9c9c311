from dataclasses import replace

import numpy as np
import pytest
from scipy.spatial.transform import Rotation

from cagewright.base.curves import point_at
from cagewright.check.body.findings import body_findings
from cagewright.fitup.adjust import adjust
from cagewright.fitup.asbuilt import BUILT, RigidMotion, as_built, changed_findings, moved_cage
from cagewright.fitup.choose import sure_of, tape_clear, tapes_of
from cagewright.fitup.marks import marks_of
from cagewright.fitup.network import network, placed
from cagewright.fitup.order import (
    bodies_at,
    broken_by,
    build_order,
    datum_at,
    present_at,
    within_for,
)
from cagewright.fitup.pull import joint_gaps, off_words, stands_in, stands_of
from cagewright.fitup.readings import read_fitup_text
from cagewright.fitup.sheet import code_drawing
from cagewright.job.marks import step_of
from cagewright.job.marks_paper import blank_file, step_sheet
from cagewright.shape.shell import shell_of
from fitted import FRONT, brackwater, brackwater_marks, front, taken


def adjusted(moves, *, noise=0.0):
    """The front of the car with those bodies moved (mm), read without noise."""
    net, readings = front()
    state = np.zeros((len(net.bodies), 6))
    for name, move in moves.items():
        state[[b.name for b in net.bodies].index(name), :3] = move
    return adjust(net, taken(net, readings, placed(net, state), np.random.default_rng(0), noise=noise))


# --- pulls


def test_an_end_that_is_out_is_told_in_the_builders_words():
    fit = adjusted({"front_leg_left": (-6.0, -4.0, 0.0)})
    found = stands_of(brackwater().cage, fit)
    foot = next(s for s in found if s.mark == "front_leg_left.start")
    assert foot.stands == "out"
    # forward is the negative way back; out on the left is the negative way across
    at = fit.net.points[fit.net.index[foot.mark]]
    assert off_words(foot.off, foot.sure, at).startswith("6 ± ")
    assert "mm forward and 4 ± " in off_words(foot.off, foot.sure, at)
    assert off_words(-foot.off, None, at) == "6 mm back and 4 mm in"
    assert {s.member for s in found if s.stands == "out"} == {"front_leg_left"}


def test_the_tape_shows_when_the_pull_has_come_far_enough():
    move = np.array([-8.0, 0.0, 0.0])
    found = adjusted({"front_leg_left": move})
    foot = next(s for s in stands_of(brackwater().cage, found) if s.mark == "front_leg_left.start")
    assert foot.tape is not None
    net = found.net
    a, b = (net.index[n] for n in (foot.tape.a, foot.tape.b))
    assert foot.tape.now == pytest.approx(np.linalg.norm(found.places[a] - found.places[b]))
    # the other mark has not moved, so once pulled the tape reads what the plan has
    assert foot.tape.then == pytest.approx(np.linalg.norm(net.points[a] - net.points[b]), abs=0.2)
    assert abs(foot.tape.then - foot.tape.now) > 4.0


@pytest.mark.parametrize(
    ("off", "sure", "stands"),
    [
        ((4.0, 0.0, 0.0), (1.0, 1.0, 1.0), "out"),
        ((2.0, 0.0, 0.0), (1.0, 1.0, 1.0), "in place"),
        ((2.5, 0.0, 0.0), (2.0, 1.0, 1.0), "cannot tell"),
        ((2.0, 0.0, 0.0), (5.0, 1.0, 1.0), "cannot tell"),
        ((4.0, 0.0, 0.0), (5.0, 1.0, 1.0), "cannot tell"),
        ((0.0, 0.0, 3.01), (1.0, 1.0, 1.0), "out"),
    ],
)
def test_cannot_tell_is_an_answer(off, sure, stands):
    assert stands_in(np.array(off), np.array(sure), 3.0) == stands


def test_in_and_out_are_told_from_the_centre_line():
    off = np.array([0.0, 4.0, 0.0])
    assert off_words(off, None, np.array([0.0, 600.0, 0.0])) == "4 mm out"
    assert off_words(off, None, np.array([0.0, -600.0, 0.0])) == "4 mm in"
    assert off_words(off, None, np.array([0.0, 10.0, 0.0])) == "4 mm right"


def test_a_joint_opens_by_how_far_its_tube_stands_off():
    """The header moved straight back leaves its two legs' near sides: no gap opens over what it moved."""
    gaps = {g.joint: g for g in joint_gaps(brackwater().cage, adjusted({"front_leg_left": (0.0, -5.0, 0.0)}))}
    assert gaps["header.start"].open == pytest.approx(5.0, abs=0.6)
    assert gaps["header.end"].open < 0.3
    assert gaps["diagonal_hoop.start"].open < 1e-6


# --- as built


def test_as_built_moves_what_was_read_and_leaves_the_rest():
    cage = brackwater().cage
    built = as_built(cage, adjusted({"header": (0.0, 0.0, 7.0)}))
    assert built.revision == cage.revision + BUILT
    for before, after in zip(cage.members, built.members, strict=True):
        rise = 7.0 if before.name == "header" else 0.0
        middle = before.path.length / 2.0
        shift = point_at(after.path, middle) - point_at(before.path, middle)
        assert shift == pytest.approx([0.0, 0.0, rise], abs=0.1)


def test_a_rigid_motion_keeps_every_length_and_angle():
    cage = brackwater().cage
    motion = RigidMotion(
        middle=np.array([900.0, 50.0, 600.0]), turn=Rotation.from_rotvec([0.3, -0.2, 0.5]), move=np.ones(3)
    )
    built = moved_cage(cage, {m.name: motion for m in cage.members})
    for before, after in zip(cage.members, built.members, strict=True):
        assert after.path.length == pytest.approx(before.path.length)
        for s in (0.0, 0.4 * before.path.length, before.path.length):
            assert point_at(after.path, s) == pytest.approx(motion.point(point_at(before.path, s)))
        for a, b in zip(before.ends, after.ends, strict=True):
            assert b.cut.axis @ b.cut.zero == pytest.approx(a.cut.axis @ a.cut.zero, abs=1e-12)


def test_findings_of_the_cage_as_it_stands_beside_the_plans():
    cage = brackwater().cage
    planned = body_findings(cage, None)
    assert changed_findings(planned, planned) == ()
    # 60 mm up puts the header into the roof
    motion = RigidMotion(middle=np.zeros(3), turn=Rotation.identity(), move=np.array([0.0, 0.0, 60.0]))
    built = body_findings(moved_cage(cage, {"header": motion}), None)
    worse = [c for c in changed_findings(planned, built) if c.worse]
    assert any("header" in c.where for c in worse)


# --- order


def shell():
    return shell_of(brackwater().cage, None)


def test_every_tube_goes_in_once_and_after_what_it_is_cut_on():
    cage = brackwater().cage
    steps = build_order(cage, shell())
    order = [n for s in steps for n in s.tack]
    assert sorted(order) == sorted(m.name for m in cage.members)
    for joint in cage.joints:
        assert all(order.index(m) < order.index(joint.branch) for m in joint.mains)
    welds = [w for s in steps for w in s.weld]
    assert len(welds) == len(set(welds))
    assert {j.name for j in cage.joints} <= set(welds)
    assert [s.number for s in steps] == list(range(1, len(steps) + 1))


def test_the_roof_is_welded_while_the_cage_hangs():
    """By the torch check the tops of the roof tubes cannot be reached all round once pushed up."""
    dropped = next(s for s in build_order(brackwater().cage, shell()) if s.where == "dropped")
    assert "roof_left.end" in dropped.weld


@pytest.mark.slow
def test_a_tube_before_what_it_is_cut_on_breaks_the_order():
    cage = brackwater().cage
    usual = broken_by(cage, shell(), build_order(cage, shell()))
    broken = broken_by(cage, shell(), build_order(cage, shell(), moves={"header": 1}))
    assert "header" not in {b.what for b in usual}
    assert any("header is cut on front leg left, which goes in later" in b.words for b in broken)


def test_bodies_and_datum_of_a_step():
    cage = brackwater().cage
    steps = build_order(cage, shell())
    assert datum_at(steps, 1) == "main_hoop"
    assert datum_at(steps, 2) == "the car"
    assert [b.members for b in bodies_at(cage, steps, 1)] == [
        (n,) for n in ("main_hoop", "diagonal_hoop", "harness_bar_left", "harness_bar_right")
    ]
    last = bodies_at(cage, steps, len(steps))
    welded_roof = next(b for b in last if "roof_left" in b.members)
    assert {"main_hoop", "header", "roof_right"} <= set(welded_roof.members)
    assert len(present_at(steps, 3)) == 8


@pytest.mark.parametrize(
    ("size", "within"),
    # ISO 13920:2023 class B (read)
    [(100.0, 2.0), (400.0, 2.0), (401.0, 3.0), (1000.0, 3.0), (1500.0, 4.0), (3000.0, 6.0)],
)
def test_within(size, within):
    assert within_for(size) == within


# --- marks, chosen readings and the sheet


def test_marks_stand_on_the_tubes_outside_and_clear_of_the_cuts():
    cage = brackwater().cage
    for mark in brackwater_marks():
        if mark.member:
            member = next(m for m in cage.members if m.name == mark.member)
            away = np.linalg.norm(mark.point - point_at(member.path, mark.along))
            assert away == pytest.approx(member.tube.radius)
            assert 0.0 < mark.along < member.path.length
    names = [m.name for m in brackwater_marks()]
    assert len(names) == len(set(names))
    assert {"main_hoop.bend1a", "main_hoop.bend4b", "front_leg_left.end", "hoop_left", "sill_left.2"} <= set(
        names
    )


def test_chosen_readings_are_clear_sharp_and_checked():
    net, readings = front()
    tapes = tapes_of(net, brackwater().cage)
    points = {m.name: m.point for m in net.marks}
    assert all(tape_clear(tapes, points[r.a], points[r.b]) for r in readings if r.kind == "tape")
    found = adjust(net, taken(net, readings, net.points, np.random.default_rng(0)))
    assert max(c.smallest / c.reading.size for c in found.checks if c.reading.kind == "lean") <= 10.5
    assert max(c.smallest for c in found.checks if c.reading.kind != "lean") <= 10.5
    assert max(sure_of(net, found.covariance, found.state).values()) < 3.1


def test_the_step_sheet_has_a_blank_for_every_reading_and_a_code():
    job = brackwater()
    answer = step_of(job, 3)
    sheet = step_sheet(job, answer)
    table = next(t for t in sheet.tables if t.title == "Readings")
    assert len(table.rows) == len(answer.readings) > 10
    assert all("…" in row[6] for row in table.rows)
    assert {"tape", "lean across"} <= {row[1] for row in table.rows}
    assert len(sheet.drawings[0].strokes) > 100
    assert job.cage.revision in " ".join(sheet.notes)


def test_the_blank_readings_file_reads_back_with_nothing_taken():
    job = brackwater()
    answer = step_of(job, 3)
    text = blank_file(job, answer)
    fit = read_fitup_text(text, job.cage, brackwater_marks())
    assert fit.problems == ()
    assert fit.used == ()
    assert len(fit.entered) == len(answer.readings)
    assert fit.head.held == answer.held
    filled = text.replace("says: unread", "says: 0.1 mm", 1)
    assert read_fitup_text(filled, job.cage, brackwater_marks()).problems[0].code == "impossible"


def test_the_code_is_square_and_has_three_finders():
    drawing = code_drawing("https://shop.local/fit-up/3", name="code")
    low = np.min([s.points.min(axis=0) for s in drawing.strokes], axis=0)
    high = np.max([s.points.max(axis=0) for s in drawing.strokes], axis=0)
    assert (high - low)[0] == (high - low)[1]
    dark = {tuple(np.round(s.points[0] - low).astype(int)) for s in drawing.strokes}
    n = int((high - low)[0])
    # ISO/IEC 18004: a 7 x 7 ring stands in three corners, not in the lower right
    ring = [(i, n - 1) for i in range(7)]
    assert set(ring) <= dark
    assert {(i, 0) for i in range(7)} <= dark
    assert {(n - 1 - i, n - 1) for i in range(7)} <= dark


def test_named_points_are_marks_on_the_car():
    marks = marks_of(brackwater().cage, {"jig": np.array([0.0, 0.0, 0.0])})
    assert next(m for m in marks if m.name == "jig").member is None
    with pytest.raises(ValueError, match="datum"):
        network(marks, FRONT, datum="nobody")
    with pytest.raises(ValueError, match="two bodies"):
        network(marks, [*FRONT, replace(FRONT[0], name="again")])
