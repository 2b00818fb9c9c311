"""The alternatives file: what it says, and every mistake with its place and the nearest word."""

from typing import get_args

import pytest
from pydantic import BaseModel

from cagewright.base.problems import ProblemsFound
from cagewright.compare.cases import cases_of, where_in_case
from cagewright.plan import alternatives
from cagewright.plan.alternatives import read_alternatives, read_alternatives_text
from pushed import EXAMPLES, demo

HEAD = "cagewright_alternatives: 1\ntitle: t\nalternatives:\n"


def read(text):
    return read_alternatives_text(HEAD + text)


def problems(text, head=HEAD):
    with pytest.raises(ProblemsFound) as found:
        read_alternatives_text(head + text)
    return found.value.problems


def test_short_forms_and_places():
    entry = read("""
  - name: a
    changes:
      - remove: header
      - move: {members: dash_bar, places: [start, end, 2], up: 1 in}
""")
    remove, move = entry.alternatives[0].changes
    assert remove.remove.names == ("header",)
    assert move.move.places == (0, -1, 1)
    assert move.move.up == 25.4


def test_bare_lengths_are_in_the_file_s_unit():
    text = (
        HEAD.replace("title: t", "title: t\nunits: in")
        + "  - {name: a, changes: [{move: {point: p, up: 2}}]}"
    )
    entry = read_alternatives_text(text)
    assert entry.alternatives[0].changes[0].move.up == 50.8


@pytest.mark.parametrize(
    ("text", "code", "line", "nearest"),
    [
        ("  - {name: a, changes: [{remov: x}]}", "unknown-key", 4, "remove"),
        ("  - {name: a, changes: [{remove: x, mirror: {name: a, copy_name: b}}]}", "one-of", 4, None),
        ("  - {name: a, changes: [{}]}", "one-of", 4, None),
        ("  - {name: a, changes: [{move: {members: x, places: 0, up: 1}}]}", "no-such-place", 4, None),
        ("  - {name: a, changes: [{move: {members: x, up: 1}}]}", "one-of", 4, None),
        ("  - {name: a, changes: [{move: {members: x, places: 1, up: 1, back: 2}}]}", "one-of", 4, None),
        ("  - {name: a, changes: [{move: {point: p, along: 20}}]}", "one-of", 4, None),
        ("  - {name: a, changes: [{size: {wall: 2}}]}", "one-of", 4, None),
        ("  - {name: a, changes: [{size: {tube: bar}}]}", "one-of", 4, None),
        ("  - {name: a, changes: [{weld: {members: x}}]}", "one-of", 4, None),
        ("  - {name: a, changes: [{foot: {name: f, on: flor}}]}", "unknown-word", 4, "floor"),
        ("  - name: a\n  - name: a", "name-taken", 5, None),
        ("  - name: first one\n  - {name: b, on_top_of: first two}", "unknown-alternative", 5, "first one"),
    ],
)
def test_mistakes_are_located(text, code, line, nearest):
    found = problems(text)
    assert [p.code for p in found] == [code]
    assert (found[0].where.line, found[0].nearest) == (line, nearest)


def test_true_is_no_version():
    """Python holds ``true`` equal to 1; a file's form is a number."""
    [problem] = problems("  - {name: a, changes: [{remove: header}]}\n", HEAD.replace(": 1", ": true", 1))
    assert problem.where.line == 1


def test_a_missing_file_is_a_problem(tmp_path):
    with pytest.raises(ProblemsFound) as found:
        read_alternatives(tmp_path / "none.yaml")
    assert found.value.problems[0].code == "no-file"


def test_every_change_that_cannot_be_made_is_told_at_its_line():
    entry = read("""
  - name: a
    changes:
      - remove: dash_baar
  - name: b
    changes:
      - size: {tube: bar, wall: 2}
      - move: {members: [dash_bar, heder], places: 1, up: 700}
""")
    with pytest.raises(ProblemsFound) as found:
        cases_of(demo()[0], entry)
    assert [(p.where.line, p.nearest) for p in found.value.problems] == [(7, "dash_bar"), (11, "header")]


def test_on_top_of_starts_from_the_earlier_one():
    entry = read("""
  - {name: a, changes: [{remove: dash_bar}]}
  - {name: b, on_top_of: a, changes: [{remove: header_corner}]}
""")
    plan = cases_of(demo()[0], entry)[2].case.plan
    assert "dash_bar" not in plan.members
    assert "header_corner" not in plan.gussets


def test_a_changed_entry_stands_in_the_alternatives_file_and_the_rest_in_the_plan():
    plan = demo()[0]
    entry = read("  - {name: a, changes: [{move: {members: dash_bar, places: 1, up: 705}}]}")
    case = cases_of(plan, entry)[1]
    assert where_in_case(plan, entry, case, ("members", "dash_bar", "path", 0)).file == "alternatives"
    header = where_in_case(plan, entry, case, ("members", "header", "path", 0))
    assert header.file.endswith("brackwater.yaml")
    assert header.line > 0


def keys_of(model):
    """Every key that may stand in the file, down to where a plan's own entries begin."""
    for name, field in model.model_fields.items():
        yield name
        inside = [a for a in walk(field.annotation) if a.__module__ == alternatives.__name__]
        for inner in inside:
            yield from keys_of(inner)


def walk(kind):
    if isinstance(kind, type) and issubclass(kind, BaseModel):
        yield kind
    for part in get_args(kind):
        yield from walk(part)


def test_the_docs_name_every_key_and_their_example_reads():
    text = (EXAMPLES.parent / "docs" / "theory" / "alternatives.md").read_text(encoding="utf-8")
    missing = {
        key for key in keys_of(alternatives.Alternatives) if f"`{key}`" not in text and f"`{key}:" not in text
    }
    assert missing <= {"cagewright_alternatives"}
    example = text.split("## The file")[1].split("`cagewright compare")[0]
    entry = read_alternatives_text("\n".join(line[4:] for line in example.splitlines()))
    assert len(cases_of(demo()[0], entry)) == 2
    for path in (EXAMPLES / "studies").glob("*.yaml"):
        assert f"`{path.name}`" in text


@pytest.mark.parametrize("path", sorted((EXAMPLES / "studies").glob("*.yaml")), ids=lambda p: p.stem)
def test_the_ready_studies_read_and_their_changes_can_be_made(path):
    entry = read_alternatives(path)
    assert len(cases_of(demo()[0], entry)) == len(entry.alternatives) + 1
    assert entry.question.endswith("?")
