"""An invented shop, and members and tees made by hand, for the tests of the shop's papers."""

import math
from dataclasses import replace

import numpy as np

from cagewright.base.curves import Line, chain
from cagewright.base.vectors import unit
from cagewright.shape.types import Cage, Cope, End, Joint, Member
from cagewright.stock.benders import Die, Trial
from cagewright.stock.shop import Offcut, Shop, StockLength
from handmade import BAR, HOOP, bent, cope, flat

DEG = math.pi / 180.0
HOOP_DIE = Die(
    name="hoop die", od=45.0, clr=135.0, least_straight=60.0, grip=160.0, tail=90.0,
    trials=(
        Trial(set_angle=47.0 * DEG, got_angle=45.0 * DEG),
        Trial(set_angle=93.0 * DEG, got_angle=90.0 * DEG),
    ),
)  # fmt: skip
BAR_DIE = Die(name="bar die", od=38.0, clr=114.0, least_straight=50.0, grip=140.0, tail=80.0)
SHOP = Shop(
    name="Tidewater Fabrication", currency="EUR", kerf=2.0, trim=10.0, hole_saws=(38.0, 45.0, 51.0),
    dies=(HOOP_DIE, BAR_DIE),
    stock=(
        StockLength(od=45.0, wall=2.5, steel="E355+N", length=6000.0, price=96.0),
        StockLength(od=38.0, wall=2.5, steel="E355+N", length=6000.0, price=81.0),
    ),
    offcuts=(Offcut(name="B1", od=38.0, wall=2.5, steel="E355+N", length=2145.0),),
)  # fmt: skip


def square(point, axis):
    """A square cut at ``point`` with the tube running off along ``axis``."""
    return flat(point, axis, axis, 22.5)


def tube_through(points, *, tube=HOOP, clr=135.0, name="tube", start=None, end=None):
    """A member through the points, square at both ends unless cuts are given."""
    spots = [np.array(p, float) for p in points]
    if len(spots) > 2:
        path, bends = bent(points, clr)
    else:
        path, bends = chain((Line(start=spots[0], stop=spots[1]),)), ()
    cuts = (
        start or square(spots[0], unit(spots[1] - spots[0])),
        end or square(spots[-1], unit(spots[-2] - spots[-1])),
    )
    return member_of(name, tube, path, bends, cuts)


def member_of(name, tube, path, bends, cuts):
    ends = tuple(
        End(which=w, cut=c, joint=_joint(name, w, c), foot=None, clocking=0.0, trim=_trim(c, tube))
        for w, c in zip(("start", "end"), cuts, strict=True)
    )  # fmt: skip
    return Member(
        name=name, role="cage reinforcement", tube=tube, tube_name="hoop" if tube is HOOP else "bar",
        path=path, bends=bends, ends=ends, end_clocking=0.0, length=path.length - ends[0].trim - ends[1].trim,
        mirror_of=None, removable=False, note="",
    )  # fmt: skip


def _joint(name, which, cut):
    return f"{name}.{which}" if isinstance(cut, Cope) else None


def _trim(cut, tube):
    if isinstance(cut, Cope):
        return float(min(cut.outside.min(), cut.inside.min()))
    return -tube.radius * math.tan(cut.tilt)


def cage_of(*members, joints=(), **more):
    """A cage of these members and joints."""
    given = {
        "title": "Test cage",
        "revision": "0123456789",
        "units": "mm",
        "feet": (),
        "plates": (),
        "gussets": (),
    }
    return Cage(members=members, joints=joints, lines=(), car=None, **(given | more))


def tee(*, angle=90.0, offset=0.0, tube=BAR, main_tube=HOOP, **changes):
    """A branch coped on a straight main at ``angle`` degrees; ``changes`` are made to its cope."""
    main = tube_through(((0.0, -400.0, 0.0), (0.0, 400.0, 0.0)), tube=main_tube, name="main")
    way = np.array([0.0, math.cos(angle * DEG), math.sin(angle * DEG)])
    # phi = 90 degrees lies towards +x here
    origin = np.array([offset, 0.0, 0.0])
    cut = cope(
        "main",
        np.array([0.0, 1.0, 0.0]),
        tube=tube,
        main_tube=main_tube,
        origin=origin,
        axis=way,
        offset=offset,
    )
    cut = replace(cut, **changes)
    branch = tube_through((origin, origin + 500.0 * way), tube=tube, name="branch", start=cut)
    joint = Joint(
        name="branch.start", branch="branch", which="start", mains=cut.mains, along=(400.0,) * len(cut.mains),
        point=origin,
    )  # fmt: skip
    return cage_of(main, branch, joints=(joint,))
