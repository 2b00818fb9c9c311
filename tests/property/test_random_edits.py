"""Edits one after another, of any kind: a problem in words or a cage, never anything else."""

from pathlib import Path

from hypothesis import given, settings
from hypothesis import strategies as st

from cagewright.base.plain import plain
from cagewright.base.problems import ProblemsFound
from cagewright.job.opening import job_of
from cagewright.job.scene.scene import delta, scene_of
from cagewright.plan.changes import CHANGES
from cagewright.plan.read import read_plan_text
from cagewright.plan.write import document, load_document
from cases import cases
from deskside import changed
from edited import apply

EXAMPLES = Path(__file__).parents[2] / "examples"
BEFORE = {name: load_document(EXAMPLES / name) for name in ("roll-bar.yaml", "brackwater-inch.yaml")}
JOBS = {name: job_of(text.source, EXAMPLES / name) for name, text in BEFORE.items()}
MEMBERS = ["main_hoop", "backstay_left", "backstay_right", "diagonal", "diagonal_rear", "header", "no_such"]
POINTS = ["floor", "floor_right", "arch", "waist", "turret_right"]
FEET = ["hoop_left", "stay_right", "stay_left"]

numbers = st.floats(-3000.0, 3000.0).map(lambda v: round(v, 2))
small = st.floats(-40.0, 40.0).map(lambda v: round(v, 1))
texts = ["20 3/8 in", '20-3/8"', "45 mm", "1 m", "x", "", "1/3 in", True, None]
lengths = numbers | small | st.sampled_from(texts)
triples = st.tuples(lengths, lengths, lengths).map(list)
steps = st.tuples(small, small, small).map(list)
names = st.sampled_from(MEMBERS)
flags = st.booleans()
places = (
    triples
    | st.sampled_from(POINTS)
    | st.fixed_dictionaries({"foot": st.sampled_from(FEET)})
    | st.fixed_dictionaries({"on": names, "up": lengths})
    | st.fixed_dictionaries({"on": names, "part": st.floats(0.0, 1.0)})
    | st.fixed_dictionaries({"on": names, "at": triples})
)
to = st.one_of(
    st.fixed_dictionaries({"at": triples}),
    st.fixed_dictionaries({"by": steps}),
    st.fixed_dictionaries({"up": lengths}),
    st.fixed_dictionaries({"across": lengths, "back": lengths}),
    st.fixed_dictionaries({"part": st.floats(-0.5, 1.5)}),
    st.fixed_dictionaries({"to": places}),
)
ways = st.fixed_dictionaries({}, optional={"one_side": flags, "host": flags})


def edits(kind, fields, **optional):
    return st.fixed_dictionaries({kind: st.fixed_dictionaries(fields, optional=optional)})


def moves(fields):
    joined = st.builds(lambda *parts: {k: v for part in parts for k, v in part.items()}, fields, to, ways)
    return st.fixed_dictionaries({"move": joined})


numbered = st.integers(0, 7) | st.sampled_from(["start", "end"])
new_member = st.fixed_dictionaries(
    {"role": st.sampled_from(["diagonal", "backstay", "roof"]), "path": st.lists(places, max_size=4)},
    optional={"tube": st.sampled_from(["bar", "hoop", "no"])},
)
asked = st.one_of(
    moves(st.fixed_dictionaries({"members": names, "places": numbered | st.lists(numbered, max_size=2)})),
    moves(st.fixed_dictionaries({"point": st.sampled_from(POINTS)})),
    moves(st.fixed_dictionaries({"foot": st.sampled_from(FEET)})),
    edits("add", {"unnamed": st.lists(new_member, max_size=2)}, both_sides=flags, in_two=flags),
    edits("add", {"points": st.dictionaries(st.sampled_from(["new", *POINTS]), triples, max_size=2)}),
    edits("remove", {"names": st.lists(names, max_size=2)}, dependents=flags, one_side=flags),
    edits("mirror", {"name": names}),
    edits("apart", {"names": st.lists(names | st.sampled_from(POINTS), max_size=2)}),
    edits("split", {"name": names}, along=lengths, on=names),
    edits("bend", {"name": names, "place": numbered}, at=triples, clr=lengths, straight=flags),
    edits("size", {"members": st.lists(names, max_size=2)}, od=lengths, wall=lengths, one_side=flags),
    edits("foot", {"name": st.sampled_from(FEET)}, on=st.sampled_from(["floor", "x"]), at=triples),
    edits("weld", {"members": names, "start": st.just({"open": "outside"})}, one_side=flags),
    edits("cut", {"members": names, "cut": names}),
    edits("rename", {"member": names, "to": st.sampled_from(["header", "new", "a b", "main_hoop"])}),
    edits("note", {"name": names, "note": st.text(max_size=30)}),
    edits("role", {"members": st.lists(names, max_size=2), "role": st.sampled_from(["diagonal", "sill"])}),
)


def outcome(act):
    """What ``act`` gives; None where it is refused, in words."""
    try:
        return act()
    except ProblemsFound as found:
        problems = found.problems
    assert all(p.found and p.wanted and p.code for p in problems)
    return None


@given(name=st.sampled_from(sorted(BEFORE)), sequence=st.lists(asked, min_size=1, max_size=5))
@settings(max_examples=cases(150))
def test_any_edits_give_a_cage_or_problems_in_words(name, sequence):
    text, job = BEFORE[name], JOBS[name]
    for edit in sequence:
        edited = outcome(lambda text=text, job=job, edit=edit: apply(text, job.plan, job.cage, edit))
        after = edited and outcome(lambda edited=edited, job=job: job_of(edited.document.source, job.path))
        if edited is None or after is None:
            continue
        assert edited.words
        assert "\n" not in edited.words
        old, new = scene_of(job), scene_of(after)
        assert changed(plain(old), plain(delta(old, new))) == plain(new)
        assert read_plan_text(edited.document.text, folder=EXAMPLES) == after.plan
        comments = [line.split(" #")[-1] for line in BEFORE[name].text.splitlines()[:3]]
        assert all(comment in edited.document.text for comment in comments)
        back = apply(edited.document, after.plan, after.cage, {"text": text.text})
        assert back.document.text == text.text
        text, job = edited.document, after


@given(
    value=st.recursive(
        st.none() | flags | st.integers() | st.floats() | st.text(max_size=12),
        lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=6), inner, max_size=3),
        max_leaves=8,
    ),
    kind=st.sampled_from([*CHANGES, "text", "zzz"]),
    key=st.sampled_from(["member", "members", "places", "at", "unnamed", "name", "on", "up", "to", "zzz"]),
)
@settings(max_examples=cases(150))
def test_values_of_any_kind_are_refused_in_words(value, kind, key):
    text, job = BEFORE["roll-bar.yaml"], JOBS["roll-bar.yaml"]
    outcome(lambda: apply(text, job.plan, job.cage, {kind: {"name": "diagonal", key: value}}))
    outcome(lambda: apply(text, job.plan, job.cage, {kind: value}))


@given(axis=st.sampled_from(["up", "back", "across"]), mm=st.floats(-50, 50), side=st.sampled_from([1, -1]))
def test_a_move_on_one_side_is_the_mirrored_move_on_the_other(axis, mm, side):
    text, job = BEFORE["roll-bar.yaml"], JOBS["roll-bar.yaml"]
    at = {"up": 620.0, "back": 2000.0, "across": 420.0 * side}[axis] + round(mm, 1)
    one, two = ("arch_right", "arch") if side > 0 else ("arch", "arch_right")
    moves = (
        {"move": {"point": one, axis: at}},
        {"move": {"point": two, axis: -at if axis == "across" else at}},
    )
    first, second = (apply(text, job.plan, job.cage, edit).document.text for edit in moves)
    assert first == second
    assert document(first).source.data["points"]["arch"]["mirror"] == "arch_right"
