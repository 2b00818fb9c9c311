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
from cagewright.shape.shell import Shell, lines_give, shell_of
from cagewright.shape.trims import Trim
from cagewright.shape.types import Cage

STANDS = "the scan is whole and stands in its place"


def body_findings(cage: Cage, scan: Scan | None, *, target: float = TARGET_GAP) -> tuple[Finding, ...]:
    """Every finding about body and driver: what cuts in, gaps, hugging, feet, helmet and limbs, padding.

    ``target``, mm, is wanted between a tube and the structure it follows.
    """
    shell = shell_of(cage, scan)
    gaps = clearances(cage, shell)
    scan = None if shell.refused else scan
    trims = in_the_way(cage, scan) if any(gap.cuts for gap in gaps) or cage.metal else ()
    return (
        *_known(shell),
        *misfit_findings(shell, cage.units),
        *(gap_finding(gap, trims, cage, shell) for gap in gaps),
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
    if shell.refused:
        yield body_finding(
            "body-scan",
            STANDS,
            "cannot tell",
            where=Location(),
            why=f"{shell.refused}: it is not used, gaps are taken from the lines",
            advice="pick six measured points on it; see whether left was taken for right",
        )
    for note in shell.scan.notes if shell.scan is not None else ():
        wrong = "miss their measured places" in note or "they were not used" in note
        yield body_finding(
            "body-scan",
            STANDS,
            "cannot tell" if wrong else "pass",
            where=Location(),
            why=note,
            advice="pick and measure the points again" if wrong else "",
        )


def gap_finding(gap: Gap, trims: tuple[Trim, ...], cage: Cage, shell: Shell) -> Finding:
    """The finding for one member against one piece of the body.

    What is nearer to no cut than the scan it was taken from is sure is neither passed nor failed; of a
    measured line it is told how far it may be out. ``trims`` stand in the tubes' ways.
    """
    units, scan = cage.units, shell.scan
    by_scan = scan is not None and gap.to == scan.name
    spread = max((line.spread for line in shell.lines if line.name == gap.to), default=0.0)
    give = scan.give if by_scan and scan is not None else lines_give(spread) if spread else 0.0
    deepest = max((cut.depth for cut in gap.cuts), default=0.0)
    within = f", good to +-{say_length(give, units, places=0)}" if give >= 0.5 else ""
    if gap.cuts:
        text = "; ".join(cut_words(cut, gap.to, units) for cut in gap.cuts) + within
    else:
        at = say_length(gap.along, units, places=0)
        text = f"{say_length(gap.gap, units)}{within} from {gap.to}, at {at} from its start"
    unsure = by_scan and max(deepest, gap.gap) < give
    why = "the scan is not sure enough to tell a touch from a gap here" if unsure else ""
    if scan is not None and by_scan and give and not scan.signed:
        why = f"{why}; " * bool(why) + "a cloud of points has no inside: a tube behind the metal looks clear"
    return body_finding(
        "body-clearance",
        "the tube passes the body without cutting into it",
        "cannot tell" if unsure else "fail" if gap.cuts else "pass",
        where=spot(gap.member, point=gap.on_tube),
        measured=length_of(deepest if gap.cuts else gap.gap, units, text),
        limit="no cut",
        why=why,
        advice="try it at the car with a piece of the tube" if unsure
        else way_out(gap, trims, cage) if gap.cuts else "",
    )  # fmt: skip


def cut_words(cut: Cut, to: str, units: LengthUnit) -> str:
    """One cut in words: how deep, over what length, where."""
    deep, start = say_length(cut.depth, units), say_length(cut.start, units, places=0)
    over = say_length(max(cut.stop - cut.start, 0.0), units, places=0)
    return f"cuts in by {deep} over {over} at {to}, from {start} from its start"
