"""The next car of a kind: what the readings show of each move, the fewest of them, and what they say."""

from dataclasses import replace
from itertools import combinations

import numpy as np
import pytest

from bodies import BODIES, placed, readings, survey
from cagewright.base.outliers import limit_for
from cagewright.draft.measured import measured
from cagewright.draft.network import computed
from cagewright.draft.next_car import (
    ALIKE_SHELLS,
    FIND,
    Kind,
    _candidates,
    fewest_checks,
    found_from,
    kind_of,
)
from cagewright.draft.next_judged import judged
from cagewright.plan.readings import DRIVERS

BODY = BODIES["saloon"]


@pytest.fixture(scope="module")
def kind() -> Kind:
    return kind_of([measured(survey(BODY, noise=2.0))], tape=2.0)


@pytest.fixture(scope="module")
def rows(kind: Kind) -> tuple[int, ...]:
    return fewest_checks(kind)


def read(kind: Kind, rows, *, moved=None, body=BODY) -> dict:
    said = readings(body, moved)
    return {kind.keys[i]: said[kind.keys[i][0]][kind.keys[i][1]][0] for i in rows}


def test_what_a_reading_would_be_and_how_it_changes_is_plane_geometry():
    # 3-4-5: a distance of 500 mm that grows by 0.6 and 0.8 of what its end moves
    seen = next(o for o in _candidates(frozenset({"waist_left", "waist_right"}), 2.0) if o.part == "waist")
    at = {"waist_left": np.array([0.0, 0.0, 0.0]), "waist_right": np.array([0.0, 300.0, 400.0])}
    value, slope = computed([seen], at)
    assert value[0] == pytest.approx(500.0)
    assert slope[0] == pytest.approx([0.0, -0.6, -0.8, 0.0, 0.6, 0.8])


def test_the_readings_need_no_string_no_level_and_nobody_in_the_seat(kind: Kind):
    assert {key[0] for key in kind.keys} <= {
        "sill_over_floor", "hoop_widths", "hoop_cross", "front_widths", "pillar_length", "screen_cross",
        "rail_length", "rail_halves", "foot_cross", "front_reach", "roof_reach", "door_checks",
        "tunnel_checks", "turret_checks",
    }  # fmt: skip
    assert ("door_checks", "hoop_left") not in kind.keys  # the chalk line is put there, it is not found


def test_a_third_of_the_readings_shows_every_move_of_five_times_what_is_stated(kind: Kind, rows):
    assert len(rows) <= len(kind.keys) // 3 + 2
    far = found_from(kind, rows)
    assert all(x <= FIND * m.stated * 1.001 for x, m in zip(far, kind.moves, strict=True))


def test_no_fewer_do_where_every_choice_can_be_tried(kind: Kind):
    # the section at the hoop alone: every set of fewer readings is tried and shows less
    part = [i for i, key in enumerate(kind.keys) if key[0] == "turret_checks"]
    moves = [k for k, m in enumerate(kind.moves) if m.part == "rear turrets"]
    small = replace(
        kind, keys=tuple(kind.keys[i] for i in part), expected=kind.expected[part],
        covariance=kind.covariance[np.ix_(part, part)], moves=tuple(kind.moves[k] for k in moves),
        shows=kind.shows[np.ix_(part, moves)],
    )  # fmt: skip
    taken = fewest_checks(small, find=60.0)
    assert 2 <= len(taken) < len(part)
    for fewer in combinations(range(len(part)), len(taken) - 1):
        far = found_from(small, fewer)
        assert (far > 60.0).any()


def test_a_car_just_like_it_is_the_same(kind: Kind, rows):
    found = judged(kind, read(kind, rows))
    assert (found.verdict, found.found, found.doubted) == ("the same", (), None)


def test_a_roof_that_stands_higher_on_both_sides_is_another_version(kind: Kind, rows):
    where = placed(BODY)
    up = {
        n: p + np.array([0.0, 0.0, 70.0]) for n, p in where.items() if n.startswith(("cant_rail", "rail_mid"))
    }
    found = judged(kind, read(kind, rows, moved=up))
    assert found.verdict == "differs"
    assert any(
        m.part == "roof rails" and m.side == "both" for m in (found.found[0].move, *found.found[0].alike)
    )
    assert abs(found.found[0].far) == pytest.approx(70.0, abs=25.0)


def test_one_side_further_back_is_bent(kind: Kind, rows):
    where = placed(BODY)
    back = {n: p + np.array([80.0, 0.0, 0.0]) for n, p in where.items() if n.endswith("_left")
            and n.startswith(("front_foot", "pillar"))}  # fmt: skip
    assert judged(kind, read(kind, rows, moved=back)).verdict == "bent"


def test_one_misread_tape_is_read_again_and_blamed_on_no_body(kind: Kind, rows):
    said = read(kind, rows)
    key = ("turret_checks", "left")
    assert key in said
    whole = read(kind, range(len(kind.keys)))
    found = judged(kind, whole | {key: whole[key] + 150.0})
    assert (found.verdict, found.doubted) == ("cannot tell", key)


def test_what_was_not_read_cannot_be_told(kind: Kind, rows):
    said = read(kind, rows)
    none = judged(kind, {k: v for k, v in said.items() if k[0] != "turret_checks"})
    assert none.verdict == "cannot tell"
    assert {m.part for m in none.unseen} >= {"rear turrets"}
    assert judged(kind, {}).verdict == "cannot tell"


def test_false_alarms_are_held_over_all_that_is_tested(kind: Kind, rows):
    found = judged(kind, read(kind, rows))
    assert found.limit == pytest.approx(limit_for(len(kind.moves) + len(rows)))


def test_more_bodies_of_the_kind_say_how_far_sound_ones_differ():
    alike = [measured(survey(BODY, noise=0.5, seed=i)) for i in range(4)]
    assert kind_of(alike, tape=0.5).alike < 0.8 * ALIKE_SHELLS
    random = np.random.default_rng(1)
    metal = {n: p for n, p in placed(BODY).items() if n not in DRIVERS}
    moved = [{n: p + random.normal(0.0, 8.0, 3) for n, p in metal.items()} for _ in range(3)]
    apart = [measured(survey(BODY, moved=marks)) for marks in moved]
    assert kind_of(apart, tape=0.5).alike > 1.3 * ALIKE_SHELLS
