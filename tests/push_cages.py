"""Small cages that the tests of the strength model push on, resolved from plans."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import numpy as np

from cagewright.frame.pushes import PointLoad, Push
from cagewright.job.opening import open_job
from cagewright.shape.resolve import resolve
from cagewright.shape.types import Cage
from small_plans import plan

DEMO = Path(__file__).parents[1] / "examples" / "brackwater.yaml"


@cache
def demo() -> Cage:
    """The demo car's cage."""
    return open_job(DEMO).cage


def rigid(at, normal=(0, 0, 1)):
    """A foot that is held, facing ``normal``."""
    return {"at": list(at), "on": "rigid", "plate": [100, 100, 3], "normal": list(normal)}


def on_sill(at, normal=(0, 0, 1), seat="sill", **more):
    """A foot on the shell."""
    return {"at": list(at), "on": seat, "plate": [120, 100, 3], "normal": list(normal), **more}


def beam(length=1000.0, tube="hoop", **more) -> Cage:
    """A straight tube across, built in at both ends, 900 mm up."""
    half = length / 2.0
    members = {"bar": {"role": "main rollbar", "tube": tube, "path": [{"foot": "left"}, {"foot": "right"}]}}
    feet = {"left": rigid((0, -half, 900), (0, 1, 0)), "right": rigid((0, half, 900), (0, -1, 0))}
    return resolve(plan(members, feet=feet, **more))


def tee(*, open_=None, foot=None, throat=None) -> Cage:
    """An upright 45 x 2.5 between held feet; a 38 x 2.5 bar from it 500 mm to the right on foot ``far``."""
    weld = {} if open_ is None and throat is None else {
        "welds": {"start": {k: v for k, v in (("open", open_), ("throat", throat)) if v is not None}}
    }  # fmt: skip
    members = {
        "post": ("hoop", [{"foot": "low"}, {"foot": "high"}]),
        "bar": {
            "role": "diagonal",
            "tube": "bar",
            "path": [{"on": "post", "up": 0}, {"foot": "far"}],
            **weld,
        },
    }
    feet = {
        "low": rigid((0, 0, -500)),
        "high": rigid((0, 0, 500), (0, 0, -1)),
        "far": foot or rigid((0, 500, 0), (0, -1, 0)),
    }
    return resolve(plan(members, feet=feet))


def hoop_cage(*, seat="rigid", extra=None, **more) -> Cage:
    """A hoop with two backstays and a straight bar between its legs, the same on both sides."""
    foot = {"on": seat, "plate": [130, 110, 3]}
    members = {
        "hoop": {
            "role": "main rollbar",
            "tube": "hoop",
            "path": [{"foot": "hoop_left"}, [0, -600, 700], [0, -500, 1200], [0, 500, 1200], [0, 600, 700],
                     {"foot": "hoop_right"}],
        },
        "stay_left": {
            "role": "backstay", "tube": "bar", "mirror": "stay_right",
            "path": [{"on": "hoop", "across": -400}, {"foot": "rear_left"}],
        },
        "cross": {
            "role": "harness bar", "tube": "bar",
            "path": [{"on": "hoop", "side": "left", "up": 650}, {"on": "hoop", "side": "right", "up": 650}],
        },
        **(extra or {}),
    }  # fmt: skip
    feet = {
        "hoop_left": {"at": [0, -600, 200], **foot, "mirror": "hoop_right"},
        "rear_left": {"at": [800, -450, 500], **foot, "mirror": "rear_right"},
    }
    return resolve(plan(members, feet=feet, car={"mass": "1000 kg"}, **more))


def point_push(member, along, force, *, travel=30.0, name="jack", demands=()) -> Push:
    """A place pushed."""
    return Push(
        name=name, title=name, kind="point", press=None, travel=travel, demands=tuple(demands),
        point_loads=(PointLoad(member=member, along=along, force=np.array(force, float)),),
        source="test", certainty="shop",
    )  # fmt: skip
