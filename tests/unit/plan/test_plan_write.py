"""Editing in place: the edit is made, and nothing else changes. Checked with a general YAML reader."""

import difflib
from pathlib import Path
from typing import Any

import pytest
from ruamel.yaml import YAML

from cagewright.base.problems import ProblemsFound
from cagewright.plan.source import Keys
from cagewright.plan.write import Document, document, load_document, remove, save, set_length, set_value

EXAMPLES = sorted((Path(__file__).parents[3] / "examples").glob("*.yaml"))
TEXT = """\
# Heading, kept.
cagewright: 1
title:   Spaced out      # a comment
units: mm

tubes:                   # all bought
  bar:  {od: 38, wall: 2.50, steel: E355+N}   # aligned

members:
  # about the hoop
  hoop:
    role: main rollbar
    path:
      - {foot: base}     # left
      - [1450, -430.50, 1120]
      - sill
  stay:
    role: backstay
    path: [{on: hoop, up: 25 1/4 in}, [1, 2, 3]]

empty: {}
none: []
note: |
  Two lines
  of text.
"""


def load(text: str) -> Any:
    return YAML(typ="safe", pure=True).load(text)


def changed(old: str, new: str) -> tuple[list[str], list[str]]:
    """Lines gone and lines come."""
    diff = list(difflib.ndiff(old.splitlines(), new.splitlines()))
    return [d[2:] for d in diff if d.startswith("- ")], [d[2:] for d in diff if d.startswith("+ ")]


def edited(text: str, keys: Keys, value: object) -> tuple[list[str], list[str]]:
    """What setting the value changes, after a check that it reads back as it should."""
    new = set_value(document(text), keys, value).text
    wanted = load(text)
    here = wanted
    for key in keys[:-1]:
        here = here[key]
    if isinstance(here, list) and keys[-1] == len(here):
        here.append(value)
    else:
        here[keys[-1]] = value
    assert load(new) == wanted
    return changed(text, new)


@pytest.mark.parametrize("path", EXAMPLES, ids=[p.name for p in EXAMPLES])
def test_loaded_then_saved_is_the_same_bytes(path: Path, tmp_path: Path):
    save(load_document(path), tmp_path / "copy.yaml")
    assert (tmp_path / "copy.yaml").read_bytes() == path.read_bytes()


@pytest.mark.parametrize("raw", [b"\xef\xbb\xbfa: 1\r\nb: [2]  # x\r\n", b"a: 1", b"a: 'caf\xc3\xa9'\n\n\n"])
def test_marks_and_line_ends_stay(raw: bytes, tmp_path: Path):
    (tmp_path / "a.yaml").write_bytes(raw)
    plan = load_document(tmp_path / "a.yaml")
    save(plan, tmp_path / "b.yaml")
    assert (tmp_path / "b.yaml").read_bytes() == raw
    save(set_value(plan, ("c",), {"d": [1, 2]}), tmp_path / "c.yaml")
    new = (tmp_path / "c.yaml").read_bytes()
    assert new.startswith(raw.rstrip())
    assert new.count(b"\r\n") == (new.count(b"\n") if b"\r" in raw else 0)


@pytest.mark.parametrize(
    ("keys", "value", "gone", "come"),
    [
        (("title",), "New", "title:   Spaced out      # a comment", "title:   New      # a comment"),
        (("tubes", "bar", "wall"), 2.6, "  bar:  {od: 38, wall: 2.50, steel: E355+N}   # aligned",
         "  bar:  {od: 38, wall: 2.6, steel: E355+N}   # aligned"),
        (("members", "hoop", "path", 1, 1), -431, "      - [1450, -430.50, 1120]",
         "      - [1450, -431, 1120]"),
        (("members", "hoop", "path", 0), {"foot": "other"}, "      - {foot: base}     # left",
         "      - {foot: other}     # left"),
        (("members", "stay", "role"), "diagonal", "    role: backstay", "    role: diagonal"),
        (("members", "stay", "path", 0, "on"), "a: b", "    path: [{on: hoop, up: 25 1/4 in}, [1, 2, 3]]",
         '    path: [{on: "a: b", up: 25 1/4 in}, [1, 2, 3]]'),
    ],
)  # fmt: skip
def test_a_value_is_replaced_and_its_line_kept(keys: Keys, value: object, gone: str, come: str):
    assert edited(TEXT, keys, value) == ([gone], [come])


@pytest.mark.parametrize(
    ("keys", "value", "come"),
    [
        (("tubes", "thin"), {"od": 30}, ["  thin: {od: 30}"]),
        (("members", "hoop", "tube"), "bar", ["    tube: bar"]),
        (("members", "hoop", "path", 3), [1, 2, 3], ["      - [1, 2, 3]"]),
        (
            ("members", "brace"),
            {"role": "diagonal", "path": ["a", "b"]},
            ["  brace: {role: diagonal, path: [a, b]}"],
        ),
        (("tail",), "a line\nand another", ['tail: "a line\\nand another"']),
        (("tail",), {"a": {"b": 1}}, ["tail:", "  a: {b: 1}"]),
    ],
)
def test_a_value_is_added_on_a_line_of_its_own(keys: Keys, value: object, come: list[str]):
    gone, new = edited(TEXT, keys, value)
    assert (gone, [line for line in new if line]) == ([], come)


@pytest.mark.parametrize(
    ("keys", "value", "come"),
    [
        (("tubes", "bar", "clr"), 114, "  bar:  {od: 38, wall: 2.50, steel: E355+N, clr: 114}   # aligned"),
        (("members", "stay", "path", 2), "sill", "    path: [{on: hoop, up: 25 1/4 in}, [1, 2, 3], sill]"),
        (("empty", "a"), 1, "empty: {a: 1}"),
        (("none", 0), {"a": 1}, "none: [{a: 1}]"),
    ],
)
def test_a_value_is_added_in_its_line(keys: Keys, value: object, come: str):
    assert edited(TEXT, keys, value)[1] == [come]


def test_lines_become_lines_and_a_single_value_becomes_one():
    assert edited(TEXT, ("members", "hoop", "path"), [["a"], "b"])[1] == ["      - [a]", "      - b"]
    assert edited(TEXT, ("members", "hoop", "path"), "gone")[1] == ["    path: gone"]
    assert edited(TEXT, ("note",), "short")[1] == ["note: short"]
    long = {f"key{i}": [i, i, i] for i in range(20)}
    assert len(edited(TEXT, ("members", "long"), long)[1]) == 21


def test_missing_keys_are_made():
    plan = set_value(document(TEXT), ("plates", "web", "corners"), ["a", "b", "c"])
    assert load(plan.text)["plates"] == {"web": {"corners": ["a", "b", "c"]}}
    assert plan.text.startswith(TEXT)


@pytest.mark.parametrize(
    ("keys", "gone"),
    [
        (("members", "hoop", "path", 0), ["      - {foot: base}     # left"]),
        (("members", "hoop", "path", 2), ["      - sill"]),
        (("members", "hoop", "role"), ["    role: main rollbar"]),
        (("members", "stay"), ["  stay:", "    role: backstay",
                               "    path: [{on: hoop, up: 25 1/4 in}, [1, 2, 3]]"]),
        (("tubes", "bar"), ["", "tubes:                   # all bought",
                            "  bar:  {od: 38, wall: 2.50, steel: E355+N}   # aligned"]),
        (("note",), ["note: |", "  Two lines", "  of text."]),
        (("empty",), ["empty: {}"]),
    ],
)  # fmt: skip
def test_a_value_on_lines_of_its_own_goes_with_its_lines(keys: Keys, gone: list[str]):
    assert changed(TEXT, remove(document(TEXT), keys).text) == (gone, [])


@pytest.mark.parametrize(
    ("keys", "come"),
    [
        (("tubes", "bar", "wall"), "  bar:  {od: 38, steel: E355+N}   # aligned"),
        (("tubes", "bar", "od"), "  bar:  {wall: 2.50, steel: E355+N}   # aligned"),
        (("tubes", "bar", "steel"), "  bar:  {od: 38, wall: 2.50}   # aligned"),
        (("members", "stay", "path", 0), "    path: [[1, 2, 3]]"),
        (("members", "stay", "path", 1), "    path: [{on: hoop, up: 25 1/4 in}]"),
        (("members", "hoop", "path", 1, 2), "      - [1450, -430.50]"),
    ],
)
def test_a_value_in_a_line_goes_with_its_comma(keys: Keys, come: str):
    assert changed(TEXT, remove(document(TEXT), keys).text)[1] == [come]


def test_the_first_key_beside_a_dash():
    text = "a:\n  - x: 1\n    y: 2\n  - z: 3\n"
    assert load(remove(document(text), ("a", 0, "x")).text) == {"a": [{"y": 2}, {"z": 3}]}
    assert load(remove(document(text), ("a", 1, "z")).text) == {"a": [{"x": 1, "y": 2}]}


@pytest.mark.parametrize(
    ("old", "mm", "new"),
    [
        ("1450", 1460.1239, "1460.124"), ("-430.50", -12, "-12"), ("25 1/4 in", 44.45, "1 3/4 in"),
        ("25 1/4 in", 44.0, "1.73228 in"), ("25 1/4 in", -6.35, "-1/4 in"),
    ],
)  # fmt: skip
def test_a_length_keeps_its_unit(old: str, mm: float, new: str):
    keys: dict[str, Keys] = {
        "1450": ("members", "hoop", "path", 1, 0),
        "-430.50": ("members", "hoop", "path", 1, 1),
        "25 1/4 in": ("members", "stay", "path", 0, "up"),
    }
    assert set_length(document(TEXT), keys[old], mm).text == TEXT.replace(old, new)


@pytest.mark.parametrize(
    ("old", "mm", "new"),
    [
        ("45 mm", 46.5, "46.5 mm"), ("45mm", 46, "46mm"), ("4.5 cm", 46, "4.6 cm"), ("3 m", 2500, "2.5 m"),
        ('1"', 50.8, '2"'), ("1 ft", 609.6, "2 ft"), ("2", 50.8, "2"), ("2", 51, "2.00787"),
    ],
)  # fmt: skip
def test_lengths_in_other_units(old: str, mm: float, new: str):
    text = f"units: in\na: {{b: {old}}}\n"
    assert set_length(document(text), ("a", "b"), mm).text == f"units: in\na: {{b: {new}}}\n"


SHARED = "a: &one {x: 1, y: [1, 2]}\nb: *one\nc: [*one]\n"


@pytest.mark.parametrize("keys", [("a", "x"), ("b", "x"), ("a", "y", 0), ("c", 0, "y", 1), ("a",)])
def test_a_value_that_several_places_share_is_not_edited(keys: Keys):
    with pytest.raises(ProblemsFound, match=r"cannot be edited by itself.*\[cannot-edit\]"):
        set_value(document(SHARED), keys, 7)


def test_an_alias_itself_can_be_replaced():
    assert set_value(document(SHARED), ("b",), 7).text == SHARED.replace("b: *one", "b: 7")


@pytest.mark.parametrize(
    "keys", [("nothing",), ("title", "x"), ("members", "hoop", "path", 7), ("members", 0)]
)
def test_what_is_not_there_cannot_be_removed(keys: Keys):
    with pytest.raises(ProblemsFound, match="cannot-edit"):
        remove(document(TEXT), keys)


@pytest.mark.parametrize("keys", [("title", "x"), ("members", "hoop", "path", 7), ("members", 0)])
def test_what_has_no_place_cannot_be_set(keys: Keys):
    with pytest.raises(ProblemsFound, match="cannot-edit"):
        set_value(document(TEXT), keys, 1)


@pytest.mark.parametrize("value", [float("nan"), float("inf"), None, object()])
def test_what_is_no_value_is_the_callers_mistake(value: object):
    with pytest.raises(ValueError):
        set_value(document(TEXT), ("title",), value)


def test_text_that_is_not_yaml_is_no_document():
    with pytest.raises(ProblemsFound, match="syntax"):
        document("a: [")


def test_edits_follow_one_another():
    plan: Document = document(TEXT)
    for i in range(5):
        plan = set_value(plan, ("members", f"m{i}"), {"role": "diagonal", "path": [[i, 0, 0], [0, i, 1]]})
        plan = set_length(plan, ("members", f"m{i}", "path", 0, 2), 10.0 * i)
    for i in range(5):
        plan = remove(plan, ("members", f"m{i}"))
    assert plan.text == TEXT
