"""How strong a bolt of a grade is."""

from __future__ import annotations

from cagewright.check.belt_bolts import grade_named


def strength_of(grade: str) -> float | None:
    """Least tensile strength of the grade, MPa; None where it is not known here."""
    known = grade_named(grade)
    return None if known is None else known.tensile
