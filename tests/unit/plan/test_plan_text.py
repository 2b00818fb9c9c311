"""Text to tree: places, limits and broken YAML."""

import pytest
import yaml

from cagewright.base.problems import Problem
from cagewright.plan import text as reading
from cagewright.plan.text import Map, Seq, Source, decoded, parse, say


def read(text: str) -> Source:
    return parse(text, file="f.yaml")


def only(text: str) -> Problem:
    found = read(text).problems
    assert len(found) == 1, found
    return found[0]


def test_values_and_their_places():
    source = read("a: 1\nb:\n  - x\n  - {c: 2.5}  # note\n")
    assert source.data == {"a": 1, "b": ["x", {"c": 2.5}]}
    items = source.data["b"]
    assert isinstance(items, Seq)
    assert [(s.line, s.col) for s in items.spots] == [(3, 5), (4, 5)]
    inner = items[1]
    assert isinstance(inner, Map)
    assert inner.flow
    assert not source.data.flow
    assert source.text[slice(*inner.spots["c"][2:])] == "2.5"
    assert source.text[slice(*inner.key_spots["c"][2:])] == "c"


@pytest.mark.parametrize(
    "text",
    [
        "a: 1\r\nb: [2,\r\n 3]\r\n", "a: 'é ü'\nb: ö\n", "a: |\n  x\n  y\nb: >-\n  z\n", "{a: 1, b: [2]}",
        "a: &n [1]\nb: *n\n", "'a b': \"c\\td\"\nb: -1\n",
    ],
)  # fmt: skip
def test_the_same_values_as_a_general_reader(text: str):
    assert read(text).data == yaml.safe_load(text)
    assert read(text).problems == ()


def test_offsets_are_in_characters():
    source = read("a: 'äöü €'\nbb: 7\n")
    assert source.text[slice(*source.data.spots["bb"][2:])] == "7"


@pytest.mark.parametrize(
    ("text", "code", "line", "col"),
    [
        ("a:\n\tb: 1\n", "syntax", 2, 1),
        ("a: [1, 2\nb: 3\n", "syntax", 2, 2),
        ("a: 'x\nb: 1\n", "syntax", 1, 4),
        ("a: b: c\n", "syntax", 1, 5),
        ("a: @x\n", "syntax", 1, 4),
        ("a: 1\na: 2\n", "duplicate-key", 2, 1),
        ("a: &x [*x]\n", "alias", 1, 8),
        ("a: *y\n", "alias", 1, 4),
        ("? [1]\n: 2\n", "bad-key", 1, 3),
        ("a:\nb: 1\n", "empty", 1, 1),
        ("a: [1, ~]\n", "empty", 1, 8),
        ("a: !!str 5\n", "tag", 1, 4),
        ("a: !mine {b: 1}\n", "tag", 1, 4),
        ("a: 1\n---\nb: 1\n", "second-document", 2, 1),
        ("", "not-a-mapping", 1, 1),
        ("- 1\n", "not-a-mapping", 1, 1),
        ("just words\n", "not-a-mapping", 1, 1),
        ("a: 1\nb: \x07\n", "not-text", 2, 4),
        ("a: 1\nb: \ud800\n", "not-text", 2, 4),
    ],
)
def test_broken_text_is_located(text: str, code: str, line: int, col: int):
    problem = only(text)
    assert (problem.code, problem.where.line, problem.where.col) == (code, line, col)


def test_a_byte_order_mark_is_no_problem():
    assert read("\ufeffa: 1\n").data == {"a": 1}
    assert decoded("\ufeffa: 1\n".encode(), file="f") == "a: 1\n"


def test_bytes_that_are_no_text_are_located():
    problem = decoded(b"a: 1\nb: x\xffy\n", file="f")
    assert isinstance(problem, Problem)
    assert (problem.code, problem.where.line, problem.where.col) == ("not-text", 2, 5)
    assert isinstance(decoded("a: 1".encode("utf-16"), file="f"), Problem)


def test_limits():
    deep = reading.DEEPEST
    assert read("a: " + "[" * (deep - 1) + "]" * (deep - 1)).problems == ()
    assert only("a: " + "[" * deep + "]" * deep).code == "too-deep"
    assert only("a: [" + "1," * reading.MOST_VALUES + "]").code == "too-big"
    assert only("a: " + "x" * reading.MOST_BYTES).code == "too-big"
    assert isinstance(decoded(b"x" * (reading.MOST_BYTES + 1), file="f"), Problem)


def test_a_bomb_of_anchors_goes_off_in_the_reader():
    levels = "".join(f"a{i}: &a{i} [{', '.join([f'*a{i - 1}'] * 10)}]\n" for i in range(1, 10))
    assert only(f"a0: &a0 [{', '.join(['x'] * 10)}]\n{levels}").code == "too-big"


def test_an_anchor_used_twice_counts_twice():
    once = read("a: &n [1, 2, 3]\n").values
    assert read("a: &n [1, 2, 3]\nb: *n\n").values == once + 1 + 4


def test_without_the_compiled_parser(monkeypatch: pytest.MonkeyPatch):
    text = "a: 1\nb: [x, {c: 2.5}]  # note\nd: |\n  e\n"
    fast = read(text)
    monkeypatch.setattr(reading, "_LOADER", yaml.SafeLoader)
    slow = read(text)
    assert (slow.data, slow.data.spots["b"]) == (fast.data, fast.data.spots["b"])
    assert [only(t).code for t in ("a: [1", "a: 1\na: 2\n", "a: *n\n", "a:\n\tb: 1\n")] == [
        "syntax", "duplicate-key", "alias", "syntax",
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("value", "said"),
    [
        (None, "nothing"), (True, "true"), (3, "3"), (2.5, "2.5"), ("a", "'a'"), ([1, 2], "a list of 2"),
        ({}, "a mapping of keys"), ("a\x1b[31m", "'a\\u001b[31m'"), ("x" * 99, "'" + "x" * 57 + "...'"),
    ],
)  # fmt: skip
def test_values_are_quoted_short_and_printable(value: object, said: str):
    assert say(value) == said
