"""How strong a bolt of a grade is."""

from __future__ import annotations

import re

from cagewright.check.belts.bolts import grade_named

_ISO = re.compile(r"^(?:grade |class )?(\d{1,2})\.\d$")


def strength_of(grade: str) -> float | None:
    """Least tensile strength of the grade, MPa; None where it is not known here.

    A grade without a row is read by its name where it is one of ISO 898-1, whose first figure is a hundredth
    of the tensile strength (4.6 has 400 MPa).
    """
    known = grade_named(grade)
    if known is not None:
        return known.tensile
    named = _ISO.match(grade.strip().lower())
    return 100.0 * int(named[1]) if named else None
