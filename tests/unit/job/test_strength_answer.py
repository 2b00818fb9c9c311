"""Pictures and tables of a push: what is drawn where, what is said when it cannot be told."""

import re
from dataclasses import replace

import numpy as np
import pytest

from cagewright.frame.results import Event, Moment, PartRoom, Rise, SurvivalSpace, TubePlace
from cagewright.frame.run import run
from cagewright.job.opening import open_job
from cagewright.job.strength import answer_of, push_answer, strength_papers
from cagewright.make.projection import on_paper
from cagewright.make.ramp import ramp
from cagewright.make.strength_drawing import NUMBERED, bent_view, load_drawing, numbered, use_view
from cagewright.make.svg import to_svg
from cagewright.make.views import FRAMES
from pushed import COARSE, EXAMPLES, roll_bar, summary


@pytest.fixture(scope="module")
def results():
    return summary("main-hoop-down").results[0]


@pytest.fixture(scope="module")
def cage():
    return roll_bar()[2]


def cells(table):
    return {row[0]: row[1:] for row in table.rows}


def test_each_tube_has_the_colour_of_its_use(results, cage):
    drawing = use_view(cage, results)
    inks = {s.look.ink for s in drawing.strokes if s.look and s.look.width == 0.0}
    for use in results.members:
        assert ramp(round(min(use.most, 1.0), 2)) in inks
    words = {label.text for label in drawing.labels}
    assert {"0", "0.25", "0.5", "0.75", "1", "bends through here"} <= words


def test_the_bent_cage_is_drawn_at_true_size_over_the_cage_at_rest(results, cage):
    shape = results.shapes[-1]
    drawing = bent_view(cage, results, shape, "front")
    view = replace(FRAMES["front"], scale=drawing.scale)
    heavy = [s.points for s in drawing.strokes if s.layer == "tube"]
    assert len(heavy) == len(cage.members)
    for points, line in zip(heavy, shape.lines, strict=True):
        assert np.allclose(points, on_paper(view, line))
    assert any(f"{shape.travel:.0f} mm" in label.text for label in drawing.labels)


def test_the_platen_is_drawn_where_it_touches(results, cage):
    """Pressed straight down, its edge lies a tube's radius above the highest bent centre line."""
    shape = results.shapes[-1]
    drawing = bent_view(cage, results, shape, "front")
    ring = next(s for s in drawing.strokes if s.layer == "selected")
    top = max(float(line[:, 2].max()) for line in shape.lines) + 22.5
    assert np.allclose(ring.points[:, 1] / drawing.scale, top, atol=1.0)


def test_what_gives_is_numbered_in_order_and_only_the_first_dozen(results, cage):
    spot = TubePlace(member="main_hoop", along=300.0, words="here")
    many = tuple(
        Event(kind="hinge", travel=float(k), load=1e3 * k, spot=spot, words="it bends") for k in range(1, 31)
    )
    first = Event(kind="yield", travel=0.5, load=500.0, spot=spot, words="starts to yield")
    made = replace(results, order=(first, *many))
    assert [n for n, _ in numbered(made)][:3] == [1, 2, 3]
    words = [label.text for label in bent_view(cage, made, results.shapes[-1]).labels]
    assert str(NUMBERED) in words
    assert str(NUMBERED + 1) not in words
    order = next(t for t in push_answer(cage, made).tables if t.title.startswith("What gives"))
    assert order.rows[0] == ("1", "1 mm", "1.0 kN", "it bends")
    assert order.rows[-1][3] == "and 10 more places after these"


def test_the_curve_says_where_it_peaks(results):
    words = " ".join(label.text for label in load_drawing(results, "mm").labels)
    assert f"{results.peak.load / 1e3:.1f} kN" in words


def facts_of(cage, results):
    return cells(push_answer(cage, results).tables[0])


def test_a_load_that_still_rises_is_a_lower_bound(results, cage):
    for passed, mark in ((True, ""), (False, "≥ ")):
        made = replace(results, peak=replace(results.peak, passed=passed))
        said = facts_of(cage, made)["largest load"][0]
        assert said.startswith(f"{mark}{made.peak.load / 1e3:.1f}")


def test_a_stalled_push_says_cannot_tell(results, cage):
    end = float(results.travel[-1])
    cut = replace(results.counted, kind="cannot tell")
    stalled = replace(results, reached=False, end="stalled", moments=(cut,))
    facts = facts_of(cage, stalled)
    assert facts["how it ended"] == (f"counted to {end:.1f} mm; cannot tell what comes after",)
    for name in ("largest load", "energy taken up"):
        assert facts[name][0].startswith("≥ "), name
    assert any(s.layer == "wrong" for s in load_drawing(stalled, "mm").strokes)
    answer = push_answer(cage, stalled)
    assert (answer.level, answer.end.level) == ("cannot tell", "cannot tell")
    assert any("stalled" in caution for caution in answer.cautions)


@pytest.mark.parametrize(
    ("kind", "words"),
    [
        ("first touch", "counted to first touch at 20 mm: the main hoop touches the driver's torso"),
        ("first tear", "counted to first tear at 20 mm: the main hoop tears"),
        ("first rupture", "counted to first rupture at 20 mm: the main hoop breaks"),
        ("cannot tell", "counted to 20.0 mm; cannot tell what comes after"),
        ("end of travel", "counted to the end of travel, 20 mm"),
    ],
)
def test_a_push_counts_to_the_first_of_what_ends_it_and_says_which(results, cage, kind, words):
    said = kind.startswith("first")
    first = Moment(
        kind=kind, travel=20.0, load=1000.0, energy=12.0, what="main_hoop" if said else "", spot=None,
        to="driver's torso" if kind == "first touch" else "",
    )  # fmt: skip
    made = replace(results, moments=(first, *results.moments))
    words += "; followed to 75 mm" if said else ""
    answer = push_answer(cage, made)
    assert answer.end.words == words
    assert answer.counted.kind == kind
    figures = {f.key: f for f in answer.figures}
    assert figures["energy"].value.value == 12.0
    assert figures["energy"].value.said == ("≥ 12 J" if kind == "cannot tell" else "12 J")
    assert answer.counted.words in answer.headline
    assert answer.headline.startswith(f"{made.push.title}: takes up {figures['energy'].value.said}, ")
    past = figures["beyond"].value.value
    assert past == (float(results.work[-1]) if said else None)


def test_a_largest_load_that_one_foot_takes_says_so(results, cage):
    """A pole that comes to a seat rail: the jump is the rail's, not the cage's."""
    peak = results.peak
    rise = Rise(start=peak.travel - 1.0, stop=peak.travel, low=peak.load - 10_000.0, high=peak.load,
                feet=(("stay_left", 9000.0),), met=("backstay_left",))  # fmt: skip
    answer = push_answer(cage, replace(results, rises=(rise,)))
    words = "10.0 kN of it once the platen is at backstay left, most on foot stay left"
    assert f"largest load {peak.load / 1e3:.1f} kN ({words})" in answer.headline.replace("≥ ", "")
    assert next(f for f in answer.figures if f.key == "peak").words.endswith(words)
    (row,) = next(t for t in answer.tables if t.title == "Where the load climbs again").rows
    assert row[2] == "the platen comes to backstay left; taken by foot stay left of backstay left (+9.0 kN)"
    before = replace(rise, start=1.0, stop=2.0)
    assert " of it " not in push_answer(cage, replace(results, rises=(before,))).headline


def test_what_is_left_to_each_person_is_told(results, cage):
    def part(name, touched, least):
        return PartRoom(person="driver", part=name, by="main_hoop", rest=80.0, least=least, touched=touched,
                        doubt=10.0, source="made up")  # fmt: skip

    room = SurvivalSpace(
        parts=(part("torso", 30.0, 12.0), part("helmet", None, 40.0)), inside=("dash bar in his lap",),
        followed=75.0,
    )  # fmt: skip
    made = replace(
        results,
        room=room,
        moments=(replace(results.counted, kind="first tear", travel=20.0, what="main_hoop"),),
    )
    answer = push_answer(cage, made)
    table = next(t for t in answer.tables if t.title == "Left to the people")
    assert table.rows[0] == ("driver's torso", "80 ± 10 mm", "12 mm", "main hoop", "30 mm, not counted")
    assert table.rows[1][-1] == "–"
    assert answer.room.startswith("12 mm are left from the driver's torso to main hoop")
    assert "Not looked at, for it stands there before the push: dash bar in his lap." in answer.room
    assert any("stands there before the push: dash bar in his lap" in caution for caution in answer.cautions)


def test_a_fall_is_told_in_the_plan_s_units(results, cage):
    fell = replace(results, falls=((25.4, 44482.216, 22241.108),))
    assert push_answer(cage, fell).end.words.endswith("gave way at once at 25.4 mm from 44.5 kN to 22.2 kN")
    inch = push_answer(replace(cage, units="in"), fell).end.words
    assert inch.endswith('gave way at once at 1" from 10000 lbf to 5000 lbf')


def test_an_inch_plan_has_no_metric_unit_left(cage):
    """In figures, tables, the curve's axes and the pictures' words alike."""
    inch = replace(cage, units="in")
    ran = run(inch, ("main-hoop-down",), COARSE)
    (results,), answer = ran.results, answer_of(inch, ran)
    (push,) = answer.pushes
    said = [answer.mass.said, answer.torsion.said, push.end.words, push.headline, push.joints_words]
    said += [cell for table in (*answer.tables, *push.tables) for row in table.rows for cell in row]
    said += [words for f in push.figures for words in (f.value.said, f.words)]
    drawn = [load_drawing(results, "in"), bent_view(inch, results, results.shapes[-1])]
    said += [label.text for drawing in drawn for label in drawing.labels]
    metric = [words for words in said if re.search(r"\d ?(mm|kN|N|J|kg|MPa|N m)\b", words)]
    assert metric == []
    assert (push.curve.x.unit, push.curve.y.unit) == ("in", "lbf")
    assert push.curve.travel[-1] == pytest.approx(results.travel[-1], abs=0.01)


def test_a_wanted_load_is_told_in_the_plan_s_units(results, cage):
    titles = {t.title for t in push_answer(cage, results).tables}
    assert "Loads wanted" in titles
    words = push_answer(replace(cage, units="in"), results).wanted[0].words
    assert " kN" not in words
    assert "lbf" in words or "cannot tell" in words


def test_each_way_of_the_joints_is_told_and_the_worst_counts(results, cage):
    answer = push_answer(cage, results)
    assert answer.joints_words.startswith("Joints are modelled in 3 ways and the worst counts: joints that ")
    assert "lies between rigid and the formula at its range's edge" in answer.joints_words
    assert [w.counts for w in answer.ways].count(True) == 1
    counted = next(w for w in answer.ways if w.counts)
    assert counted.energy.value == min(w.energy.value for w in answer.ways)
    assert counted.energy.value == pytest.approx(results.counted.energy)
    assert any(t.title == "Each way the joints may behave" and len(t.rows) == 3 for t in answer.tables)


def test_joints_that_do_not_give_are_said_with_how_many_are_over(results, cage):
    use = replace(results.joints[0], over=3.0, over_load=12_100.0, most=1.4)
    report = replace(results, joints=(use, use), choices=replace(results.choices, joints="report"), bounds=())
    assert push_answer(cage, report).joints_words == (
        "Joints do not give in this model; 2 joints are over their strength, the first from 12.1 kN on."
    )
    giving = replace(report, choices=replace(results.choices, joints="yield"))
    assert push_answer(cage, giving).joints_words == ""


def test_the_sheets_hold_pictures_tables_and_cautions():
    answer, (whole, *each) = strength_papers(open_job(EXAMPLES / "roll-bar.yaml"))
    assert {sheet.kind for sheet in (whole, *each)} == {"strength"}
    assert "compare alternatives before trusting" in whole.notes[0]
    assert any("from memory" in note for note in whole.notes)
    assert [len(sheet.drawings) for sheet in each] == [4] * len(answer.pushes)
    titles = {t.title for t in each[0].tables}
    assert {"What gives, in order", "Feet on the shell", "Tubes"} <= titles
    assert each[0].tables == answer.pushes[0].tables
    assert all(to_svg(d).startswith("<svg") for d in each[0].drawings)
