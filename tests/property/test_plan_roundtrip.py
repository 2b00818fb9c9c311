"""Plans written and read back say the same, and edits read back as made (property-based, hypothesis)."""

from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from cagewright.plan.emit import flow, plan_text
from cagewright.plan.read import read_plan_text
from cagewright.plan.text import parse
from cagewright.plan.types import Plan, Role
from cagewright.plan.write import document, remove, set_value
from cases import cases

TRAPS = [
    "2024",
    "true",
    "null",
    "1e3",
    "no",
    "-1",
    "0x1f",
    "~",
    "a: b",
    "a #b",
    " a",
    "a ",
    "- a",
    "'",
    '"',
    "*a",
    "012",
]
WORDS = st.sampled_from(TRAPS) | st.text(max_size=40).filter(
    lambda t: not any(0xD800 <= ord(c) <= 0xDFFF for c in t)
)
LENGTHS = st.floats(-5000, 5000).map(lambda v: round(v, 9))
SIZES = st.floats(0.01, 5000).map(lambda v: round(v, 9))
TRIPLES = st.tuples(LENGTHS, LENGTHS, LENGTHS)
DIRECTIONS = st.tuples(*[st.floats(-1, 1)] * 3).filter(any)
PLACES = st.one_of(
    TRIPLES,
    st.builds(lambda at, clr: {"at": at, "clr": clr}, TRIPLES, SIZES.map(lambda v: v + 60)),
    st.sampled_from(["p", "q"]),
    st.builds(lambda offset: {"point": "p", "offset": offset}, TRIPLES),
    st.builds(
        lambda key, value: {"on": "m0", key: value},
        st.sampled_from(["up", "back", "across", "along"]),
        LENGTHS,
    ),
    st.builds(
        lambda part, near: {"on": "m0", "part": part, "near": near, "side": "left"}, st.floats(0, 1), TRIPLES
    ),
)
ENDS = st.one_of(PLACES.filter(lambda p: not (isinstance(p, dict) and "clr" in p)), st.just({"foot": "f"}))
CUTS = st.sampled_from([None, {"either": ("m0",)}, {"start": ("m0",)}, {"end": ("m0",), "either": ("m0",)}])
ROLES = st.sampled_from(list(Role.__args__))  # type: ignore[attr-defined]


def bare(**items: Any) -> dict[str, Any]:
    return {key: value for key, value in items.items() if value is not None}


MEMBERS = st.builds(
    lambda role, start, middle, end, cut, removable, note: bare(
        role=role, tube="t", path=(start, *middle, end), cut=cut, removable=removable, note=note
    ),
    ROLES, ENDS, st.lists(PLACES, max_size=3), ENDS, CUTS, st.booleans(), WORDS,
)  # fmt: skip
FEET = st.builds(
    lambda at, on, plate, normal, contact, bolts: bare(
        at=at, on=on, plate=plate, normal=normal, contact=contact, bolts=bolts
    ),
    st.one_of(TRIPLES, st.just("q"), st.builds(lambda o: {"point": "p", "offset": o}, TRIPLES)),
    st.sampled_from(["sill", "box", "floor", "turret", "rigid"]),
    st.tuples(SIZES, SIZES, SIZES),
    DIRECTIONS,
    st.none() | st.floats(1, 1e5),
    st.none() | st.fixed_dictionaries({"count": st.integers(0, 12), "size": SIZES, "grade": WORDS}),
)
PLANS = st.builds(
    lambda title, units, members, foot, angle, mass, force, stress, note: Plan.model_validate(
        {
            "cagewright": 1,
            "title": title,
            "units": "mm",
            "note": note,
            "car": {"mass": mass, "rules": ["a", "b c"]},
            "driver": {"hip": (1, 2, 3), "back_angle": f"{angle!r} rad"},
            "steels": {"Mill 7": {"yield_strength": stress, "tensile": stress, "source": "sheet"}},
            "tubes": {"t": {"od": 38.1, "wall": 2.413, "steel": "Mill 7", "clr": 114.3}},
            "points": {"p": {"at": (1, 2, 3), "mirror": "pr"}, "q": (4.5, 5, 6)},
            "members": {
                "m0": {"role": "diagonal", "tube": "t", "path": [(0, 0, 0), "p"]},
                **{f"m{i + 1}": m for i, m in enumerate(members)},
            },
            "feet": {"f": foot},
            "pushes": {"a": {"kind": "platen", "target": force, "travel": 150}},
        }
    ).model_copy(update={"units": units}),
    WORDS, st.sampled_from(["mm", "in"]), st.lists(MEMBERS, max_size=4), FEET, st.floats(-3, 3),
    st.floats(1, 5000), st.floats(-1e5, 1e5), st.floats(1, 2000), WORDS,
)  # fmt: skip


@settings(max_examples=cases(150), deadline=None)
@given(PLANS)
def test_written_then_read_is_the_same_plan(plan: Plan):
    assert read_plan_text(plan_text(plan)) == plan


@settings(max_examples=cases(50), deadline=None)
@given(PLANS)
def test_written_twice_is_the_same_text(plan: Plan):
    text = plan_text(plan)
    assert plan_text(read_plan_text(text)) == text


SCALARS = st.one_of(
    WORDS, st.integers(-(10**9), 10**9), st.floats(allow_nan=False, allow_infinity=False), st.booleans()
)
KEYS = WORDS.filter(lambda k: k != "")
VALUES = st.recursive(
    SCALARS,
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(KEYS, inner, max_size=4),
    max_leaves=12,
)
BOXES = st.lists(VALUES, min_size=1, max_size=4) | st.dictionaries(KEYS, VALUES, min_size=1, max_size=4)


@given(VALUES)
def test_any_value_reads_back(value: Any):
    assert parse(f"a: {flow(value)}\n", file="f").data["a"] == value


TEXTS = [
    "top: 1  # one\nbox:\n  a: 1   # first\n  b: [1, 2]\n  # below\n  c: x\nlast: y\n",
    "top: 1\r\nbox: {a: 1, b: [1, 2], c: x}   # in a line\r\nlast: y\r\n",
    "top: 1\nbox:\n\n  - a\n  - {b: 2}\n\n  - c  # last\n\n# end\nlast: |\n  y\n  z\n\n",
]


@settings(max_examples=cases(200), deadline=None)
@given(st.sampled_from(TEXTS), st.data())
def test_an_edit_changes_what_it_should_and_no_comment(text: str, data: st.DataObject):
    before = document(text)
    box = before.source.data["box"]
    spots = list(box) if isinstance(box, dict) else list(range(len(box)))
    new = ["new"] if isinstance(box, dict) else [len(box)]
    key = data.draw(st.sampled_from(spots + new))
    value = data.draw(VALUES)
    after = set_value(before, ("box", key), value)
    assert after.source.data["box"][key] == value
    for comment in ("# one", "# first", "# below", "# in a line", "# last", "# end"):
        assert (comment in text) == (comment in after.text) or comment in str(value)
    again = remove(after, ("box", key))
    assert len(again.source.data["box"]) == len(after.source.data["box"]) - 1
    assert {k: v for k, v in again.source.data.items() if k != "box"} == {
        k: v for k, v in before.source.data.items() if k != "box"
    }
