"""The neutral frame file: what it gives, and each mistake named with its place."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from frame_cases import portal_data

from cagewright.base.problems import ProblemsFound
from cagewright.frame.neutral import left_alone, parse_frame, read_frame_file, result_dict, run_push


def codes(data) -> list[str]:
    with pytest.raises(ProblemsFound) as caught:
        parse_frame(json.dumps(data, indent=1), file="f.json")
    return [p.code for p in caught.value.problems]


def test_result_has_the_agreed_keys_and_plain_values():
    model, push = parse_frame(json.dumps(portal_data()))
    answer, seconds = run_push(model, push)
    out = json.loads(json.dumps(result_dict(answer, seconds=seconds)))
    assert set(out) == {"travel_mm", "load_N", "peak_N", "energy_J", "end", "seconds", "stiffness_N_per_mm"}
    assert out["end"] == "reached 100 mm"
    assert out["travel_mm"][-1] == pytest.approx(100.0)
    assert out["peak_N"] == max(out["load_N"])
    assert 0.0 < out["energy_J"] < out["peak_N"] * 0.1
    # the first step of 3 mm is all but linear
    assert out["stiffness_N_per_mm"] == pytest.approx(out["load_N"][1] / out["travel_mm"][1], rel=0.01)


def test_direction_need_not_be_a_unit_and_shear_is_on_unless_said():
    data = portal_data()
    data["load"]["direction"] = [0, -7, 0]
    del data["shear"]
    model, push = parse_frame(json.dumps(data))
    assert push.direction == pytest.approx([0, -1, 0])
    assert model.sections.shear_y[0] == pytest.approx(0.5 * model.sections.area[0])
    data["shear"] = False
    assert parse_frame(json.dumps(data))[0].sections.shear_y[0] == float("inf")


def test_file_is_read_and_a_missing_one_is_a_problem(tmp_path: Path):
    path = tmp_path / "frame.json"
    path.write_text(json.dumps(portal_data()))
    assert len(read_frame_file(path)[0].elements) == 32
    for bad in (tmp_path / "none.json", tmp_path):
        with pytest.raises(ProblemsFound, match="frame-file"):
            read_frame_file(bad)
    path.write_bytes(b"\xff\xfe\x00")
    with pytest.raises(ProblemsFound, match="frame-file"):
        read_frame_file(path)


@pytest.mark.parametrize("text", ["", "[]", "{", "3", '"x"', "null", "[" * 100000])
def test_not_a_frame_at_all(text):
    with pytest.raises(ProblemsFound):
        parse_frame(text)


MISTAKES = [
    ({"nodes": []}, "no-nodes"), ({"nodes": [[0, 0]]}, "not-a-place"), ({"nodes": 5}, "no-nodes"),
    ({"elements": []}, "no-elements"), ({"elements": [[0, 1, 45]]}, "not-an-element"),
    ({"elements": [[0, 99, 45, 2.5]]}, "unknown-node"), ({"elements": [[0, 0.5, 45, 2.5]]}, "unknown-node"),
    ({"elements": [[3, 3, 45, 2.5]]}, "no-length"),
    ({"elements": [[0, 1, 45, 2.5], [1, 0, 38, 2]]}, "repeated"),
    ({"elements": [[0, 1, 45, 25]]}, "absurd-size"), ({"elements": [[0, 1, -45, 2.5]]}, "absurd-size"),
    ({"elements": [[0, 1, 45000, 2.5]]}, "absurd-size"), ({"fixed": []}, "no-support"),
    ({"fixed": [99]}, "unknown-node"), ({"fixed": ["a"]}, "unknown-node"), ({"E": -1}, "absurd-size"),
    ({"E": "stiff"}, "absurd-size"), ({"nu": 0.5}, "absurd-size"), ({"fy": 0}, "absurd-size"),
    ({"hardening": 1.0}, "absurd-size"), ({"shear": 1}, "not-a-switch"), ({"load": 3}, "no-load"),
    ({"load": {"node": 99, "direction": [0, 1, 0], "target": 1}}, "unknown-node"),
    ({"load": {"node": 0, "direction": [0, 1, 0], "target": 1}}, "held-load"),
    ({"load": {"node": 5, "direction": [0, 0, 0], "target": 1}}, "no-direction"),
    ({"load": {"node": 5, "direction": [0, 1, 0], "target": 0}}, "absurd-size"),
    ({"load": {"node": 5, "direction": [0, 1, 0], "target": 1e9}}, "absurd-size"),
    ({"load": {"node": 5, "direction": [0, 1, 0], "target": 1, "x": 1}}, "unknown-key"),
    ({"load": {"node": 5, "direction": [0, 1e-320, 0], "target": 1}}, "no-direction"),
    ({"load": {"node": 5, "direction": [0, 1e300, 0], "target": 1}}, "no-direction"),
    ({"nodes": [*portal_data()["nodes"], [9, 9, 9]],
      "load": {"node": 33, "direction": [0, 1, 0], "target": 1}}, "held-load"),
]  # fmt: skip


@pytest.mark.parametrize(("change", "code"), MISTAKES)
def test_each_mistake_has_its_code(change, code):
    assert code in codes(portal_data(**change))


@pytest.mark.parametrize("digits", [400, 5000])
def test_a_number_of_hundreds_of_digits_is_told_like_any_other_absurd_size(digits):
    long = "9" * digits
    for key, old in (("'E'", '"E": 210000'), ("element 0", "[0, 1, 45"), ("load target", '"target": 100')):
        text = json.dumps(portal_data()).replace(old, old.rsplit(" ", 1)[0] + f" {long}")
        with pytest.raises(ProblemsFound, match=key):
            parse_frame(text)


def test_a_key_given_twice_is_refused_at_its_second_place():
    text = json.dumps(portal_data(), indent=1)
    text = text.replace('"node": 22,', '"node": 22,\n"node": 3,')
    text = text.replace("\n}", ',\n "fy": 900\n}')
    with pytest.raises(ProblemsFound) as caught:
        parse_frame(text, file="f.json")
    twice = {p.found: p.where.line for p in caught.value.problems if p.code == "repeated-key"}
    lines = text.splitlines()
    assert set(twice) == {"'node' is given twice", "'fy' is given twice"}
    assert lines[twice["'fy' is given twice"] - 1].strip() == '"fy": 900'
    assert lines[twice["'node' is given twice"] - 1].strip() == '"node": 3,'


def test_nodes_that_nothing_joins_are_told_and_pushed_all_the_same():
    data = portal_data()
    data["nodes"] += [[5, 5, 5], [0, 600, 0]]
    data["elements"] = [*data["elements"], [4, 34, 38, 2]]
    model, _ = parse_frame(json.dumps(data))
    assert left_alone(model) == (
        "node 33 carries no tube",
        "nodes 32, 34 stand at one place and are not joined there",
    )
    assert left_alone(parse_frame(json.dumps(portal_data()))[0]) == ()


def test_not_numbers_are_caught():
    text = json.dumps(portal_data()).replace("210000", "NaN")
    with pytest.raises(ProblemsFound, match="'E'"):
        parse_frame(text)


def test_unknown_key_offers_the_nearest_and_missing_keys_are_all_named():
    data = portal_data()
    data["elments"] = data.pop("elements")
    del data["fy"]
    with pytest.raises(ProblemsFound) as caught:
        parse_frame(json.dumps(data, indent=1), file="f.json")
    found = {p.code: p for p in caught.value.problems}
    assert found["unknown-key"].nearest == "elements"
    assert len([p for p in caught.value.problems if p.code == "missing-key"]) == 2


def test_problems_name_file_and_line():
    data = portal_data(E=-5)
    with pytest.raises(ProblemsFound) as caught:
        parse_frame(json.dumps(data, indent=1), file="f.json")
    where = caught.value.problems[0].where
    assert where.file == "f.json"
    assert json.dumps(data, indent=1).splitlines()[where.line - 1].strip().startswith('"E"')


def test_several_mistakes_are_told_at_once():
    assert set(codes(portal_data(E=-1, fixed=[99], shear=3))) == {
        "absurd-size",
        "unknown-node",
        "not-a-switch",
    }
