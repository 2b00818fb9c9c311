"""Couplings and caps in the plan: where they stand, what is in their way, what rule rows see of them."""

import pytest

from cagewright.base.problems import ProblemsFound
from cagewright.change.apply import apply
from cagewright.check.bench import Gauged
from cagewright.check.measures.bench import planned
from cagewright.make.weights import weigh
from cagewright.plan.changes import read_change
from cagewright.shape.flat_parts import FlatPart
from cagewright.shape.resolve import resolve, revision
from cagewright.shape.sheet_parts import flat_parts
from cagewright.stock.shop import NO_SHOP
from small_plans import HOOP_FEET, hoop, plan

CROSS = [{"on": "hoop", "up": 600, "side": "left"}, {"on": "hoop", "up": 600, "side": "right"}]


def made(*couplings, path=CROSS, **more):
    cross = {"role": "diagonal", "tube": "bar", "path": path, "couplings": list(couplings), **more}
    return plan({"hoop": hoop(), "cross": cross}, feet=HOOP_FEET)


def told(p):
    with pytest.raises(ProblemsFound) as caught:
        resolve(p)
    return [(x.code, x.found) for x in caught.value.problems]


def test_a_tube_comes_apart_where_it_is_said():
    cross = resolve(made({"along": 200, "end": "end", "kind": "flange"})).members[1]
    assert cross.removable
    assert cross.couplings[0].along == pytest.approx(cross.path.length - 200)
    assert cross.couplings[0].gap == 12.0


def test_a_coupling_keeps_clear_of_the_joint():
    found = dict(told(made({"along": 30, "kind": "flange"})))
    assert "cross coupling 1" in found["coupling-place"]
    assert set(found) <= {"coupling-place", "coupling-clash"}


def test_two_couplings_keep_apart():
    found = told(made({"along": 300, "kind": "sleeve"}, {"along": 340, "kind": "sleeve"}))
    assert [c for c, _ in found] == ["coupling-place"]


@pytest.mark.parametrize(
    ("coupling", "word"),
    [
        ({"kind": "flange", "width": 50}, "flanges of 50.0 mm"),
        ({"kind": "double lug", "width": 15}, "lugs 15.0 mm wide"),
        ({"kind": "double lug", "thickness": 12}, "12.0 mm thick"),
        ({"kind": "sleeve", "length": 30}, "is 30.0 mm long"),
        ({"kind": "flange", "bolts": {"size": 9}}, "bolts of 9.0 mm"),
        ({"kind": "flange", "bolts": {"grade": "soft"}}, "grade 'soft'"),
    ],
)
def test_sizes_that_do_not_go_together_are_told(coupling, word):
    assert any(c == "coupling-size" and word in found for c, found in told(made({"along": 400, **coupling})))


def test_a_flange_that_runs_into_another_tube():
    post = {"role": "diagonal", "tube": "bar", "path": [{"on": "hoop", "across": 60}, [0, 60, 650]],
            "cut": {"end": "cross"}}  # fmt: skip
    p = made({"along": 700, "kind": "flange"})
    p = plan({"hoop": hoop(), "cross": p.members["cross"].model_dump(exclude_none=True),
              "post": {**post, "path": [post["path"][0], {"on": "cross", "across": 60}], "cut": None}},
             feet=HOOP_FEET)  # fmt: skip
    assert "coupling-clash" in [c for c, _ in told(p)]


def test_a_capped_end_may_end_in_the_open():
    stub = [{"on": "hoop", "up": 600, "side": "left"}, [0, -300, 600]]
    assert told(made(path=stub))[0][0] == "free-end"
    cage = resolve(made(path=stub, caps={"end": 3}))
    cap = next(p for p in flat_parts(cage, NO_SHOP) if p.kind == "cap")
    assert isinstance(cap, FlatPart)
    assert cap.size == pytest.approx((38.0, 38.0), abs=0.2)
    assert any(w.kind == "cap" for w in weigh(cage).parts)


def test_rule_rows_read_the_plan_where_the_bench_has_nothing():
    cage = resolve(made({"along": 400, "kind": "double lug", "thickness": 4}))
    assert planned(cage, "lug thickness", ("cross",)) == 4.0
    assert planned(cage, "pin size", ("cross",)) == 10.0
    assert planned(cage, "sleeve length", ("cross",)) is None
    assert Gauged().readings == {}


def test_a_tube_made_in_two_keeps_its_couplings():
    p = made({"along": 200, "kind": "flange"}, {"along": 250, "end": "start", "kind": "inner sleeve"})
    p = made({"along": 200, "kind": "flange"}, {"along": 900, "kind": "flange"})
    post = {"role": "diagonal", "tube": "bar", "path": [{"on": "hoop", "across": 0}, {"foot": "mid"}]}
    p = plan({"hoop": hoop(), "post": post, "cross": p.members["cross"].model_dump(exclude_none=True)},
             feet={**HOOP_FEET, "mid": [0, 0, 100]})  # fmt: skip
    change = read_change({"split": {"name": "cross", "on": "post"}}, units="mm", file="t")
    members = apply(p, change).plan.members
    assert [(c.along, c.end) for c in members["cross"].couplings] == [(200.0, "start")]
    ((along, end),) = [(c.along, c.end) for c in members["cross_2"].couplings]
    assert (round(along), end) == (380, "end")


def test_two_halves_made_one_keep_their_couplings():
    half = {"role": "diagonal", "tube": "bar", "couplings": [{"along": 200, "kind": "flange"}]}
    p = plan(
        {
            "hoop": hoop(),
            "post": {
                "role": "diagonal",
                "tube": "bar",
                "path": [{"on": "hoop", "across": 0}, {"foot": "mid"}],
            },
            "one": {**half, "path": [CROSS[0], {"on": "post", "up": 600}]},
            "two": {**half, "path": [CROSS[1], {"on": "post", "up": 600}]},
        },
        feet={**HOOP_FEET, "mid": [0, 0, 100]},
    )
    made_one = apply(p, read_change({"join": {"names": ["one", "two"]}}, units="mm", file="t")).plan
    found = [(c.along, c.end) for c in made_one.members["one"].couplings]
    assert found == [(200.0, "start"), (200.0, "end")]


def test_a_plan_without_couplings_keeps_its_mark():
    assert revision(made()) != revision(made({"along": 200, "kind": "flange"}))
