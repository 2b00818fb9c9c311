"""Whatever numbers a plan holds, it resolves to a cage or to problems, and to nothing else."""

import numpy as np
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from cagewright.base.problems import Problem, ProblemsFound
from cagewright.shape.resolve import resolve
from cagewright.shape.types import Cage
from cases import cases
from small_plans import HOOP_FEET, hoop, plan

number = st.one_of(
    st.floats(-1500, 1500),
    st.sampled_from([0.0, 1e-9, 1e6, -1e6, 45.0, 22.5, -640.0, 1240.0, 200.0]),
)
triple = st.tuples(number, number, number).map(list)
measure = st.one_of(
    st.tuples(st.sampled_from(["up", "back", "across", "along"]), number),
    st.tuples(st.just("part"), st.floats(0.0, 1.0)),
)
on = st.builds(
    lambda name, how, side: {"on": name, how[0]: how[1], **({"side": side} if side else {})},
    st.sampled_from(["hoop", "one", "two"]),
    measure,
    st.sampled_from([None, "left", "right"]),
)
foot = st.sampled_from([{"foot": "left"}, {"foot": "right"}, {"foot": "back"}])
path = st.lists(st.one_of(triple, on), min_size=0, max_size=3)
end = st.one_of(triple, on, foot)


@st.composite
def plans(draw):
    """A hoop, good or bad, and two members with any places at all."""

    def member(mirror):
        entry = {
            "role": "diagonal",
            "tube": draw(st.sampled_from(["bar", "hoop"])),
            "path": [draw(end), *draw(path), draw(end)],
        }
        return {**entry, "mirror": mirror} if draw(st.booleans()) else entry

    od = draw(st.sampled_from([5.0, 38.0, 200.0]))
    first = hoop() if draw(st.booleans()) else hoop(path=[{"foot": "left"}, *draw(path), {"foot": "right"}])
    normal = draw(triple)
    return plan(
        {"hoop": first, "one": member("one_right"), "two": member("two_right")},
        feet={
            **HOOP_FEET,
            "back": {
                "at": draw(triple),
                "on": "rigid",
                "plate": [90, 80, 3],
                "normal": normal if np.any(normal) else [0, 0, 1],
            },
        },
        tubes={
            "bar": {"od": od, "wall": 2.5, "steel": "E355+N", "clr": draw(st.sampled_from([None, 30, 114]))}
        },
    )


@settings(max_examples=cases(300), deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(plans())
def test_a_cage_or_problems(p):
    told: tuple[Problem, ...] = ()
    try:
        assert isinstance(resolve(p), Cage)
    except ProblemsFound as found:
        told = found.problems
    assert all(x.code and x.found and x.wanted for x in told)
