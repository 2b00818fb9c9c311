"""The bench's readings as the plan tells them."""

from __future__ import annotations

from collections.abc import Iterator

from cagewright.base.problems import Problem, ProblemsFound, nearest_word
from cagewright.base.units import QuantityError, parse
from cagewright.check.bench import QUANTITIES, Gauge, Gauged, GaugedValue
from cagewright.plan.types import Plan, where_of
from cagewright.shape.types import Cage, mounts_of

WORDS = {"yes": True, "true": True, "no": False, "false": False}


def bench_of(plan: Plan, cage: Cage) -> Gauged:
    """The plan's bench readings in inside units.

    Raises:
        ProblemsFound: a quantity or a name that is not known, or a value of another kind.
    """
    problems = list(_problems(plan, cage))
    if problems:
        raise ProblemsFound(problems)
    return Gauged(
        readings={
            quantity: {name: _value(plan, QUANTITIES[quantity], said) for name, said in taken.items()}
            for quantity, taken in plan.bench.items()
        }
    )


def _problems(plan: Plan, cage: Cage) -> Iterator[Problem]:
    known = _names(cage)
    for quantity, taken in plan.bench.items():
        if quantity not in QUANTITIES:
            yield _unknown(
                plan, ("bench", quantity), quantity, "is nothing the bench measures", [*QUANTITIES]
            )
            continue
        for name, said in taken.items():
            keys = ("bench", quantity, name)
            if name not in known:
                yield _unknown(
                    plan, keys, name, "is no member, joint, foot, gusset, seat mount or tube", known
                )
                continue
            try:
                _value(plan, QUANTITIES[quantity], said)
            except QuantityError as wrong:
                yield Problem(
                    code="bench-value",
                    where=where_of(plan, keys),
                    found=f"{quantity} of {name} is '{said}'",
                    wanted=str(wrong),
                )


def _names(cage: Cage) -> list[str]:
    members = [m.name for m in cage.members]
    return [
        *members,
        *(j.name for j in cage.joints),
        *(f.name for f in cage.feet),
        *(g.name for g in cage.gussets),
        *(m.name for m, kind in mounts_of(cage) if kind == "seat"),
        *{m.tube_name for m in cage.members},
    ]


def _unknown(plan: Plan, keys: tuple[str, ...], name: str, what: str, known: list[str]) -> Problem:
    return Problem(
        code="unknown-bench",
        where=where_of(plan, keys),
        found=f"'{name}' {what}",
        wanted="wanted a name that is in the plan" if len(keys) > 2 else f"wanted one of {', '.join(known)}",
        nearest=nearest_word(name, known),
    )


def _value(plan: Plan, quantity: Gauge, said: GaugedValue | str) -> GaugedValue:
    """The reading in inside units.

    Raises:
        QuantityError: it is of another kind.
    """
    if quantity.sort is None:
        word = str(said).lower()
        if word not in WORDS:
            raise QuantityError("wanted yes or no")
        return WORDS[word]
    if quantity.sort in {"length", "fine"}:
        return parse(said, "length", bare=plan.units)
    if quantity.sort == "area":
        return parse(said, "area", bare="mm2" if plan.units == "mm" else "in2")
    return parse(said, "number")
