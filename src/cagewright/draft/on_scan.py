"""A drafted plan brought to its scan: feet square on the metal, tubes along the surface between marks."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from cagewright.base.say import good_to, span
from cagewright.draft.fit import Freedom, fit
from cagewright.draft.layout import Drafted
from cagewright.draft.scanned import normal_at
from cagewright.plan.types import FootEntry, Plan
from cagewright.shape.drafts import points_of
from cagewright.shape.resolve import resolve
from cagewright.shape.scan import Scan
from cagewright.shape.shell import shell_of
from cagewright.shape.types import Array
from cagewright.stock.shop import Shop


def brought_to(made: Drafted, scan: Scan, shop: Shop, *, gap: float) -> Drafted:
    """The draft with its turret plates square to the scan and its tubes moved to the ``gap`` (mm) from it.

    No tube lies worse than it was drafted: what ``fit`` would not better stays.
    """
    plan = _seated(made.plan, scan)
    shell = shell_of(resolve(plan), scan)
    if shell.scan is None:
        return replace(made, plan=plan, said=(*made.said, shell.refused))
    plan, report = fit(plan, shell, Freedom(gap=gap, least=min(5.0, gap)), shop)
    comments = dict(made.comments)
    for one in report.members:
        if one.tight is not None and one.tight.after is not None:
            least, _, most = one.tight.after
            units = plan.house_units
            words = f"gap to the scan {span(least, most, 'length', units)}{good_to(one.give, units)}"
            comments["members", one.member] = "; ".join([words, *one.tight.held])
    return replace(made, plan=plan, comments=comments)


def _seated(plan: Plan, scan: Scan) -> Plan:
    """The plan with each turret plate square to the metal that it stands on, where the scan has it."""
    points = points_of(plan)
    feet = dict(plan.feet)
    for name, foot in plan.feet.items():
        place = points.get(foot.at) if isinstance(foot.at, str) else None
        if foot.on == "turret" and place is not None:
            feet[name] = _square(foot, np.array(place, dtype=np.float64), scan)
    return plan.model_copy(update={"feet": feet})


def _square(foot: FootEntry, place: Array, scan: Scan) -> FootEntry:
    normal = normal_at(scan, place, np.array(foot.normal))
    if normal is None:
        return foot
    x, y, z = (round(float(v), 3) for v in normal)
    return foot.model_copy(update={"normal": (x, y, z)})
