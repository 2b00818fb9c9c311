"""What to do where a tube and the body want the same place: move the tube, trim, or ask first.

Metal is only taken as cut where the builder marked it trimmable; never what he marked as seam, anchorage,
rail or pillar; of unmarked metal it is said to ask first. Nothing is ever told to be hammered.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from cagewright.base.answers import Value
from cagewright.base.names import shown
from cagewright.base.say import say_length
from cagewright.base.units import LengthUnit
from cagewright.check.body.finding import body_finding, spot
from cagewright.check.findings import Finding, Location
from cagewright.shape.clearance import Gap
from cagewright.shape.scan import Scan
from cagewright.shape.shell import Shell, misfits
from cagewright.shape.trims import ADDED, Trim, metal_known, standing_of, trims_of
from cagewright.shape.types import Array, Cage

MISFIT = 15.0
"""A measured line that lies further than this from the scan is told, mm (ours: tape, picks and scan)."""


def in_the_way(cage: Cage, scan: Scan | None) -> tuple[Trim, ...]:
    """Every piece of the scan that a tube runs into, before anything is trimmed; nothing without a scan."""
    return () if scan is None else trims_of(cage, scan, metal_known(cage))


def trim_findings(trims: Sequence[Trim], units: LengthUnit) -> Iterator[Finding]:
    """One for each piece of trimmable metal: the checks are run with it gone."""
    for trim in trims:
        if trim.standing == "trimmable":
            yield body_finding(
                "body-trim",
                "metal in a tube's way is cut where it was marked trimmable",
                "look at",
                where=spot(trim.member, point=trim.at),
                measured=Value(
                    value=trim.area,
                    unit="mm2",
                    said=f"{area_words(trim, units)} of {shown(trim.mark)} stand before {shown(trim.member)}",
                ),
                why="every other check is run as if it were cut out already",
                advice=f"cut it by its template in the list of trims, or move {shown(trim.member)} in by "
                f"{say_length(move_in(trim.depth), units, places=0)}",
            )


def area_words(trim: Trim, units: LengthUnit) -> str:
    """The area that goes, in the words of the builder's units."""
    return f"{trim.area / 100.0:.0f} cm2" if units == "mm" else f"{trim.area / 645.16:.1f} sq in"


def move_in(depth: float) -> float:
    """How far a tube that is so deep in the body would have to come in to be clear, mm."""
    return depth + ADDED


def way_out(gap: Gap, trims: Sequence[Trim], cage: Cage) -> str:
    """What to do about a tube that cuts into the body.

    Args:
        gap: with its cuts.
        trims: every piece of the scan in the way.
        cage: whose marked metal and lines are known.
    """
    deepest = max(cut.depth for cut in gap.cuts)
    move = f"move {gap.member} in by {say_length(move_in(deepest), cage.units, places=0)}"
    mine = [trim for trim in trims if trim.member == gap.member]
    standing, mark = _standing(mine, gap.on_body[None], cage)
    near = gap.panel or gap.to
    if standing == "never":
        return f"{move}: {shown(mark)} is never cut"
    return f"{move}; whether the metal near {near} may be trimmed instead nobody has said: ask first"


def _standing(trims: Sequence[Trim], place: Array, cage: Cage) -> tuple[str, str]:
    kept = [trim for trim in trims if trim.standing == "never"]
    return (kept[0].standing, kept[0].mark) if kept else standing_of(place, metal_known(cage))


def misfit_findings(shell: Shell, units: LengthUnit) -> Iterator[Finding]:
    """Where a scan is there it rules: each measured line that lies elsewhere than the scan has metal."""
    for name, away in misfits(shell.lines, shell.scan) if shell.scan is not None else ():
        if away > MISFIT:
            said = say_length(away, units, places=0)
            yield body_finding(
                "body-lines",
                "the measured lines lie on the scan",
                "look at",
                where=Location(),
                measured=Value(value=away, unit="mm", said=f"{shown(name)} lies {said} from the scan"),
                why="gaps are taken from the scan; the line is not asked",
                advice="read the line again, or see whether the scan stands in its place",
            )
