"""Reading a rule book: every mistake located, in the builder's words, in one pass."""

import re
from pathlib import Path

import pytest

from cagewright.base.problems import Problem, ProblemsFound, Where
from cagewright.check.house import new_book
from cagewright.check.library import book_ids, built_in, find_books
from cagewright.check.read import parse_book, read_book
from cagewright.plan.text import MOST_BYTES as LARGEST

HEAD = '[book]\nid = "t"\ntitle = "T"\nedition = "1"\nsource = "s"\n'
ROW = '[[rule]]\nid = "r"\nclause = "1"\ntitle = "t"\ncertainty = "read"\nsource = "s"\n'


def problems(text: str) -> tuple[Problem, ...]:
    with pytest.raises(ProblemsFound) as caught:
        parse_book(text, "b.toml")
    return caught.value.problems


def only(text: str) -> Problem:
    found = problems(text)
    assert len(found) == 1, found
    return found[0]


def test_a_good_row_is_read():
    (rule,) = parse_book(
        HEAD + ROW + 'measure = "bend radius"\nmembers = "cage"\nat_least = 3\n', "b.toml"
    ).rules
    assert rule.bounds[0].value == 3
    assert "seat mount" not in rule.members


def test_except_leaves_roles_out():
    text = HEAD + ROW + 'measure = "bends"\nmembers = "cage"\nexcept = ["backstay"]\nat_most = 4\n'
    assert "backstay" not in parse_book(text, "b.toml").rules[0].members


BENDS = 'measure = "bend radius"\nmembers = "cage"\n'
TUBES = 'measure = "tube size"\nmembers = "cage"\n'
ENDS = 'measure = "end distance"\nmembers = "cage"\n'
COUNT = 'measure = "bends"\nmembers = "cage"\n'
PLATE = 'measure = "foot plate thickness"\nfeet_of = "cage"\n'


@pytest.mark.parametrize(
    ("row", "line", "code", "nearest"),
    [
        ('measure = "bend radios"\nmembers = "cage"\nat_least = 3\n', 12, "unknown-measure", "bend radius"),
        ('measure = "bend radius"\nmembrs = "cage"\nat_least = 3\n', 13, "unknown-key", "members"),
        ('measure = "straight"\nmembers = ["main rolbar"]\n', 13, "unknown-word", "main rollbar"),
        (BENDS + 'at_lest = 3\n', 14, "unknown-key", "at_least"),
        (BENDS, 6, "missing-key", None),
        (BENDS + 'at_least = "3 mm"\n', 14, "bad-quantity", None),
        (PLATE + 'at_least = 3\n', 14, "bad-quantity", None),
        (PLATE + 'at_least = "3 deg"\n', 14, "bad-quantity", None),
        ('measure = "straight"\nmembers = "cage"\nat_least = 3\n', 14, "not-read", None),
        ('measure = "straight"\nmembers = "cage"\nmust_be = "yep"\n', 14, "unknown-word", "yes"),
        ('measure = "straight"\nmembers = "cage"\nallowance = "1 %"\n', 14, "not-read", None),
        (BENDS + 'at_least = 3\nmust_be = "yes"\n', 15, "not-read", None),
        (TUBES + 'sizes = ["45 by 2.5"]\n', 14, "bad-size", None),
        (TUBES + 'sizes = ["45 x 25 mm"]\n', 14, "bad-size", None),
        (TUBES + 'sizes = []\n', 14, "wrong-count", None),
        (TUBES + 'sizes = [{size = "45 x 2 mm", stel = "4130"}]\n', 14, "unknown-key", "steel"),
        (TUBES, 6, "missing-key", None),
        (TUBES + 'sizes = ["45 x 2 mm"]\nmust_be = "yes"\n', 15, "not-read", None),
        ('measure = "straight"\nmembers = "cage"\nfeet_of = "cage"\n', 14, "not-read", None),
        (PLATE + 'except = ["backstay"]\nat_least = "3 mm"\n', 14, "not-read", None),
        (ENDS + 'near = "fot"\nat_most = "1 in"\n', 14, "unknown-word", "foot"),
        (ENDS + 'near = {joint_of = ["backstay"]}\nat_most = "1 in"\n', 14,
         "missing-key", None),
        ('measure = "clause"\nfunction = "fsae f.5.2.3"\n', 13, "unknown-word", "fsae f.5.2.3 support"),
        ('measure = "base structure"\nstructures = [{}]\n', 13, "wrong-count", None),
        ('measure = "base structure"\nstructures = [{"backstay" = 0}]\n', 13, "out-of-range", None),
        ('measure = "base structure"\nstructures = [{"backstays" = 2}]\n', 13, "unknown-word", "backstay"),
        (COUNT + 'at_most = 4\nnote = 3\n', 15, "wrong-type", None),
        (COUNT + 'at_most = 4\napplies = {weight_to = 900}\n', 15, "bad-quantity", None),
        (COUNT + 'at_most = 4\napplies = {from = "2007", until = "2006"}\n', 15, "dates-reversed", None),
        (COUNT + 'at_most = 4\napplies = {from = "1 May 2007"}\n', 15, "bad-date", None),
        (COUNT + 'at_most = 4\napplies = {until = "2007-02-30"}\n', 15, "bad-date", None),
        (COUNT + 'at_most = 4\napplies = {until = "2007", by = "log book"}\n', 15, "unknown-word", "logbook"),
        (COUNT + 'at_most = 4\nconfirmed = "another source"\n', 15, "not-read", None),
        (COUNT + 'at_most = true\n', 14, "bad-quantity", None),
        (COUNT + 'at_most = nan\n', 14, "bad-quantity", None),
        (COUNT + 'at_most = 1e300\n', 14, "bad-quantity", None),
    ],
)  # fmt: skip
def test_one_mistake_one_located_problem(row: str, line: int, code: str, nearest: str | None):
    problem = only(HEAD + ROW + row)
    assert (problem.code, problem.where.line, problem.nearest) == (code, line, nearest)
    assert problem.where.file == "b.toml"
    assert problem.found
    assert problem.wanted


@pytest.mark.parametrize(
    ("lines", "what"),
    [
        (
            ['{up_to = "1000 kg", sizes = ["38 x 2 mm"]}', '{up_to = "900 kg", sizes = ["45 x 2 mm"]}'],
            "falling",
        ),
        (['{sizes = ["38 x 2 mm"]}', '{up_to = "900 kg", sizes = ["45 x 2 mm"]}'], "open line first"),
        (['{up_to = "900 kg"}'], "no sizes"),
        (['"900 kg"'], "no table"),
    ],
)
def test_a_weight_table_must_rise(lines: list[str], what: str):
    row = f'measure = "tube size by weight"\nmembers = "cage"\ntable = [{", ".join(lines)}]\n'
    assert only(HEAD + ROW + row).where.line == 14, what


def test_everything_wrong_is_said_at_once():
    text = HEAD.replace('edition = "1"\n', "") + ROW + 'measure = "bend radios"\nmembrs = "cage"\n' + ROW
    assert {p.code for p in problems(text)} == {"missing-key", "unknown-measure", "unknown-key"}
    assert len(problems(text)) == 4


def test_keys_after_a_list_over_several_lines_are_found():
    row = (
        'measure = "tube size"\nmembers = "cage"\nsizes = [\n  "45 x 2.5 mm",  # ]\n  "50 x 2 mm",\n]\n'
        'note = """\nfoo = 2\n"""\nfoo = 1\n'
    )
    assert only(HEAD + ROW + row).where.line == 21


def test_a_list_in_a_list_is_no_heading():
    row = 'measure = "straight"\nmembers = [\n[[1]],\n]\nfoo = 1\n'
    assert {p.code: p.where.line for p in problems(HEAD + ROW + row)} == {
        "unknown-word": 13,
        "unknown-key": 16,
    }


def test_an_id_used_twice():
    row = ROW + 'measure = "straight"\nmembers = "cage"\n'
    problem = only(HEAD + row + row)
    assert problem.code == "twice"
    assert "line 7" in problem.found
    assert problem.where.line == 15


@pytest.mark.parametrize(
    ("text", "code", "line"),
    [
        ("", "no-book", 0),
        ("[book\n", "syntax", 1),
        (HEAD + "x = \n", "syntax", 6),
        (HEAD + 'x = "', "syntax", 6),
        ("[" * 3000, "syntax", 1),
        (HEAD + "[rules]\n", "unknown-key", 6),
    ],
)
def test_no_book_at_all(text: str, code: str, line: int):
    found = problems(text)
    assert code in {p.code for p in found}
    assert next(p.where.line for p in found if p.code == code) == line


def test_a_head_that_is_no_table():
    assert {p.code for p in problems('book = 3\nrule = "x"\n')} >= {"no-book", "no-rule"}


def test_files_that_cannot_be_read(tmp_path: Path):
    cases = {"absent.toml": None, "latin.toml": b"\xe9", "big.toml": b"#" * (LARGEST + 1)}
    codes: list[str] = []
    for name, raw in cases.items():
        if raw is not None:
            (tmp_path / name).write_bytes(raw)
        with pytest.raises(ProblemsFound) as caught:
            read_book(tmp_path / name)
        codes.append(caught.value.problems[0].code)
    assert codes == ["no-file", "not-text", "too-big"]


def test_the_plans_books(tmp_path: Path):
    new_book(tmp_path / "mine.toml", "My series")
    where = Where(file="plan.yaml", line=5)
    books = find_books(["fia-253-2009", "mine.toml"], tmp_path, where)
    assert [book.id for book in books] == ["fia-253-2009", "my-series"]
    with pytest.raises(ProblemsFound) as caught:
        find_books(["fia-253-209", "none.toml"], tmp_path, where)
    by_code = {p.code: p for p in caught.value.problems}
    assert by_code["unknown-book"].nearest == "fia-253-2009"
    assert by_code["unknown-book"].where.line == 5
    assert "no-file" in by_code


def test_built_in_books_have_the_id_of_their_file():
    assert [built_in(book_id).id for book_id in book_ids()] == list(book_ids())
    with pytest.raises(KeyError):
        built_in("no-such-book")


def test_a_new_book_reads_and_is_not_overwritten(tmp_path: Path):
    path = tmp_path / "mine.toml"
    new_book(path, 'The "Brackwater" série, 2026')
    book = read_book(path)
    assert (book.id, book.title) == ("the-brackwater-s-rie-2026", 'The "Brackwater" série, 2026')
    assert [rule.measure for rule in book.rules] == ["bend radius"]
    with pytest.raises(ProblemsFound, match="already there"):
        new_book(path, "again")
    with pytest.raises(ProblemsFound, match=r"\.toml"):
        new_book(tmp_path / "mine.txt", "again")
    with pytest.raises(ProblemsFound, match="letter or figure"):
        new_book(tmp_path / "other.toml", "***")


def test_every_row_of_the_template_reads(tmp_path: Path):
    path = tmp_path / "mine.toml"
    new_book(path, "My series")
    text = path.read_text(encoding="utf-8")
    open_rows = "\n".join(line.removeprefix("# ") if _is_row(line) else line for line in text.splitlines())
    assert len(parse_book(open_rows, "mine.toml").rules) == 6


def _is_row(line: str) -> bool:
    """A note that is a row's line: a table's heading, a key, a line of a list or its end."""
    return re.match(r"^# (\[\[rule\]\]|[a-z_]+ = |  \{ |\])", line) is not None
