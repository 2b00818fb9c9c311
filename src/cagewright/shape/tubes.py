"""The plan's tubes with their steels looked up."""

from __future__ import annotations

from cagewright.base.problems import Problem, nearest_word
from cagewright.plan.size_types import size_fault
from cagewright.plan.types import Plan, SteelEntry
from cagewright.shape.located import Locate
from cagewright.stock.catalogue import steels
from cagewright.stock.steels import Steel
from cagewright.stock.tubes import Tube


def tubes_of(plan: Plan, where: Locate) -> tuple[dict[str, Tube], list[Problem]]:
    """Every tube of the plan by name, and the problems met (unknown steel, a wall that does not fit)."""
    known = {**steels(), **{name: _own_steel(name, entry) for name, entry in plan.steels.items()}}
    tubes: dict[str, Tube] = {}
    problems: list[Problem] = []
    for name, entry in plan.tubes.items():
        steel = known.get(entry.steel)
        if steel is None:
            problems.append(
                Problem(
                    code="unknown-steel",
                    where=where(("tubes", name, "steel")),
                    found=f"'{entry.steel}' is no steel of the catalogue or the plan",
                    wanted="name one of them, or add it under steels: from its mill sheet",
                    nearest=nearest_word(entry.steel, known),
                )
            )
        elif (wrong := size_fault(entry, plan.house_units)) is not None:
            problems.append(
                Problem(
                    code="wall-too-thick",
                    where=where(("tubes", name, wrong.key)),
                    found=f"a tube {wrong.found}",
                    wanted=wrong.wanted.removeprefix("wanted "),
                )
            )
        else:
            tubes[name] = Tube(section=entry.section, steel=steel)
    return tubes, problems


def _own_steel(name: str, entry: SteelEntry) -> Steel:
    return Steel(
        name=name,
        yield_strength=entry.yield_strength,
        tensile=entry.tensile,
        elongation=entry.elongation,
        modulus=entry.modulus,
        forms=() if entry.seamless is None else ("seamless",) if entry.seamless else ("welded",),
        source=entry.source,
        certainty="shop",
    )
