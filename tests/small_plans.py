"""Small plans for the tests of the shape stage."""

from cagewright.plan.types import Plan

HOOP = {"od": 45, "wall": 2.5, "steel": "E355+N", "clr": 135}
BAR = {"od": 38, "wall": 2.5, "steel": "E355+N", "clr": 114}


def plan(members, *, feet=None, tubes=None, **more):
    """A plan of members given as ``name: (tube, path)`` or as whole entries; feet as ``name: at``."""
    entries = {
        name: m if isinstance(m, dict) else {"role": "diagonal", "tube": m[0], "path": m[1]}
        for name, m in members.items()
    }
    stands = {
        name: f if isinstance(f, dict) else {"at": f, "on": "rigid", "plate": [100, 100, 3]}
        for name, f in (feet or {}).items()
    }
    return Plan.model_validate({
        "cagewright": 1,
        "title": "test",
        "tubes": {"hoop": HOOP, "bar": BAR, **(tubes or {})},
        "members": entries,
        "feet": stands,
        **more,
    })


def hoop(**changes):
    """A main hoop on two feet, four bends, as a member entry."""
    path = [
        {"foot": "left"},
        [0, -640, 700],
        [0, -500, 1240],
        [0, 500, 1240],
        [0, 640, 700],
        {"foot": "right"},
    ]
    return {"role": "main rollbar", "tube": "hoop", "path": path, **changes}


HOOP_FEET = {"left": [0, -640, 200], "right": [0, 640, 200]}


def post(height=1000.0):
    """An upright 45 mm post on the z axis between two feet, as members and feet."""
    return {"post": ("hoop", [{"foot": "low"}, {"foot": "high"}])}, {
        "low": [0, 0, -height / 2],
        "high": {"at": [0, 0, height / 2], "on": "rigid", "plate": [100, 100, 3], "normal": [0, 0, -1]},
    }


def on_post(path, *, tube="bar", **more):
    """The post and a member ``bar`` whose path ends on foot ``far`` at its last place."""
    members, feet = post()
    far = path[-1]
    towards = path[-2] if isinstance(path[-2], list) else [0, 0, 0]
    feet["far"] = {
        "at": far,
        "on": "rigid",
        "plate": [100, 100, 3],
        "normal": [float(t - f) for t, f in zip(towards, far, strict=True)],
    }
    members["bar"] = {"role": "diagonal", "tube": tube, "path": [*path[:-1], {"foot": "far"}], **more}
    return plan(members, feet=feet)
