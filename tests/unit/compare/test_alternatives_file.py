"""The alternatives file: what it says, and every mistake with its place and the nearest word."""

from typing import get_args

import pytest
from pydantic import BaseModel

from cagewright.base.problems import ProblemsFound
from cagewright.compare.cases import cases_of, where_in_case
from cagewright.plan import alternatives
from cagewright.plan.alternatives import read_alternatives, read_alternatives_text
from cagewright.plan.read import read_plan
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
        ("  - {name: a, changes: [{move: {members: x, places: 1, along: 1, back: 2}}]}", "one-of", 4, None),
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
    """Every key of the file but those of its changes."""
    for name, field in model.model_fields.items():
        yield name
        for inner in walk(field.annotation):
            if inner.__module__ == alternatives.__name__:
                yield from keys_of(inner)


def walk(kind):
    if isinstance(kind, type) and issubclass(kind, BaseModel):
        yield kind
    for part in get_args(kind):
        yield from walk(part)


def test_the_docs_name_every_key_and_their_example_reads():
    docs = EXAMPLES.parent / "docs"
    text = (docs / "alternatives.md").read_text(encoding="utf-8")
    keys = keys_of(alternatives.Alternatives)
    assert [key for key in keys if f"`{key}`" not in text and f"`{key}:" not in text] == []
    example = text.split("\n\n    cagewright")[1].split("\n\nMistakes")[0]
    entry = read_alternatives_text("\n".join(f"    cagewright{example}"[4:].split("\n    ")))
    assert len(cases_of(demo()[0], entry)) == 3
    for path in (EXAMPLES / "studies").glob("*.yaml"):
        assert f"`{path.name}`" in (docs / "theory" / "alternatives.md").read_text(encoding="utf-8")


# --- versions and units


def inch():
    return read_plan(EXAMPLES / "brackwater-inch.yaml")


BRACE = "  - {name: a, changes: [{move: {members: pillar_brace_left, places: end, by: [6, 0, 0]}}]}\n"
TWO = HEAD.replace(": 1", ": 2")


def test_a_file_without_units_beside_an_inch_plan_is_refused_with_the_line_to_add():
    with pytest.raises(ProblemsFound, match="wanted the line 'units: in'") as found:
        cases_of(inch(), read_alternatives_text(TWO + BRACE))
    assert [p.code for p in found.value.problems] == ["no-units"]
    plan = inch()
    was = plan.members["pillar_brace_left"].path[-1].back
    for units, step in (("in", 6.0 * 25.4), ("mm", 6.0)):
        text = TWO.replace("title: t", f"title: t\nunits: {units}") + BRACE
        now = cases_of(plan, read_alternatives_text(text))[1].case.plan.members["pillar_brace_left"].path[-1]
        assert now.back - was == pytest.approx(step, abs=0.3)  # the door bar is level, the tape reads 1/64


def test_a_step_of_version_1_that_meant_another_thing_is_refused_with_what_to_write():
    old = read_alternatives_text(HEAD + BRACE)
    with pytest.raises(ProblemsFound, match=r"wanted back: 866 mm in place of by") as found:
        cases_of(demo()[0], old)
    assert (found.value.problems[0].code, found.value.problems[0].where.line) == ("old-step", 4)
    told = HEAD + BRACE.replace("by: [6, 0, 0]", "back: 866 mm")
    one = cases_of(demo()[0], read_alternatives_text(told))[1].case.plan
    assert one.members["pillar_brace_left"].path[-1].back == 866.0
    free = HEAD + BRACE.replace("pillar_brace_left, places: end", "front_leg_left, places: 2")
    assert len(cases_of(demo()[0], read_alternatives_text(free))) == 2


@pytest.mark.parametrize("path", sorted((EXAMPLES / "studies").glob("*.yaml")), ids=lambda p: p.stem)
def test_the_ready_studies_read_and_their_changes_can_be_made(path):
    entry = read_alternatives(path)
    assert len(cases_of(demo()[0], entry)) == len(entry.alternatives) + 1
    assert entry.question.endswith("?")
