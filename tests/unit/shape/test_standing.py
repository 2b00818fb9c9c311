"""What stands where in a cage: the same whatever the tubes are called, and in the demos as the roles say."""

import ast
from dataclasses import fields, is_dataclass, replace
from functools import cache
from pathlib import Path
from typing import get_args

import numpy as np
import pytest

import cagewright
from bodies import BODIES, survey
from cagewright.check.belts.findings import belts_findings
from cagewright.check.belts.mounts import mount_findings
from cagewright.check.body.findings import body_findings
from cagewright.check.library import built_in
from cagewright.check.limits_asked import limits_of
from cagewright.check.practice import practice_findings
from cagewright.check.sight.findings import sight_findings
from cagewright.check.torch.findings import torch_findings
from cagewright.draft.layout import draft
from cagewright.fitup.order import build_order
from cagewright.frame.choices import Choices
from cagewright.frame.errors import FrameError
from cagewright.frame.idealise import idealise
from cagewright.frame.push_places import placed
from cagewright.frame.push_rows import rows
from cagewright.frame.survival import apart_from_seats
from cagewright.frame.torsion import torsion_of
from cagewright.plan.read import read_plan
from cagewright.plan.types import Role
from cagewright.shape.resolve import resolve
from cagewright.shape.shell import shell_of
from cagewright.shape.standing import (
    MAIN,
    SILL,
    door_bars,
    followed,
    front_frame,
    main_frame,
    main_legs,
    names_of,
    roof_bars,
    screen_legs,
    seat_tubes,
)
from cagewright.shape.types import Cage
from cagewright.stock.shop import NO_SHOP

EXAMPLES = Path(__file__).parents[3] / "examples"
ROLES = get_args(Role)
DEMOS = ("brackwater", "pellworth")
FAMILIES = ("rear rollbar with roof loop", "lateral rollbars", "six-point roll bar")


@cache
def cage_of(name: str) -> Cage:
    if name in FAMILIES:
        file = survey(BODIES["saloon"])
        wishes = file.wishes.model_copy(update={"base_structure": name})
        plan = draft(
            file.model_copy(update={"wishes": wishes}), limits_of([built_in("fia-253-2009")]), NO_SHOP
        ).plan
        return resolve(plan)
    return resolve(read_plan(EXAMPLES / f"{name}.yaml"))


@cache
def called_otherwise(name: str) -> Cage:
    """The cage with every tube of another role, mirrored pairs of two."""
    cage = cage_of(name)
    odd = (ROLES[(ROLES.index(m.role) + 3 + 2 * i) % len(ROLES)] for i, m in enumerate(cage.members))
    members = tuple(replace(m, role=role) for m, role in zip(cage.members, odd, strict=True))
    assert sum(a.role == b.role for a, b in zip(members, cage.members, strict=True)) < len(members) / 4
    return replace(cage, members=members)


def alike(one, two) -> bool:
    """Whether two answers are the same to the bit, arrays in them too."""
    if isinstance(one, np.ndarray):
        return bool(np.array_equal(one, two))
    if is_dataclass(one) and not isinstance(one, type):
        return type(one) is type(two) and all(
            alike(getattr(one, f.name), getattr(two, f.name)) for f in fields(one)
        )
    if isinstance(one, tuple | list):
        return len(one) == len(two) and all(alike(a, b) for a, b in zip(one, two, strict=True))
    return bool(one == two)


def push_or_why(cage: Cage, row):
    try:
        return placed(cage, row)
    except FrameError as wrong:
        return str(wrong)


@pytest.mark.parametrize("name", [*DEMOS, "brackwater-inch", "roll-bar"])
def test_where_tubes_stand_says_in_the_demos_what_their_roles_say(name):
    cage = cage_of(name)
    of = lambda *roles: {m.name for m in cage.members if m.role in roles}  # noqa: E731
    assert names_of(main_frame(cage)) == of("main rollbar")
    assert {*names_of(door_bars(cage, -1.0)), *names_of(door_bars(cage, 1.0))} == of("doorbar")
    assert names_of(seat_tubes(cage)) == of("seat mount")
    assert of("front rollbar", "lateral rollbar", "lateral half-rollbar", "transverse member") <= names_of(
        front_frame(cage)
    )
    assert names_of(screen_legs(cage)) == of("front rollbar", "lateral rollbar", "lateral half-rollbar")
    assert names_of(roof_bars(cage)) == of("roof reinforcement", "longitudinal member")


def test_of_two_lateral_rollbars_the_rear_bar_across_is_the_main_frame_and_both_sides_stand_ahead():
    cage = cage_of("lateral rollbars")
    assert names_of(main_frame(cage)) == {"rear_bar"}
    assert {"side_hoop_left", "side_hoop_right", "header_bar"} <= names_of(front_frame(cage))


def test_of_a_roof_loop_the_loop_and_its_legs_stand_ahead():
    cage = cage_of("rear rollbar with roof loop")
    assert names_of(main_frame(cage)) == {"main_hoop"}
    assert {"roof_loop", "front_leg_left", "front_leg_right"} <= names_of(front_frame(cage))


@pytest.mark.parametrize("name", ["rails/sill-rails", "rails/marlbeck-rails"])
def test_a_frame_on_rails_stands_as_one_on_feet(name):
    cage = cage_of(name)
    assert names_of(main_frame(cage)) == {"main_hoop"}
    assert {"front_leg_left", "front_leg_right"} <= names_of(front_frame(cage))
    assert main_legs(cage) == 2
    laid = followed(cage)
    assert laid["rail_left"] == SILL
    assert laid["main_hoop"] == MAIN
    assert not {n for n in laid if n.startswith(("doorbar", "backstay", "harness"))}


@pytest.mark.parametrize("name", [*DEMOS, *FAMILIES])
def test_default_pushes_survival_space_and_torsion_are_the_same_whatever_the_tubes_are_called(name):
    cage, other = cage_of(name), called_otherwise(name)
    for row in rows().values():
        assert alike(push_or_why(cage, row), push_or_why(other, row)), row.name
    one, two = (idealise(c, Choices(feet="rigid", mesh=200.0)) for c in (cage, other))
    assert np.array_equal(apart_from_seats(one), apart_from_seats(two))
    assert alike(torsion_of(cage), torsion_of(other))


@pytest.mark.parametrize(
    "name",
    ["six-point roll bar", *(pytest.param(n, marks=pytest.mark.slow) for n in (*DEMOS, *FAMILIES[:2]))],
)
def test_order_and_torch_findings_are_the_same_whatever_the_tubes_are_called(name):
    cage, other = cage_of(name), called_otherwise(name)
    assert build_order(cage, shell_of(cage, None)) == build_order(other, shell_of(other, None))
    assert alike(torch_findings(cage, None), torch_findings(other, None))


@pytest.mark.parametrize("name", [*DEMOS, *FAMILIES])
def test_own_checks_find_the_same_whatever_the_tubes_are_called(name):
    found = [
        (
            practice_findings(cage), sight_findings(cage) if cage.people else (), belts_findings(cage),
            mount_findings(cage), body_findings(cage, None),
        )
        for cage in (cage_of(name), called_otherwise(name))
    ]  # fmt: skip
    assert alike(*found)
    assert sum(map(len, found[0])) > 0


READ_NO_ROLE = (
    "fitup/*.py", "frame/*.py", "check/torch/*.py", "check/sight/*.py", "check/belts/*.py",
    "check/practice*.py", "check/body/*.py", "shape/standing.py", "shape/body_offset.py", "draft/fit.py",
)  # fmt: skip


@pytest.mark.parametrize("files", READ_NO_ROLE)
def test_nothing_of_order_pushes_survival_or_own_checks_reads_a_role(files):
    read = {
        f"{path.name}:{node.lineno}"
        for path in Path(cagewright.__file__).parent.glob(files)
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if (isinstance(node, ast.Attribute) and node.attr == "role")
        or (isinstance(node, ast.Constant) and node.value in ROLES)
    }
    assert read == set()
