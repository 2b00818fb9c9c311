"""Every base structure by its word."""

from __future__ import annotations

from collections.abc import Mapping

from cagewright.draft.families import (
    front_rollbar,
    half_rollbars,
    lateral_rollbars,
    roll_bars,
    roof_loop,
)
from cagewright.draft.families.family import Family
from cagewright.plan.survey import BaseStructure

_EVERY = (
    half_rollbars.FAMILY, front_rollbar.FAMILY, lateral_rollbars.FAMILY, roof_loop.FAMILY, roll_bars.FOUR,
    roll_bars.SIX,
)  # fmt: skip
FAMILIES: Mapping[BaseStructure, Family] = {family.word: family for family in _EVERY}
