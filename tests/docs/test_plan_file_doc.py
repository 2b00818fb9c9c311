"""docs/plan-file.md names every key of every section, and what it shows reads."""

import re
from pathlib import Path
from typing import get_args

import pytest
from pydantic import BaseModel

from cagewright.plan import places, shop, types
from cagewright.plan.read import read_plan_text
from cagewright.plan.types import Role

PAGE = (Path(__file__).parents[2] / "docs" / "plan-file.md").read_text(encoding="utf-8")
BASES = {types.Entry, types.ShortEntry, types.SizeEntry, types.Sections}


def models() -> list[type[BaseModel]]:
    """Every section of the plan and shop files."""
    found: dict[str, type[BaseModel]] = {}
    for module in (places, types, shop):
        for thing in vars(module).values():
            if isinstance(thing, type) and issubclass(thing, types.Entry) and thing not in BASES:
                found[thing.__name__] = thing
    return list(found.values())


def told(page: str, model: str) -> str:
    """The part of the page about the model: from its mark to the next mark or heading."""
    parts = re.split(rf"<!-- keys of {model} -->", page)
    assert len(parts) == 2, f"docs/plan-file.md has no '<!-- keys of {model} -->' (once)"
    return re.split(r"<!-- keys of|\n#", parts[1])[0]


@pytest.mark.parametrize("model", models(), ids=lambda m: m.__name__)
def test_every_key_is_told(model: type[BaseModel]):
    here = told(PAGE, model.__name__)
    assert [key for key in model.model_fields if f"`{key}`" not in here] == []


def test_a_key_that_is_not_told_is_missed():
    assert "`path`" in told(PAGE, "MemberEntry")
    assert "`path`" not in told(PAGE.replace("| `path` |", "| path |"), "MemberEntry")


def test_every_role_is_told():
    here = " ".join(told(PAGE, "MemberEntry").split())
    assert [role for role in get_args(Role) if role not in here] == []


def test_the_plan_shown_reads():
    lines = PAGE[PAGE.index("    cagewright: 1") :].splitlines()
    end = next(i for i, line in enumerate(lines) if line and not line.startswith("    "))
    plan = read_plan_text("\n".join(line[4:] for line in lines[:end]))
    assert list(plan.members) == ["main_hoop", "backstay_left"]


def test_the_message_shown_is_the_one_printed():
    from cagewright.base.problems import Problem, Where

    shown = next(line.strip() for line in PAGE.splitlines() if "plan.yaml:22:23" in line)
    wanted = "wanted one of on, up, back, across, along, part, side, near, clr"
    problem = Problem(
        code="unknown-key",
        where=Where(file="plan.yaml", line=22, col=23),
        found="members.stay.path.1 has the key 'acros'",
        wanted=wanted,
        nearest="across",
    )
    assert shown == str(problem)
