"""Small cages at random for the property tests of the shape stage.

A bent hoop, a bent leg and two straight bars. No two tubes that meet are equally thick: where a wall only
grazes its main, rounding decides whether it is met, and lengths there are good to a micrometre, not better.
"""

import math

import numpy as np
from hypothesis import strategies as st

from small_plans import plan

lean = st.floats(-1.0, 1.0)


@st.composite
def cages(draw):
    """What a cage is made of: places as arrays, tubes, and bars by their parts of the hoop and the leg."""
    shift = np.array([[draw(lean) * 30.0 for _ in range(3)] for _ in range(6)])
    hoop = np.array(
        [[0, -640, 200], [0, -640, 700], [20, -490, 1240], [20, 490, 1240], [0, 640, 700], [0, 640, 200]],
        float,
    )
    return {
        "hoop": hoop + shift,
        "leg": np.array([[-900, -600, 190], [-890, -600, 780], [-500, -500, 1190]], float) + shift[:3, ::-1],
        "part": draw(st.floats(0.41, 0.47)),
        "bars": [(draw(st.floats(0.08, 0.18)), draw(st.floats(0.3, 0.45)))],
        "stay": np.array([700.0, draw(lean) * 100 - 100, 500.0]),
        "on_top": draw(st.floats(0.53, 0.58)),
    }


def plan_of(cage, *, move=lambda p: p, turn=lambda v: v, scale=1.0, backwards=()):
    """The cage as a plan, moved, scaled, and with the named members' paths from last place to first."""

    def at(p):
        return [float(v) for v in move(np.asarray(p, dtype=float)) * scale]

    def foot(point, normal):
        return {
            "at": at(point),
            "on": "rigid",
            "plate": [90 * scale, 80 * scale, 3 * scale],
            "normal": [float(v) for v in turn(np.asarray(normal, dtype=float))],
        }

    def along(name, part):
        return {"on": name, "part": 1.0 - part if name in backwards else part}

    bar, leg_bar = cage["bars"][0]
    paths = {
        "hoop": ("hoop", [{"foot": "a"}, *(at(p) for p in cage["hoop"][1:-1]), {"foot": "b"}]),
        "leg": ("bar", [{"foot": "c"}, *(at(p) for p in cage["leg"][1:]), along("hoop", cage["part"])]),
        "door": ("rail", [along("leg", leg_bar), along("hoop", bar)]),
        "stay": ("bar", [along("hoop", cage["on_top"]), {"foot": "d"}]),
    }
    members = {n: (t, path[::-1] if n in backwards else path) for n, (t, path) in paths.items()}
    stay = cage["stay"]
    return plan(
        members,
        feet={
            "a": foot(cage["hoop"][0], [0, 0, 1]),
            "b": foot(cage["hoop"][-1], [0.1, 0, 1]),
            "c": foot(cage["leg"][0], [0, 0.2, 1]),
            "d": foot(stay, [-0.5, 0, 1]),
        },
        tubes={
            "hoop": {"od": 45 * scale, "wall": 2.5 * scale, "steel": "E355+N", "clr": 135 * scale},
            "rail": {"od": 30 * scale, "wall": 2.0 * scale, "steel": "E355+N"},
            "bar": {"od": 38 * scale, "wall": 2.5 * scale, "steel": "E355+N", "clr": 114 * scale},
        },
    )


def rotation(yaw, pitch, roll):
    """A rotation matrix (3, 3)."""
    c, s = math.cos, math.sin
    z = np.array([[c(yaw), -s(yaw), 0], [s(yaw), c(yaw), 0], [0, 0, 1]])
    y = np.array([[c(pitch), 0, s(pitch)], [0, 1, 0], [-s(pitch), 0, c(pitch)]])
    x = np.array([[1, 0, 0], [0, c(roll), -s(roll)], [0, s(roll), c(roll)]])
    return z @ y @ x
