"""Who sits in the car, read from either way of saying it, and the mistakes that can be made there."""

import pytest

from cagewright.base.problems import ProblemsFound
from cagewright.plan.people import mounts_of, occupants, with_mounts
from cagewright.plan.read import read_plan_text
from cagewright.shape.resolve import resolve

HOOP = """
cagewright: 1
title: two seats
tubes: {bar: {od: 45, wall: 2.5, steel: E355+N, clr: 135}}
members:
  hoop: {role: main rollbar, tube: bar, path: [{foot: l}, [1600, -500, 1200], [1600, 500, 1200], {foot: r}]}
feet:
  l: {at: [1600, -600, 200], on: sill, plate: [120, 100, 3]}
  r: {at: [1600, 600, 200], on: sill, plate: [120, 100, 3]}
"""
SEATED = "hip: [1300, {y}, 250], head: [1480, {y}, 890]"
TWO = (
    HOOP
    + f"""
people:
  driver:
    {SEATED.format(y=350).replace(", head", chr(10) + "    head")}
    seat: {{mass: 8, mounts: {{front: {{at: [1100, 350, 150]}}}}}}
    belts: {{mounts: {{lap_left: {{at: [1400, 150, 150]}}}}}}
  codriver:
    hip: [1400, -350, 230]
    belts: {{mounts: {{lap_left: {{at: [1500, -550, 150]}}, shoulder: {{at: {{on: hoop, across: 0}}}}}}}}
"""
)
ONE = (
    HOOP
    + f"driver: {{{SEATED.format(y=-330)}}}\nbelts: {{mounts: {{lap_left: {{at: [1400, -500, 150]}}}}}}\n"
)


def test_people_stand_in_the_plan_s_order_each_with_a_seat_and_belts():
    people = resolve(read_plan_text(TWO)).people
    assert [p.name for p in people] == ["driver", "codriver"]
    assert people[0].seat is not None
    assert people[0].seat.mass == 8.0
    assert people[1].seat is None
    assert [b.mount.name for p in people for b in p.belts.mounts] == [
        "driver.lap_left", "codriver.lap_left", "codriver.shoulder",
    ]  # fmt: skip
    assert [b.belts for b in people[1].belts.mounts] == [("lap",), ("shoulder",)]
    assert people[1].belts.mounts[1].mount.member == "hoop"


def test_a_lone_driver_is_the_same_whichever_way_it_is_said():
    inside = HOOP + (
        f"people: {{driver: {{{SEATED.format(y=-330)}, "
        "belts: {mounts: {lap_left: {at: [1400, -500, 150]}}}}}\n"
    )
    old, new = (resolve(read_plan_text(text)).people for text in (ONE, inside))
    assert old[0].name == new[0].name == "driver"
    assert [b.mount.name for b in old[0].belts.mounts] == [b.mount.name for b in new[0].belts.mounts]
    assert old[0].body.hip == new[0].body.hip


def test_the_revision_of_a_plan_that_names_no_people_is_as_it_was():
    """Marks printed by earlier releases stand on papers: the demo's is in its golden sheets."""
    assert "people" not in read_plan_text(ONE).model_dump(exclude_defaults=True)
    assert resolve(read_plan_text(ONE)).revision != resolve(read_plan_text(TWO)).revision


@pytest.mark.parametrize(
    ("text", "line", "words"),
    [
        (TWO.replace("  driver:", "  pilot:"), 11, ("nobody who drives", "driver: ...")),
        (TWO + "seat: {mass: 9}\n", 20, ("beside 'people'", "people: {driver: {seat: ...}}")),
        (TWO + f"driver: {{{SEATED.format(y=1)}}}\n", 20, ("beside 'people'", "people: {driver: ...}")),
        (TWO.replace("hip: [1400", "hipp: [1400"), 18, ("hipp", "hip")),
        (TWO.replace("on: hoop, across", "on: hop, across"), 19, ("hop", "hoop")),
        (
            TWO.replace("lap_left: {at: [1500, -550, 150]}", "lap_left: {at: [1500, -550]}"),
            19,
            ("lap_left", "[back, across, up]"),
        ),
    ],
)
def test_a_mistake_among_the_people_has_its_line_and_the_nearest_word(text, line, words):
    with pytest.raises(ProblemsFound) as found:
        resolve(read_plan_text(text))
    told = found.value.problems
    assert line in {p.where.line for p in told}, [str(p) for p in told]
    said = " ".join(f"{p.found} {p.wanted} {p.nearest}" for p in told)
    assert all(word in said for word in words), said


def test_mounts_are_found_and_changed_by_their_name_in_the_whole_car():
    plan = read_plan_text(TWO)
    assert [(holder, name) for holder, name, _, _ in mounts_of(plan)] == [
        ("belts", "driver.lap_left"), ("seat", "driver.front"),
        ("belts", "codriver.lap_left"), ("belts", "codriver.shoulder"),
    ]  # fmt: skip
    less = with_mounts(plan, lambda _, name, mount: None if name == "codriver.lap_left" else mount)
    assert [name for _, name, _, _ in mounts_of(less)] == [
        "driver.lap_left",
        "driver.front",
        "codriver.shoulder",
    ]
    assert [one.name for one in occupants(less)] == ["driver", "codriver"]
    assert less.people["driver"] == plan.people["driver"]
