"""Set files: what they say, located mistakes, the blank to fill in, and a schema that agrees."""

import math
import random
from pathlib import Path

import pytest
from jsonschema import Draft202012Validator

from cagewright.base.problems import Problem, ProblemsFound
from cagewright.plan.schema import set_schema
from cagewright.plan.text import parse
from cagewright.plan.tube_set import blank_set_text, read_set, read_set_text

DOC = (Path(__file__).parents[3] / "docs" / "sets.md").read_text("utf-8")
JUDGE = Draft202012Validator(set_schema())


def shown() -> str:
    """The set file that the page shows."""
    lines = DOC[DOC.index("    cagewright_set: 1") :].splitlines()
    stop = next(i for i, line in enumerate(lines) if line and not line.startswith("    "))
    return "\n".join(line[4:] for line in lines[:stop]) + "\n"


SOUND = shown()


def problem(change: tuple[str, str]):
    """The only problem of the sound file with one change."""
    assert change[0] in SOUND
    with pytest.raises(ProblemsFound) as found:
        read_set_text(SOUND.replace(*change, 1), file="s.yaml")
    (only,) = found.value.problems
    return only


def test_what_is_not_given_is_not_guessed():
    stay = read_set_text(SOUND).file.tubes["backstay"]
    assert (stay.wall, stay.steel, stay.certificate, stay.price) == (None, None, None, None)
    assert stay.end.cut == "unknown"
    assert stay.start.angle == pytest.approx(math.radians(62.0))


def test_inches():
    text = SOUND.replace("units: mm", "units: in").replace("od: 38", "od: 1 1/2 in")
    text = text.replace("[1180]", "[46 1/2]")
    with pytest.raises(ProblemsFound):  # the hoop's 45 is now 45 inches, thinner walls and all
        read_set_text(text.replace("od: 45", "od: 1 3/4 in", 1).replace("wall: 2.5", "wall: 2.5 in"))
    assert read_set_text(text.replace("wall: 2.5", "wall: 0.095")).file.tubes["backstay"].straights == (
        pytest.approx(46.5 * 25.4),
    )


@pytest.mark.parametrize(
    ("change", "code", "line"),
    [
        (("straights: [520, 310, 640, 310, 520]", "straights: [520, 310, 640, 310]"), "wrong-count", 5),
        (("wall: 2.5", "wall: 25"), "wall-too-thick", 5),
        (("- {angle: 14 deg, clr: 135}", "- {angle: 14 deg, clr: 135, twist: 9 deg}"), "twist-first", 5),
        (("- {angle: 14 deg, clr: 135}", "- {angle: 14 deg, clr: 20}"), "clr-too-small", 5),
        (("- {angle: 14 deg, clr: 135}", "- {angle: 200 deg, clr: 135}"), "out-of-range", 13),
        (("steel: E355+N", "steel: E355+M"), "unknown-steel", 5),
        (("role: backstay", "role: backstys"), "unknown-word", 20),
        (("start: {angle: 62 deg, od: 45,", "start: {angle: 62 deg,"), "no-notch", 26),
        (("start: {angle: 62 deg, od", "start: {angle: 6 deg, od"), "notch-angle", 26),
        (("end: unknown", "end: sawn"), "unknown-word", 27),
        (("twin: alike", "twin: alike\n    side: left"), "one-of", 19),
        (("straights: [1180]", "straights: [0]"), "zero-straight", 19),
        (("end: unknown", "end: {cut: square, od: 4}"), "one-of", 27),
        (("certificate", "certifikate"), "unknown-key", 10),
    ],
)
def test_a_mistake_is_located(change: tuple[str, str], code: str, line: int):
    found = problem(change)
    assert (found.code, found.where.line) == (code, line), found


def test_the_nearest_word_is_told():
    assert problem(("role: backstay", "role: backstys")).nearest == "backstay"
    assert problem(("steel: E355+N", "steel: E355+M")).nearest == "E355+N"


def test_the_blank_reads_and_knows_nothing():
    made = read_set_text(blank_set_text('A "set"\nof tubes')).file
    assert made.title == "A 'set' of tubes"
    assert all(t.od is None and t.straights is None and t.start.cut == "unknown" for t in made.tubes.values())


@pytest.mark.parametrize("text", [SOUND, blank_set_text("x")], ids=["shown", "blank"])
def test_the_schema_agrees(text: str):
    assert [e.message for e in JUDGE.iter_errors(parse(text, file="f").data)] == []
    assert not JUDGE.is_valid(parse(text.replace("role", "rolle"), file="f").data)


def test_every_key_is_in_the_page():
    schema = set_schema()
    for model in ("SetTubeEntry", "BendEntry", "EndEntry"):
        for key in schema["$defs"][model]["properties"]:
            assert f"`{key}`" in DOC or key == "cut", key
    assert all(
        f"`{key}`" in DOC or key in ("cagewright_set", "units", "note") for key in schema["properties"]
    )


def _spoilt(raw: bytes, luck: random.Random) -> bytes:
    from plan_mutations import SMALL

    for _ in range(luck.choice((1, 1, 2, 3))):
        raw = luck.choice(SMALL)(raw, luck)
    return raw


@pytest.mark.parametrize("count", [150, pytest.param(3000, marks=pytest.mark.slow)])
def test_spoilt_files_are_read_or_refused_with_their_places(count: int, tmp_path: Path, monkeypatch):
    monkeypatch.syspath_prepend(str(Path(__file__).parents[2] / "property"))
    path, codes = tmp_path / "s.yaml", set[str]()
    for n in range(count):
        path.write_bytes(_spoilt(SOUND.encode(), random.Random(f"set {n}")))
        told: tuple[Problem, ...] = ()
        try:
            read_set(path)
        except ProblemsFound as found:
            told = tuple(found.problems)
        assert all(p.where.file and p.found and p.wanted and str(p).isprintable() for p in told)
        codes |= {p.code for p in told}
    assert len(codes) > 10
