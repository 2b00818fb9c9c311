"""What a base structure is to a draft: which bent tubes it stands on, and which straight ones it takes."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Literal

from cagewright.draft.carriers import Carriers
from cagewright.draft.doors import braces, dash, doorbars
from cagewright.draft.infill import backstays, diagonals, gussets, harness, roof
from cagewright.draft.outline import Outline
from cagewright.plan.survey import BaseStructure

Bars = Callable[[Outline, Carriers], None]
"""Enters straight tubes that land on what carries them."""
WISHED: Mapping[str, Bars] = {
    "diagonals": diagonals, "harness_bar": harness, "doorbars": doorbars, "dash_bar": dash,
    "pillar_braces": braces, "roof": roof, "gussets": gussets,
}  # fmt: skip
"""What enters the tubes of a wish, in the order in which they are laid out."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Family:
    """A base structure.

    Attributes:
        word: as the wishes say it.
        legs: which tube follows screen pillar and roof rail; None where none does.
        stands: enters the bent tubes, their feet and what holds them apart; says what carries the rest.
        without: wishes that it has no place for.
    """

    word: BaseStructure
    legs: Literal["bar", "hoop"] | None
    stands: Callable[[Outline], Carriers]
    without: frozenset[str] = frozenset()


def filled(outline: Outline, family: Family) -> None:
    """Lays out the base structure and every straight tube that the survey and the wishes allow."""
    carriers = family.stands(outline)
    backstays(outline, carriers)
    wishes = outline.file.wishes
    for wish, enter in WISHED.items():
        if wish not in family.without and getattr(wishes, wish) is not False:
            enter(outline, carriers)
    for wish in sorted(family.without & wishes.model_fields_set):
        if getattr(wishes, wish) is not False:
            outline.said.append(f"{wish} is wished for: with {_a(family.word)} there is no place for it")


def _a(word: str) -> str:
    return word if word.endswith("bars") else f"a {word}"
