"""Findings about how near the tubes come to the people in their seats, and what is to be padded."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from cagewright.base.names import DRIVER, shown
from cagewright.base.say import say_length
from cagewright.base.units import LengthUnit
from cagewright.base.vectors import UP, Vector
from cagewright.check.body.finding import body_finding, length_of, spot
from cagewright.check.findings import KNOWN, Finding, Location, Verdict
from cagewright.plan.types import PersonEntry
from cagewright.shape.seated import (
    BodyGap,
    BodyPart,
    Limit,
    everybody,
    figures,
    limits,
    seated_gaps,
    seated_parts,
    sitting,
    template_helmet,
    whose_words,
)
from cagewright.shape.types import Cage, bodies_of, member_named

PADDED = "body-padding"
"""The check that says which tubes are padded."""
PARTS = {"helmet": "helmet", "shoulder": "shoulders", "hip": "hips", "knee": "knees"}


def driver_findings(cage: Cage) -> tuple[Finding, ...]:
    """Gaps from the tubes to helmet, shoulders, hips and knees, and the padding wanted."""
    if not bodies_of(cage):
        return (
            body_finding(
                "body-driver",
                "the driver has been measured in his seat",
                "cannot tell",
                where=Location(),
                why="the plan has no driver",
                advice="enter stature, hip point and back angle under driver",
            ),
        )
    gaps = seated_gaps(cage, everybody(cage))
    found = [finding for whose, body in sitting(cage) for finding in _near(cage, gaps, whose, body)]
    return (*found, *(_padding(pad, cage) for pad in pads_of(cage, gaps)))


def _near(cage: Cage, gaps: tuple[BodyGap, ...], whose: str, body: PersonEntry) -> Iterator[Finding]:
    parts = seated_parts(body, cage.units, whose=whose)
    own = tuple(gap for gap in gaps if gap.whose == whose)
    for limit in limits():
        yield from (_part_finding(gap, limit, parts, cage.units) for gap in _worth_saying(own, limit))
    yield from _template_finding(cage, whose, body)


def _template_finding(cage: Cage, whose: str, body: PersonEntry) -> list[Finding]:
    """Where the head was not measured: the tube nearest to the helmet of a tall person's template."""
    if body.head is not None or body.eyes is not None:
        return []
    part = replace(template_helmet(body), whose=whose)
    limit = next(limit for limit in limits() if limit.part == "helmet")
    gaps = seated_gaps(cage, (part,))[:1]
    found = [_part_finding(gap, limit, (part,), cage.units) for gap in gaps]
    return [
        replace(
            finding,
            rule="body-tall-helmet",
            title=f"no tube comes near a tall {shown(whose or DRIVER)}'s helmet",
            verdict="pass" if finding.verdict == "pass" else "look at",
        )
        for finding in found
    ]


def _worth_saying(gaps: tuple[BodyGap, ...], limit: Limit) -> list[BodyGap]:
    """Each tube once: those nearer than the limit, or in doubt, else the nearest one."""
    own: dict[str, BodyGap] = {}
    for gap in gaps:
        if gap.part == limit.part:
            own.setdefault(gap.member, gap)
    near = [gap for gap in own.values() if gap.gap - gap.doubt < limit.gap]
    return near or list(own.values())[:1]


def _verdict(gap: BodyGap, limit: Limit) -> Verdict:
    """Only a tube that is sure to stand where the driver is fails: no book of the plan asks for more."""
    memory = limit.certainty == "memory"
    if gap.overlap > gap.doubt and not memory:
        return "fail"
    if gap.gap - gap.doubt >= limit.gap:
        return "looks kept" if memory else "pass"
    return "look at" if gap.gap < limit.gap else "cannot tell"


def _part_finding(gap: BodyGap, limit: Limit, parts: tuple[BodyPart, ...], units: LengthUnit) -> Finding:
    part = next(p for p in parts if p.name == gap.part)
    short = limit.gap - gap.gap + gap.overlap
    why = f"{gap.words}: {part.source}" + (f", within {say_length(gap.doubt, units)}" if gap.doubt else "")
    return body_finding(
        f"body-{gap.part}",
        f"no tube comes near the {whose_words(gap.whose, PARTS[gap.part])}",
        _verdict(gap, limit),
        where=spot(gap.member, point=gap.on_tube),
        measured=length_of(gap.gap, units, _gap_words(gap, units)),
        limit=f"{say_length(limit.gap, units)} ({limit.source})",
        known=KNOWN[limit.certainty],
        why=why,
        advice=_advice(gap, part, short, units) if short > 0.0 else "",
    )


def _gap_words(gap: BodyGap, units: LengthUnit) -> str:
    at = f"at {say_length(gap.along, units, places=0)} from its start"
    if gap.overlap > 0.0:
        return f"stands in the {gap.words} by {say_length(gap.overlap, units)}, {at}"
    return f"{say_length(gap.gap, units)} from the {gap.words}, {at}"


def _advice(gap: BodyGap, part: BodyPart, short: float, units: LengthUnit) -> str:
    middle = (part.one + part.two) / 2.0
    away = gap.on_tube - middle
    upward = float(away @ UP) > 0.7 * float((away @ away) ** 0.5)
    way = "up" if upward else f"away from the {shown(part.whose or DRIVER)}"
    return f"move {gap.member} {say_length(short, units)} {way}, or the seat as far the other way"


@dataclass(frozen=True, slots=True, kw_only=True)
class Pad:
    """A tube that a strapped-in body can reach.

    Attributes:
        member: its name.
        stretches: (start, stop) from the member's start, mm, in order.
        parts: what of whom can reach it, in words.
        point: (3,) the nearest place of the tube, mm.
    """

    member: str
    stretches: tuple[tuple[float, float], ...]
    parts: tuple[str, ...]
    point: Vector


def pads_of(cage: Cage, gaps: tuple[BodyGap, ...] | None = None) -> tuple[Pad, ...]:
    """Every tube that a strapped-in body can reach, and from where to where."""
    reached: dict[str, list[BodyGap]] = {}
    for gap in seated_gaps(cage, everybody(cage)) if gaps is None else gaps:
        if gap.reach:
            reached.setdefault(gap.member, []).append(gap)
    return tuple(
        Pad(
            member=name,
            stretches=tuple(joined([stretch for gap in near for stretch in gap.reach])),
            parts=tuple(sorted({gap.words for gap in near})),
            point=near[0].on_tube,
        )
        for name, near in reached.items()
    )


def _padding(pad: Pad, cage: Cage) -> Finding:
    """The finding that the tube is padded: nothing in a plan says so, so that it is to be looked at."""
    table, units = figures()["padding"], cage.units
    said = " and ".join(
        f"from {say_length(a, units, places=0)} to {say_length(b, units, places=0)}" for a, b in pad.stretches
    )
    total = sum(b - a for a, b in pad.stretches)
    thick = say_length(table["thickness"], units, places=0)
    return body_finding(
        PADDED,
        f"tubes that {'the people' if len(cage.people) > 1 else 'the driver'} can reach are padded",
        "look at",
        where=spot(member_named(cage, pad.member).name, point=pad.point),
        measured=length_of(total, units, f"{', '.join(pad.parts)} can reach it {said} from its start"),
        limit=f"{thick} thick ({table['source']})",
        known=KNOWN[table["certainty"]],
        why="how far a strapped-in body moves is assumed, no source",
        advice=f"pad {pad.member} {said} from its start, at least {thick} thick",
    )


def joined(stretches: list[tuple[float, float]]) -> list[tuple[float, float]]:
    """The stretches (start, stop), mm, in order, with those that touch made one."""
    merged: list[tuple[float, float]] = []
    for start, stop in sorted(stretches):
        if merged and start <= merged[-1][1] + 20.0:
            merged[-1] = (merged[-1][0], max(stop, merged[-1][1]))
        else:
            merged.append((start, stop))
    return merged
