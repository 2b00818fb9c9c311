"""Findings about the body and the driver.

Their book is ``body``: no series wrote it. Where a tube cuts into the body it fails, for that is geometry; a
distance that is only common practice warns.
"""

from __future__ import annotations

from collections.abc import Iterator

from cagewright.base.say import say_length
from cagewright.base.units import LengthUnit
from cagewright.check.body.body_offset import foot_findings, offset_findings
from cagewright.check.body.finding import body_finding, length_of, spot
from cagewright.check.body.in_the_way import in_the_way, misfit_findings, trim_findings, way_out
from cagewright.check.body.near_driver import driver_findings
from cagewright.check.findings import Finding, Location
from cagewright.shape.body_offset import TARGET_GAP
from cagewright.shape.clearance import Cut, Gap
from cagewright.shape.scan import Scan
from cagewright.shape.scan_gap import clearances
from cagewright.shape.shell import Shell, shell_of
from cagewright.shape.trims import Trim
from cagewright.shape.types import Cage


def body_findings(cage: Cage, scan: Scan | None, *, target: float = TARGET_GAP) -> tuple[Finding, ...]:
    """Every finding about body and driver: what cuts in, gaps, hugging, feet, helmet and limbs, padding.

    ``target``, mm, is wanted between a tube and the structure it follows.
    """
    shell = shell_of(cage, scan)
    gaps = clearances(cage, shell)
    trims = in_the_way(cage, scan) if any(gap.cuts for gap in gaps) or cage.metal else ()
    return (
        *_known(shell),
        *misfit_findings(shell, cage.units),
        *(gap_finding(gap, trims, cage) for gap in gaps),
        *trim_findings(trims, cage.units),
        *offset_findings(cage, shell, target=target),
        *foot_findings(cage, shell),
        *driver_findings(cage),
    )


def _known(shell: Shell) -> Iterator[Finding]:
    """What is wrong with what is known of the body."""
    if not shell.lines and shell.scan is None:
        yield body_finding(
            "body-known",
            "the body has been measured where the tubes run",
            "cannot tell",
            where=Location(),
            why="neither a body line nor a scan is in the plan",
            advice="measure the roof rails, pillars and sills and enter them under shell, lines",
        )
    for note in shell.scan.notes if shell.scan is not None else ():
        wrong = "miss their measured places" in note
        yield body_finding(
            "body-scan",
            "the scan is whole and stands in its place",
            "cannot tell" if wrong else "pass",
            where=Location(),
            why=note,
            advice="pick and measure the points again" if wrong else "",
        )


def gap_finding(gap: Gap, trims: tuple[Trim, ...], cage: Cage) -> Finding:
    """The finding for one member against one piece of the body; ``trims`` stand in the tubes' ways."""
    units = cage.units
    title = "the tube passes the body without cutting into it"
    at = say_length(gap.along, units, places=0)
    if not gap.cuts:
        text = f"{say_length(gap.gap, units)} from {gap.to}, at {at} from its start"
        return body_finding(
            "body-clearance",
            title,
            "pass",
            where=spot(gap.member, point=gap.on_tube),
            measured=length_of(gap.gap, units, text),
            limit="no cut",
        )
    deepest = max(cut.depth for cut in gap.cuts)
    return body_finding(
        "body-clearance",
        title,
        "fail",
        where=spot(gap.member, point=gap.on_tube),
        measured=length_of(deepest, units, "; ".join(cut_words(cut, gap.to, units) for cut in gap.cuts)),
        limit="no cut",
        advice=way_out(gap, trims, cage),
    )


def cut_words(cut: Cut, to: str, units: LengthUnit) -> str:
    """One cut in words: how deep, over what length, where."""
    deep, start = say_length(cut.depth, units), say_length(cut.start, units, places=0)
    over = say_length(max(cut.stop - cut.start, 0.0), units, places=0)
    return f"cuts in by {deep} over {over} at {to}, from {start} from its start"
