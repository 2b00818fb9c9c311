"""What a tube's readings file says of the tube that was meant: readings that can be used, and why not."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from cagewright.base.problems import Problem, nearest_word
from cagewright.fitup.possible import RefusedReading
from cagewright.fitup.tube import TUBE_KINDS, TUBE_SIZES, TubeKind, TubeOnBench, TubeReading, expected
from cagewright.plan.emit import flow, scalar
from cagewright.plan.tube_file import LINE_KINDS, ReadTubeFile, TubeFile, TubeLine

FAR = 150.0
"""A length this far from the plan (and this share of it) is no reading of this tube, mm (assumed)."""
FAR_SHARE = 0.3
SHARPEST = np.radians(180.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class TubeTaken:
    """Readings of a tube.

    Attributes:
        used: those that can be used.
        problems: those that cannot, and why.
        unread: how many are not taken yet.
    """

    used: tuple[TubeReading, ...]
    problems: tuple[Problem, ...]
    unread: int


def taken_of(read: ReadTubeFile, bench: TubeOnBench) -> TubeTaken:
    """The file's readings of that tube."""
    used, problems, unread = list[TubeReading](), list[Problem](), 0
    for i, line in enumerate(read.file.readings):
        where = read.where("readings", i)
        if line.says is None:
            unread += 1
            continue
        try:
            used.append(_reading(line, bench))
        except RefusedReading as no:
            near = nearest_word(*no.like) if no.like else None
            problems.append(
                Problem(
                    code=no.code,
                    where=where,
                    found=f"{said_line(line)}: {no}",
                    wanted=no.wanted,
                    nearest=near,
                )
            )
    return TubeTaken(used=tuple(used), problems=tuple(problems), unread=unread)


def said_line(line: TubeLine) -> str:
    """What the line is of, in the file's words."""
    kind = next(k for k in LINE_KINDS if getattr(line, k) is not None)
    of = getattr(line, kind)
    return f"{kind} {' to '.join(of) if isinstance(of, tuple) else of}"


def _reading(line: TubeLine, bench: TubeOnBench) -> TubeReading:
    """The reading.

    Raises:
        RefusedReading: there is no such mark, straight or bend, or no tube can read so.
    """
    kind: TubeKind = next(k for k in TUBE_KINDS if getattr(line, k) is not None)
    bends = len(bench.planned.angles)
    a, b = line.chord or (line.height or "", "")
    number = line.straight or line.angle or line.flat or 0
    for name in (a, b):
        if name and name not in bench.marks:
            found, wanted = f"there is no '{name}'", f"wanted one of {', '.join(bench.marks)}"
            raise RefusedReading("unknown-mark", found, wanted, (name, bench.marks))
    if kind == "chord" and a == b:
        raise RefusedReading("same-mark", f"runs from '{a}' to itself", "wanted two marks")
    most = bends + 1 if kind == "straight" else bends
    if kind != "chord" and number > most:
        what = "straight" if kind == "straight" else "bend"
        found = f"there is no {what} {number}"
        wanted = f"wanted 1 to {most}" if most else "wanted other readings: the plan's tube has no bend"
        raise RefusedReading(f"unknown-{what}", found, wanted)
    reading = TubeReading(
        kind=kind, a=a, b=b, number=number, seen=line.says or 0.0, size=line.size or TUBE_SIZES[kind]
    )  # fmt: skip
    _possible(reading, bench)
    return reading


def _possible(r: TubeReading, bench: TubeOnBench) -> None:
    """Nothing, where a tube can read so.

    Raises:
        RefusedReading: no tube can.
    """
    if r.kind == "angle":
        if not 0.0 <= r.seen <= SHARPEST:
            raise RefusedReading("impossible", "no bend turns so far", "wanted 0 to 180 deg")
        return
    plan = expected(bench, r)
    if r.kind in ("chord", "straight") and r.seen < 0.0:
        raise RefusedReading("impossible", "is no length", "wanted 0 or more")
    if r.kind == "chord" and r.seen > bench.planned.length + FAR:
        found = f"the whole tube is {bench.planned.length:.0f} mm along"
        raise RefusedReading("impossible", found, "wanted a straight line that the tube can reach")
    if abs(r.seen - plan) > max(FAR, FAR_SHARE * abs(plan)):
        for factor, words in ((25.4, "inches, read as mm"), (1 / 25.4, "mm, read as inches"), (10.0, "cm")):
            if abs(r.seen * factor - plan) < 0.05 * abs(plan):
                found = f"looks like {words} (the plan has {plan:.0f} mm)"
                raise RefusedReading("mixed-units", found, "wanted the unit written after the number")
        if r.kind == "height" or r.number not in (0, 1, len(bench.planned.straights)):
            wanted = "wanted it read again, or the tube it belongs to named"
            raise RefusedReading("impossible", f"the plan has {plan:.0f} mm", wanted)


# --- the text of a file


def tube_text(head: TubeFile, lines: tuple[tuple[Mapping[str, Any], str], ...]) -> str:
    """The text of a readings file: its head, and lines as ``{chord: [a, b], says: ...}`` with a remark."""
    data = head.model_dump(by_alias=True, exclude={"readings"}, exclude_defaults=True)
    said = [f"{scalar(key)}: {flow(value)}" for key, value in ({"cagewright-tube": 1} | data).items()]
    rows = [f"  - {flow(line)}{f'   # {remark}' if remark else ''}" for line, remark in lines]
    return "\n".join([*said, *(["readings:", *rows] if rows else ["readings: []"])]) + "\n"


def line_of(r: TubeReading, says: str) -> dict[str, Any]:
    """The reading as a line of the file."""
    of: dict[str, Any] = {
        "chord": {"chord": [r.a, r.b]}, "straight": {"straight": r.number}, "angle": {"angle": r.number},
        "height": {"height": r.a, "flat": r.number},
    }[r.kind]  # fmt: skip
    return of | {"says": says}
