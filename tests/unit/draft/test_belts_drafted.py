"""Belts drafted from the seated driver's readings, and what runs into an obstacle, told with how far."""

import math

import numpy as np
import pytest

from bodies import BODIES, SALOON, TUNNEL, points, survey, without
from cagewright.draft.belts import BESIDE_TUNNEL
from cagewright.draft.layout import draft
from cagewright.draft.limits import Limits
from cagewright.plan.survey import ObstacleEntry, SurveyCodriver, SurveyDriver
from cagewright.shape.resolve import resolve
from cagewright.stock.shop import NO_SHOP


@pytest.mark.parametrize("side", ["left", "right"])
@pytest.mark.parametrize("body", BODIES.values(), ids=BODIES)
def test_belts_lie_within_the_published_angles(body, side):
    sign = -1.0 if side == "left" else 1.0
    seated = {name: np.array(points(body)[name]) * [1.0, sign, 1.0] for name in ("hip", "helmet", "eye")}
    driver = SurveyDriver(side=side, stature=1790.0, helmet=300.0)
    cage = resolve(draft(survey(body, moved=seated, driver=driver), Limits(), NO_SHOP).plan)
    belts = cage.people[0].belts
    assert belts is not None
    at = {held.mount.name: held.mount for held in belts.mounts}
    hip = np.array(body.hip) * np.array([1.0, sign, 1.0])
    for which in ("left", "right"):
        lap = at[f"lap_{which}"].point - hip
        # Formula SAE Rules 2024, T.2.5.4 (read): 45 to 65 degrees to the horizontal
        assert 45.0 <= math.degrees(math.atan2(-lap[2], lap[0])) <= 65.0
        assert at[f"lap_{which}"].point[2] == pytest.approx(body.floor, abs=1.0)
        bar = at[f"shoulder_{which}"]
        assert bar.point[1] * sign > 0.0
        assert bar.member is not None
        assert bar.member.startswith("harness_bar")
    # T.2.6 (read): shoulder mounts 175 to 235 mm apart; T.2.7: crotch mounts some 100 mm apart
    assert 175.0 <= at["shoulder_right"].point[1] - at["shoulder_left"].point[1] <= 235.0
    assert at["crotch_right"].point[1] - at["crotch_left"].point[1] == pytest.approx(100.0, abs=1.0)


def test_a_lap_mount_stands_beside_the_tunnel_not_in_it():
    """The inner one would stand 115 mm from the centre line; the tunnel is 110 mm to either side."""
    cage = resolve(draft(survey(SALOON), Limits(), NO_SHOP).plan)
    belts = cage.people[0].belts
    assert belts is not None
    inner = next(b.mount for b in belts.mounts if b.mount.name == "lap_right")
    assert inner.point[1] == pytest.approx(-(TUNNEL[0] + BESIDE_TUNNEL), abs=1.0)


def test_a_codriver_has_belts_of_his_own_on_the_other_side():
    beside = SurveyCodriver.model_validate({"hip": (1260, 330, 250), "back_angle": "20 deg"})
    file = survey(SALOON).model_copy(update={"codriver": beside})
    plan = draft(file, Limits(), NO_SHOP).plan
    assert [*plan.people] == ["driver", "codriver"]
    assert plan.driver is None
    assert plan.belts is None
    cage = resolve(plan)
    at = {b.mount.name: b.mount.point for p in cage.people if p.belts for b in p.belts.mounts}
    assert at["driver.lap_left"][1] < 0.0 < at["codriver.lap_right"][1]
    assert plan.people["codriver"].hip == (1260.0, 330.0, 250.0)
    # Formula SAE Rules 2024, T.2.5.4 (read): 45 to 65 degrees to the horizontal
    drop, back = 250.0 - at["codriver.lap_right"][2], at["codriver.lap_right"][0] - 1260.0
    assert 45.0 <= math.degrees(math.atan2(drop, back)) <= 65.0


def test_without_the_floor_there_are_no_belts():
    assert draft(without(survey(SALOON), "floor_height"), Limits(), NO_SHOP).plan.belts is None


def test_a_tube_that_runs_into_an_obstacle_is_told():
    file = survey(SALOON)
    cage = resolve(draft(file, Limits(), NO_SHOP).plan)
    dash = next(m for m in cage.members if m.name == "dash_bar")
    middle = (dash.path.pieces[0].start + dash.path.pieces[-1].stop) / 2.0
    hit = ObstacleEntry.model_validate({
        "at": [float(v) for v in middle + np.array([30.0, 0.0, 0.0])],
        "size": 50.0,
    })
    clear = ObstacleEntry.model_validate({"at": [800.0, 0.0, 300.0], "size": 50.0})
    said = draft(
        file.model_copy(update={"obstacles": {"heater": hit, "tank": clear}}), Limits(), NO_SHOP
    ).said
    # its reach and half the tube less how far its middle stands off the axis: 50 + 19 - 30
    assert [s for s in said if "steering" in s] == [
        "steering clear of heater: dash_bar runs 39 mm into it; move the tube or the obstacle"
    ]
