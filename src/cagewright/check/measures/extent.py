"""Measures of how far the cage reaches."""

from __future__ import annotations

from cagewright.check.attitude import points_of
from cagewright.check.bench import Gauged
from cagewright.check.findings import Location
from cagewright.check.readings import Amount, Measure, exact, unknown
from cagewright.check.rules import Rule
from cagewright.check.select import chosen
from cagewright.shape.types import Cage, Member


def inside_body_line(cage: Cage, rule: Rule, bench: Gauged) -> tuple[Amount, ...]:
    """How far the chosen members stay behind a line at the front, or ahead of one at the rear, mm.

    The line is the body line whose name or note holds the row's words, taken where it is nearest to the cage.
    """
    del bench
    picked = chosen(cage, rule)
    if not picked:
        return ()
    words = rule.opening.lower()
    lines = [line for line in cage.lines if words in f"{line.name.replace('_', ' ')} {line.note}".lower()]
    sign = -1.0 if rule.line == "front" else 1.0
    reach, member = max(((_reach(m, sign), m) for m in picked), key=lambda pair: pair[0])
    spot = Location(members=(member.name,))
    if not lines:
        ask = f"measure where the {rule.opening} stands and enter it under shell, lines, by that name"
        return (unknown(spot, f"no body line called '{rule.opening}'", ask),)
    limit = min(float((sign * line.points[:, 0]).min()) for line in lines)
    return (exact(spot, limit - reach),)


def _reach(member: Member, sign: float) -> float:
    return float((sign * points_of(member.path)[:, 0]).max()) + member.tube.radius


MEASURES = (
    Measure(
        name="inside body line", per="cage", sort="length", needs=("members", "opening", "line"),
        take=inside_body_line,
        meaning=(
            'How far the furthest of the members stays behind (`line = "front"`) or ahead of (`line = '
            '"rear"`) the body line whose name or note holds `opening`.'
        ),
        passes="120 mm behind the line called 'front suspension' against at least 0 mm",
        fails="a foot 30 mm ahead of it against the same",
        more="bring {what} back inside by {by}", less="reach {what} out by {by}",
    ),
)  # fmt: skip
