"""What a plan says of the tubes that are joined on the bench before they go in."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from cagewright.plan.places import Entry, Name, OwnName, Place


class BenchFirstEntry(Entry):
    """The tubes that are joined on the bench and carried in together, and where they are clamped there.

    Attributes:
        tubes: their names; the first lies on the bench, and the others are set to it.
        clamps: places on those tubes that are clamped to the bench, by name.
    """

    tubes: Annotated[tuple[Name, ...], Field(min_length=2, max_length=60)]
    clamps: dict[OwnName, Place] = Field(default_factory=dict[OwnName, Place])
