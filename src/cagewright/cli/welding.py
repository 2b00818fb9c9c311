"""The command on what welding moves: each weld's pull, a better order, presets, and the shop's own factor."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Any

import numpy as np
import typer

from cagewright.base.cautions import CAUTIONS
from cagewright.base.problems import Problem, ProblemsFound, Where
from cagewright.cli.fitup import StepNumber, adjusted_file, steps_of
from cagewright.cli.frames import speaking_of_frames
from cagewright.cli.output import AsJson, PlanPath, emit, out, show_table
from cagewright.fitup.shrink import FIGURES, ShopFactor, Shrunk, preset
from cagewright.fitup.weldstep import (
    WeldStep,
    factor_from,
    first_words,
    gain_words,
    order_table,
    preset_words,
    weld_step,
)
from cagewright.job.opening import Job, open_job

Read = Annotated[
    Path | None, typer.Option(metavar="READINGS", help="Readings file of the same marks at that time.")
]


def shrink(
    plan: PlanPath,
    step: StepNumber,
    factor: Annotated[
        float | None,
        typer.Option(min=0.01, max=10.0, help="The shop's own factor; from its file where not given."),
    ] = None,
    before: Read = None,
    after: Read = None,
    as_json: AsJson = False,
) -> None:
    """Say what a step's welds pull, in which order to weld and how to set off; or find the shop's factor."""
    if (before is None) != (after is None):
        raise typer.BadParameter("--before and --after go together: readings before the welds and after them")
    with speaking_of_frames(as_json=as_json):
        job = open_job(plan)
        steps = steps_of(job)
        if step > len(steps):
            raise typer.BadParameter(f"there are {len(steps)} steps")
        found = weld_step(job.cage, steps, step, factor=factor or job.shop.weld_shrinkage)
        own = _factor(job, found, before, after) if before and after else None
    if as_json:
        emit(_row(job, found, own))
        return
    _say(job, found, own)


def _factor(job: Job, found: WeldStep, before: Path, after: Path) -> ShopFactor:
    """The shop's own factor from both readings files.

    Raises:
        ProblemsFound: no end was read both times that these welds move enough to tell by.
    """
    own = factor_from(found, *(adjusted_file(job, path)[1] for path in (before, after)))
    if not own.count:
        wanted = "wanted readings of ends that the welds of this step move, before and after"
        said = "no end that was read both times moves enough to tell the factor by"
        where = Where(file=after.as_posix())
        raise ProblemsFound([Problem(code="no-factor", where=where, found=said, wanted=wanted)])
    return own


def _say(job: Job, found: WeldStep, own: ShopFactor | None) -> None:
    out.print(f"Step {found.step.number}: {found.step.title}.", markup=False)
    if found.proposed.beads:
        show_table(order_table(job.cage, found))
    out.print(gain_words(found), markup=False)
    for words in preset_words(job.cage, found, job.cage.units):
        out.print(words, markup=False)
    if found.feet:
        out.print(f"Nothing is computed of the welds at feet: {', '.join(found.feet)}.", markup=False)
    if own is not None:
        out.print(_own_words(own), markup=False)
    out.print(f"Shrinkage times {found.factor:g}. What it rests on:", markup=False)
    for what, figure, source in FIGURES:
        out.print(f"  {what}: {figure} ({source})", markup=False)
    for caution in CAUTIONS:
        out.print(caution, markup=False)


def _own_words(own: ShopFactor) -> str:
    poor = (
        "" if own.fits <= 2.0 else "; the readings do not follow the model well: read again before using it"
    )
    return (
        f"This shop's factor, from {own.count} ends: {own.value:.2f} ± {1.96 * own.spread:.2f}{poor}. "
        f"Put 'weld_shrinkage: {own.value:.2f}' into the shop file to use it."
    )


def _row(job: Job, found: WeldStep, own: ShopFactor | None) -> dict[str, Any]:
    pulls = {p.joint: p for p in found.pulls}
    return {
        "step": found.step.number,
        "factor": found.factor,
        "order": [
            {"weld": b.joint, "begin": first_words(job.cage, b),
             "drawn_mm": round(pulls[b.joint].drawn, 3), "upper_mm": round(pulls[b.joint].upper, 3),
             "worst_after_mm": round(float(r.max(initial=0.0)), 2)}
            for b, r in zip(found.proposed.beads, found.proposed.running, strict=True)
        ],
        "worst_mm": {"listed": round(found.as_listed.worst, 2), "proposed": round(found.proposed.worst, 2)},
        "set_off_mm": _set_off(found.proposed),
        "feet": list(found.feet),
        "own_factor": None if own is None else {
            "value": round(own.value, 3), "spread": round(own.spread, 3), "count": own.count,
            "fits": round(own.fits, 2),
        },
        "cautions": list(CAUTIONS),
    }  # fmt: skip


def _set_off(shrunk: Shrunk) -> dict[str, list[float]]:
    off = np.round(preset(shrunk), 2).tolist()
    return {w.name: row for w, row in zip(shrunk.watched, off, strict=True)}
