import pytest

from cagewright.base.problems import ProblemsFound
from cagewright.fitup.adjust import adjust
from cagewright.fitup.readings import read_fitup_text
from fitted import brackwater, brackwater_marks

HEAD = """\
cagewright-readings: 1
units: mm
datum: the car
present: [main_hoop, front_leg_left, front_leg_right]
readings:
"""
A, B = "front_leg_left.start", "front_leg_right.start"  # 1253 mm apart by the plan


def read(*lines, head=HEAD):
    return read_fitup_text(head + "".join(f"  - {x}\n" for x in lines), brackwater().cage, brackwater_marks())


@pytest.mark.parametrize(
    ("line", "code"),
    [
        ("{tape: [front_leg_left.strat, front_leg_right.start], says: 1250}", "unknown-mark"),
        ("{tape: [header.start, front_leg_right.start], says: 1250}", "unknown-mark"),  # not there yet
        (
            "{tape: [front_leg_left.start, front_leg_right.start], says: 49.35}",
            "mixed-units",
        ),  # inches, unsaid
        ("{tape: [front_leg_left.start, front_leg_right.start], says: 4 ft 1 in}", "bad-quantity"),
        ("{tape: [front_leg_left.start, front_leg_right.start], says: -1250}", "impossible"),
        ("{tape: [front_leg_left.start, front_leg_right.start], says: 0}", "impossible"),
        ("{tape: [front_leg_left.start, front_leg_right.start], says: 2253}", "impossible"),
        ("{tape: [front_leg_left.start, front_leg_left.end], says: 1500}", "same-body"),
        ("{tape: [hoop_left, hoop_right], says: 1300}", "same-body"),
        ("{tape: [front_leg_left.start], says: 1300}", "wrong-count"),
        ("{tape: [front_leg_left.start, front_leg_left.start], says: 0}", "same-mark"),
        ("{lean: [front_leg_left.start, front_leg_left.bend1a], axis: up, says: 1}", "unknown-word"),
        ("{says: 1300}", "one-of"),
        ("1300", "wrong-type"),
    ],
)
def test_what_cannot_be_used_is_named_kept_and_left_out(line, code):
    good = f"{{tape: [{A}, {B}], says: 1254}}"
    fit = read(line, good)
    assert [e.problem.code if e.problem else "" for e in fit.entered] == [code, ""]
    assert fit.problems[0].where.line == 6
    assert fit.entered[0].said  # as it was entered
    assert [r.seen for r in fit.used] == [1254.0]


def test_a_reading_may_say_its_own_unit():
    fit = read(f"{{tape: [{A}, {B}], says: 49 3/8 in}}")
    assert fit.used[0].seen == pytest.approx(49.375 * 25.4)


def test_a_blank_is_no_reading_and_no_problem():
    fit = read(f"{{tape: [{A}, {B}], says: unread}}")
    assert fit.used == ()
    assert fit.problems == ()


def test_a_lean_and_a_level_lie_within_one_body_and_count():
    fit = read(
        "{lean: [front_leg_left.start, front_leg_left.bend1a], axis: across, says: 0.4 deg}",
        "{level: [front_leg_left.start, front_leg_right.start], says: 3}",
        "{place: front_leg_left.end, axis: back, says: 1552, size: 2}",
    )
    assert [r.kind for r in fit.used] == ["lean", "level", "place"]
    assert adjust(fit.net, fit.used).settled


def test_tapes_that_close_no_triangle_are_named():
    # the plan has 946, 405 and 545 mm: nearly in line, so 1150 cannot be
    fit = read(
        "{tape: [front_leg_left.end, front_leg_right.end], says: 1150}",
        "{tape: [main_hoop.at_roof_right_start, front_leg_right.end], says: 405}",
        "{tape: [main_hoop.at_roof_right_start, front_leg_left.end], says: 545}",
    )
    assert [e.problem.code if e.problem else "" for e in fit.entered] == ["impossible", "", ""]
    assert "triangle" in fit.problems[0].found


@pytest.mark.parametrize(
    ("head", "code"),
    [
        (HEAD.replace("cagewright-readings: 1", "cagewright-readings: 7"), "unknown-word"),
        (HEAD.replace("datum: the car", "datum: the bench"), "unknown-datum"),
        (HEAD.replace("present: [main_hoop", "present: [man_hoop"), "unknown-member"),
        (HEAD.replace("units: mm", "units: cubits"), "unknown-word"),
        (HEAD.replace("units: mm", "unit: mm"), "unknown-key"),
        (
            HEAD.replace("units: mm", "units: mm\nwelded: [[main_hoop], [main_hoop]]"),
            "twice",
        ),
    ],
)
def test_a_file_that_is_wrong_as_a_whole_is_refused(head, code):
    with pytest.raises(ProblemsFound) as found:
        read(f"{{tape: [{A}, {B}], says: 1254}}", head=head)
    assert code in [p.code for p in found.value.problems]
