"""What no row can say: one function for each such clause, named by it."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from cagewright.check.clauses import (
    fia_253_backstay_diagonals,
    fia_253_doorbars,
    fia_253_pillars,
    fsae_f_5_2_3,
    fsae_f_5_6_4,
)
from cagewright.check.clauses.clause import Clause

CLAUSES: Mapping[str, Clause] = MappingProxyType({
    clause.name: clause
    for clause in (
        fia_253_doorbars.CLAUSE, fia_253_pillars.CLAUSE, fia_253_backstay_diagonals.CLAUSE,
        fsae_f_5_2_3.CLAUSE, fsae_f_5_6_4.CLAUSE,
    )
})  # fmt: skip
"""Every clause's function by name."""
