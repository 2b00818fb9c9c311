"""Surveys measured: points, slips of 50 mm, what cannot be, what is missing, left and right."""

from dataclasses import replace

import numpy as np
import pytest

from bodies import BODIES, HATCH, SALOON, placed, survey, without
from cagewright.draft.measured import measured
from cagewright.plan.survey import DistanceEntry, SurveyFile


def edited(file: SurveyFile, **changes) -> SurveyFile:
    """The survey with parts of readings replaced, or taken out where None."""
    readings = {name: dict(parts) for name, parts in file.readings.items()}
    for name, parts in changes.items():
        for part, values in parts.items():
            if values is None:
                readings[name].pop(part)
            else:
                readings[name][part] = values
    return file.model_copy(update={"readings": readings})


def grave(file: SurveyFile) -> list[tuple[str, str, str]]:
    return [
        (n.kind, n.reading, n.part) for n in measured(file).notes if n.kind in ("slip", "impossible", "range")
    ]


@pytest.mark.parametrize("body", BODIES.values(), ids=BODIES)
def test_exact_readings_give_the_points_back(body):
    found = measured(survey(body))
    for name, place in placed(body).items():
        assert found.points[name] == pytest.approx(place, abs=0.01)
    assert grave(survey(body)) == []


@pytest.mark.parametrize("body", BODIES.values(), ids=BODIES)
def test_a_careful_mans_scatter_is_no_slip(body):
    for seed in range(3):
        assert grave(survey(body, noise=1.5, seed=seed)) == []


@pytest.mark.parametrize(
    ("reading", "part", "index"),
    [
        ("waist", "left", 0), ("sill_side", "right", 0), ("cant_rail", "left", 1), ("upper_side", "right", 1),
        ("hoop_widths", "waist", 0), ("hoop_cross", "left", 0), ("front_foot", "left", 0),
        ("pillar_base", "right", 1), ("pillar_top", "left", 2), ("pillar_length", "left", 0),
        ("rail_mid", "right", 0), ("turret", "left", 0), ("turret_checks", "width", 0),
        ("hoop_station", "", 0),
        ("foot_cross", "right", 0),
    ],
)  # fmt: skip
@pytest.mark.parametrize("slip", [50.0, -50.0])
def test_a_slip_of_50_mm_is_named(reading, part, index, slip):
    file = survey(SALOON, noise=1.0)
    values = list(file.readings[reading][part])
    values[index] += slip
    found = measured(edited(file, **{reading: {part: tuple(values)}}))
    slips = [n for n in found.notes if n.kind == "slip"]
    assert (slips[0].reading, slips[0].part) == (reading, part)


@pytest.mark.parametrize("reading", ["helmet", "hip"])
def test_a_slip_at_the_driver_is_seen_and_brought_home_to_his_points(reading):
    # three points and four distances: enough to see a slip, not always to tell which of them it is
    values = list(survey(SALOON).readings[reading][""])
    values[2] += 50.0
    slips = [
        n
        for n in measured(edited(survey(SALOON), **{reading: {"": tuple(values)}})).notes
        if n.kind == "slip"
    ]
    assert slips[0].reading in ("hip", "helmet", "eye", "seat_checks")


def test_a_slip_is_left_out_of_the_points():
    file = survey(SALOON)
    half, up = file.readings["waist"]["left"]
    found = measured(edited(file, waist={"left": (half - 50.0, up)}))
    assert found.points["waist_left"][1] == pytest.approx(-half, abs=0.1)


def test_what_cannot_be_is_said_and_not_blamed_on_one_reading():
    low = {n: p - np.array([0.0, 0.0, 400.0]) for n, p in placed(SALOON).items() if n.startswith("cant_rail")}
    kinds = {kind for kind, _, _ in grave(survey(SALOON, moved=low))}
    assert "impossible" in kinds
    assert "slip" not in kinds


def test_a_rail_read_low_is_put_right_by_what_was_taped_to_it():
    file = survey(SALOON)
    low = {p: (half, up - 400.0) for p, (half, up) in file.readings["cant_rail"].items()}
    found = measured(edited(file, cant_rail=low))
    assert {(n.kind, n.reading) for n in found.notes if n.kind in ("slip", "impossible")} == {
        ("slip", "cant_rail")
    }
    assert found.points["cant_rail_left"] == pytest.approx(placed(SALOON)["cant_rail_left"], abs=0.5)


def test_a_helmet_through_the_roof_cannot_be():
    high = {"helmet": placed(SALOON)["helmet"] + np.array([0.0, 0.0, 385.0])}
    notes = measured(survey(SALOON, moved=high)).notes
    assert [n.reading for n in notes if n.kind == "impossible"] == ["helmet"]


def test_a_triangle_that_does_not_close_cannot_be():
    file = survey(SALOON)
    far = DistanceEntry(between=("waist_left", "cant_rail_left"), distance=3000.0)
    near = DistanceEntry(between=("waist_left", "cant_rail_right"), distance=900.0)
    found = measured(file.model_copy(update={"distances": (far, near)}))
    assert any(n.kind == "impossible" and "triangle" in n.advice for n in found.notes)


def test_distances_stand_in_for_a_coordinate_that_is_hard_to_take():
    file = survey(SALOON)
    where = placed(SALOON)
    ends = ("cant_rail_left", "cant_rail_right", "sill_side_left", "sill_side_right")
    reach = tuple(
        DistanceEntry(
            between=("turret_left", e), distance=float(np.linalg.norm(where["turret_left"] - where[e]))
        )
        for e in ends
    )
    bare = edited(file, turret={"left": None})
    found = measured(bare.model_copy(update={"distances": reach}))
    assert found.points["turret_left"] == pytest.approx(where["turret_left"], abs=1.0)
    assert "turret_left" not in found.mirrored


def test_a_side_that_was_not_read_is_the_other_sides_mirror():
    file = survey(SALOON)
    gone = {"turret": {"left": None}, "turret_checks": dict.fromkeys(file.readings["turret_checks"])}
    found = measured(edited(file, **gone))
    assert "turret_left" in found.mirrored
    assert found.points["turret_left"] == pytest.approx(placed(SALOON)["turret_left"], abs=0.1)
    assert next(n.kind for n in found.notes if n.reading == "turret") == "stood in"


def test_missing_readings_say_what_they_are_for_and_which_matter():
    gone = {"turret": ("left", "right"), "dash": ("",), "roof_mid": ("",)}
    file = without(survey(SALOON), *(r for r in gone))
    missing = {n.reading: n for n in measured(file).notes if n.kind == "missing"}
    assert set(missing) == set(gone)
    assert missing["turret"].matters
    assert "backstays" in missing["turret"].advice
    assert not missing["dash"].matters


def test_a_mark_that_was_not_read_is_found_from_what_was_taped_to_it():
    found = measured(edited(survey(SALOON), dash={"": None}, roof_mid={"": None}))
    assert found.dash == pytest.approx(SALOON.dash, abs=0.5)
    assert {n.reading for n in found.notes if n.kind == "stood in"} == {"dash", "roof_mid"}


def test_left_and_right_are_compared_in_mm():
    uneven = [n for n in measured(survey(replace(HATCH, skew=9.0))).notes if n.kind == "uneven"]
    waist = next(n for n in uneven if n.reading == "waist")
    assert "9 mm further out" in waist.found
    assert [n for n in measured(survey(HATCH)).notes if n.kind == "uneven"] == []


def test_a_number_outside_every_cars_range_is_doubtful():
    assert ("range", "floor_height", "left") in grave(
        edited(survey(SALOON), floor_height={"left": (1300.0,)})
    )


def test_a_stick_that_contradicts_the_gauge_is_doubtful():
    assert ("range", "back_angle", "") in grave(edited(survey(SALOON), back_offset={"": (137.0,)}))


def test_a_gauge_that_contradicts_the_marks_is_doubtful():
    lean = survey(SALOON).readings["pillar_lean"]["left"][0]
    assert ("range", "pillar_lean", "left") in grave(
        edited(survey(SALOON), pillar_lean={"left": (lean + 0.1,)})
    )
