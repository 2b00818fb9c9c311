"""Which units a scan's numbers may be in, by how large a car's body is: guessed and asked, never taken."""

from __future__ import annotations

from cagewright.shape.scan_file import ScanRefused
from cagewright.shape.scan_placing import MM_PER

SHELL_SIZE = (300.0, 8_000.0)
"""The longest extent of anything a builder scans of one car, mm: outside it the units are wrong (ours)."""
BODY_SIZE = (3_000.0, 6_000.0)
"""A car's body from end to end, mm (assumed): what comes out so is guessed before anything else."""


def likely_units(longest: float) -> tuple[str, ...]:
    """Units in which that extent, in a file's own numbers, can be of one car; a whole body's first."""
    fits = [unit for unit, per in MM_PER.items() if SHELL_SIZE[0] <= longest * per <= SHELL_SIZE[1]]
    return tuple(sorted(fits, key=lambda unit: not _whole(longest * MM_PER[unit])))


def _whole(size: float) -> bool:
    return BODY_SIZE[0] <= size <= BODY_SIZE[1]


def check_size(name: str, longest: float, units: str | None) -> tuple[str, ...]:
    """What to know of the units: that others would make it as long as a car; nothing where they are plain.

    Args:
        name: of the file.
        longest: its longest extent, in the file's own numbers.
        units: as stated; None where they are not.

    Raises:
        ScanRefused: they are not stated, or it can be no car in them; with the line to add.
    """
    likely, low, high = likely_units(longest), *SHELL_SIZE
    if not likely:
        found = f"'{name}' is {longest:.4g} in its longest extent: no car is so long in mm, cm, m or in"
        wanted = f"wanted between {low:.0f} and {high:.0f} mm for a car's shell"
        raise ScanRefused("scan-wrong-units", found, wanted)
    add = f"wanted units: {likely[0]} beside its file ({_long(longest, likely[0])})"
    if units is None:
        wanted = f"{add}, if the scanner's program wrote those"
        raise ScanRefused("scan-no-units", f"'{name}' does not say its units", wanted)
    size = longest * MM_PER[units]
    if units not in likely:
        found = f"read in {units}, '{name}' is {size:.4g} mm in its longest extent: wrong units?"
        raise ScanRefused("scan-wrong-units", found, add)
    if likely[0] != units and not _whole(size):
        return (f"read in {units} it is {_long(longest, units)}, in {likely[0]} {_long(longest, likely[0])}",)
    return ()


def _long(longest: float, units: str) -> str:
    size = longest * MM_PER[units]
    return f"{size:.0f} mm long" + (", as a car's body is" if _whole(size) else "")
