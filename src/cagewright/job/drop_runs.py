"""A drop as the Strength page asks for it and shows it."""

from __future__ import annotations

from dataclasses import dataclass, fields
from datetime import UTC, datetime
from typing import Any, cast

from cagewright.base.units import Kind, QuantityError, parse
from cagewright.frame.errors import FrameError
from cagewright.frame.warm import warm_up
from cagewright.job.drop import DropCase, Way, drop
from cagewright.job.drop_types import DropAnswer
from cagewright.job.opening import Job, Step
from cagewright.job.strength_runs import choices_of
from cagewright.make.svg import to_svg

FIELDS: tuple[tuple[str, Kind], ...] = (
    ("height", "length"), ("roll", "angle"), ("pitch", "angle"), ("speed", "speed"),
)  # fmt: skip
WAYS: tuple[Way, ...] = ("nose", "tail", "left", "right")


@dataclass(frozen=True, slots=True, kw_only=True)
class DropShown(DropAnswer):
    """A drop that was run.

    Attributes:
        pictures: how it was let go, as SVG: seen from before its nose, then from its left.
        asked: the fields as they were filled in.
        when: it was run, ISO 8601 in UTC.
    """

    pictures: tuple[str, ...]
    asked: dict[str, str]
    when: str


def run_drop(job: Job, asked: dict[str, Any], step: Step) -> DropShown:
    """The drop that the page asks for.

    Args:
        job: the plan.
        asked: ``height``, ``roll``, ``pitch`` and ``speed`` as text, ``first``, ``choices``: switches.
        step: told what is being done.

    Raises:
        FrameError: a field says nothing that can be read, or the drop cannot be followed.
    """
    case = case_of(asked)
    warm_up(lambda done, parts, doing: step(doing, 0.1 * done / parts))
    answer, sheet = drop(job, case, choices_of(asked), step=step)
    told: dict[str, Any] = {f.name: getattr(answer, f.name) for f in fields(answer)}
    hanging = tuple(to_svg(d) for d in sheet.drawings if d.name.startswith("drop_hanging"))
    filled = {key: str(asked.get(key) or "") for key in (*(k for k, _ in FIELDS), "first")}
    return DropShown(
        **told, pictures=hanging, asked=filled, when=datetime.now(UTC).isoformat(timespec="seconds")
    )


def case_of(asked: dict[str, Any]) -> DropCase:
    """The drop that the fields say; what is left empty is 0, but for the height.

    Raises:
        FrameError: what each field that cannot be read should say.
    """
    read: dict[str, float] = {}
    wrong: list[str] = []
    for key, kind in FIELDS:
        text = str(asked.get(key) or "").strip()
        try:
            read[key] = parse(text, kind) if text or key == "height" else 0.0
        except QuantityError as fault:
            wrong.append(f"{key}: {fault}")
    first = asked.get("first") or "nose"
    if first not in WAYS:
        wrong.append(f"what goes first is one of {', '.join(WAYS)}")
    if wrong:
        raise FrameError(wrong)
    return DropCase(**read, first=cast("Way", first))
