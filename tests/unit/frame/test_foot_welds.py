"""A weld on a foot plate that is not all round: judged by the elastic line, the open side counted."""

import math

import pytest

from cagewright.frame.choices import Choices
from cagewright.frame.foot_use import foot_uses
from cagewright.frame.idealise import idealise
from cagewright.frame.respond import solve
from cagewright.shape.resolve import resolve
from push_cages import point_push, rigid
from small_plans import plan

LONG, RADIUS, WALL = 1000.0, 22.5, 2.5
STRENGTH = 360.0 / (math.sqrt(3.0) * 0.8)
"""fvw of mild plate: fu/(sqrt(3) beta_w), EN 1993-1-8:2005 4.5.3.3, figures from memory."""


def beam(open_=None):
    """A 45 x 2.5 across, built in at both ends on held feet."""
    weld = {"welds": {"start": {"open": open_}}} if open_ else {}
    path = [{"foot": "left"}, {"foot": "right"}]
    members = {"bar": {"role": "main rollbar", "tube": "hoop", "path": path, **weld}}
    feet = {"left": rigid((0, -LONG / 2, 900), (0, 1, 0)), "right": rigid((0, LONG / 2, 900), (0, -1, 0))}
    return resolve(plan(members, feet=feet))


def used(cage):
    """Use of the left foot with the middle pressed down 0.5 mm."""
    model = idealise(cage, Choices(softened="none"), {"bar": (LONG / 2,)})
    answer = solve(model, point_push("bar", LONG / 2, (0.0, 0.0, -1.0), travel=0.5))
    uses = foot_uses(model, answer, len(answer.load) - 1)
    return next(u for u in uses if u.foot == "left"), answer, model


def by_hand(moment, gap):
    """Largest force per mm over strength of a ring with ``gap`` (rad) left out where the bending pulls most.

    Elastic line about its own centroid (any welding handbook), integrals in closed form.
    """
    half = gap / 2.0
    line = RADIUS * (2.0 * math.pi - gap)
    first = -2.0 * RADIUS**2 * math.sin(half)
    second = RADIUS**3 * (math.pi - half - 0.5 * math.sin(gap))
    centre = first / line
    about = second - line * centre**2
    far = max(RADIUS * math.cos(half) - centre, RADIUS + centre)
    return moment * far / about / (WALL * STRENGTH)


def test_an_open_quarter_is_judged_as_the_handbook_s_line():
    """A built-in beam pressed in the middle has P L/8 at its ends, pulling on top."""
    use, answer, model = used(beam(["top"]))
    moment = float(answer.load[-1]) * LONG / 8.0
    # 2 %: the tube stretches a little, and the line is cut into 180 pieces
    assert use.weld == pytest.approx(by_hand(moment, math.pi / 2.0), rel=0.02)
    assert any("bar on foot left" in note for note in model.notes)


def test_a_weld_all_round_is_taken_as_sound_and_the_side_left_open_counts():
    assert used(beam())[0].weld is None
    top, front = (used(beam([side]))[0].weld for side in ("top", "front"))
    # what is missing where the bending pulls costs more than what is missing beside it
    assert top > 1.2 * front > 0.0
