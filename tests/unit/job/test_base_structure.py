"""A first cage from seven sizes."""

import pytest

from cagewright.job.base_structure import SIZES, base_structure, wrong_size
from cagewright.job.folder import BadChoice, choices_in, new_plan
from cagewright.plan.read import read_plan_text
from cagewright.shape.resolve import resolve

USUAL = {key: usual for key, (_, usual) in SIZES.items()}


@pytest.mark.parametrize(
    "changed",
    [{}, {"feet": 1000.0}, {"height": 1000.0, "screen": 980.0}, {"front": 1300.0, "ahead": 750.0}],
    ids=["usual", "straight legs", "low", "long"],
)
def test_a_base_structure_can_be_built(changed):
    sizes = USUAL | changed
    cage = resolve(read_plan_text(base_structure(sizes, "mm")))
    assert sorted(m.name for m in cage.members) == [
        "backstay_left", "backstay_right", "front_leg_left", "front_leg_right", "header", "main_hoop",
    ]  # fmt: skip
    hoop = next(m for m in cage.members if m.name == "main_hoop")
    highest = max(float(p.stop[2]) for p in hoop.path.pieces if hasattr(p, "stop"))
    assert highest == pytest.approx(sizes["height"])
    feet = {f.name: f.point for f in cage.feet}
    assert feet["hoop_right"][1] - feet["hoop_left"][1] == pytest.approx(sizes["feet"])
    assert feet["hoop_left"][0] - feet["front_left"][0] == pytest.approx(sizes["front"])
    assert feet["stay_left"][0] - feet["hoop_left"][0] == pytest.approx(sizes["stays"])


def test_sizes_are_read_in_the_units_of_the_tape(tmp_path):
    sizes = {
        "feet": "49",
        "top": '39 3/8"',
        "height": "45",
        "front": "42 1/2",
        "screen": "43 1/4",
        "ahead": "23 5/8",
        "stays": "25 5/8",
    }
    text = new_plan(tmp_path, choices_in({"start": "sizes", "units": "in", "title": "Reed", **sizes}))
    plan = read_plan_text(text, folder=tmp_path)
    assert plan.units == "in"
    assert plan.title == "Reed"
    resolve(plan)


@pytest.mark.parametrize(
    ("sizes", "words"),
    [
        ({"feet": "wide"}, "give a length"),
        ({"top": "1500"}, "no wider at its top"),
        ({"ahead": "1200"}, "further ahead"),
    ],
)
def test_sizes_that_cannot_be_are_told(sizes, words):
    asked = {key: str(usual) for key, usual in USUAL.items()} | sizes
    with pytest.raises(BadChoice, match=words):
        choices_in({"start": "sizes", **asked})


def test_a_size_far_too_great_is_told():
    assert "100 mm to 5 m" in str(wrong_size(USUAL | {"stays": 12000.0}))
