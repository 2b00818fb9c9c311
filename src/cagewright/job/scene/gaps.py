"""How near the tubes come to the people and the body, worked out again only for tubes that have changed."""

from __future__ import annotations

from collections.abc import Hashable
from dataclasses import dataclass, replace

from cagewright.base.cache import Cache
from cagewright.job.scene.likeness import likenesses
from cagewright.shape.clearance import Gap, line_gaps
from cagewright.shape.seated import BodyGap, everybody, seated_gaps
from cagewright.shape.shell import shell_of
from cagewright.shape.types import Cage, Member, bodies_of

_people = Cache(3000)
_body = Cache(3000)


@dataclass(frozen=True, slots=True, kw_only=True)
class LeastGaps:
    """The nearest of all.

    Attributes:
        helmet: nearest tube to the helmet, or None with nobody in the car or with all of them far off.
        person: nearest tube to any other part of anybody.
        body: nearest tube to the measured body lines, or None where none was measured.
    """

    helmet: BodyGap | None
    person: BodyGap | None
    body: Gap | None


def least_gaps(cage: Cage) -> LeastGaps:
    """The least gaps to the people and to the body's measured lines (a scan takes longer: see the checks)."""
    keys = likenesses(cage)
    near = [gap for m in cage.members for gap in _to_people(cage, m, keys[m.name])]
    body = [gap for m in cage.members for gap in _to_body(cage, m, keys[m.name])]
    near.sort(key=lambda gap: (gap.gap, -gap.overlap))
    return LeastGaps(
        helmet=next((gap for gap in near if gap.part == "helmet"), None),
        person=next((gap for gap in near if gap.part != "helmet"), None),
        body=min(body, key=_depth, default=None),
    )


def _depth(gap: Gap) -> tuple[float, float]:
    return gap.gap, -max((cut.depth for cut in gap.cuts), default=0.0)


def _to_people(cage: Cage, member: Member, likeness: Hashable) -> tuple[BodyGap, ...]:
    bodies = bodies_of(cage)
    if not bodies:
        return ()
    alone = replace(cage, members=(member,))
    key = (likeness, *((whose, body.model_dump_json()) for whose, body in bodies))
    return _people.get(key, lambda: seated_gaps(alone, everybody(cage)))


def _to_body(cage: Cage, member: Member, likeness: Hashable) -> tuple[Gap, ...]:
    if not cage.lines:
        return ()
    alone = replace(cage, members=(member,))
    lines = tuple((line.name, line.note, line.points.tobytes()) for line in cage.lines)
    feet = tuple(foot.plate for end in member.ends for foot in cage.feet if foot.name == end.foot)
    return _body.get((likeness, lines, feet), lambda: line_gaps(alone, shell_of(cage, None)))
