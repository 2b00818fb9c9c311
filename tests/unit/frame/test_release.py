"""What lets go: the rest takes its force, the travel stays, and the energy account still closes."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from cagewright.frame.assemble import Assembly
from cagewright.frame.choices import Choices
from cagewright.frame.contact import Platen, push_with
from cagewright.frame.continuation import Steps
from cagewright.frame.model import Material, Part, Springs, bilinear, clamped, frame_model, tube_sections
from cagewright.frame.release import Watch
from cagewright.frame.tearing import tube_watch
from cagewright.frame.travel import push_point
from cagewright.frame.yields import hardening_of, tear_of
from cagewright.stock.catalogue import steels

YOUNG, FY = 210e3, 350.0
AREA = np.pi * 42.5 * 2.5


def steel(tear: float = np.inf, fy: float = FY) -> Material:
    return Material(
        young=YOUNG, shear=81e3, curve=bilinear(fy=fy, hardening=1e-4, young=YOUNG), tear=tear
    )  # fmt: skip


def posts(heights: list[float], tears: list[float], each: int = 10, top: bool = False):
    """Upright posts 300 mm apart, each of its own steel, on held feet; ``top`` ties them by a short stub."""
    nodes, ends, kind = [], [], []
    for k, high in enumerate(heights):
        first = len(nodes)
        nodes += [[300.0 * k, 0.0, high * i / each] for i in range(each + 1)]
        ends += [[first + i, first + i + 1] for i in range(each)]
        kind += [k] * each
    count = len(nodes)
    fixed = clamped(count, [k * (each + 1) for k in range(len(heights))])
    return frame_model(
        nodes=np.array(nodes), elements=np.array(ends),
        sections=tube_sections(np.full(len(ends), 45.0), np.full(len(ends), 2.5)),
        materials=tuple(steel(t) for t in tears), material=np.array(kind), fixed=fixed,
    )  # fmt: skip


def closes(got, rel: float = 5e-3) -> None:
    gap = got.work - got.stored - got.dissipated
    assert np.abs(gap).max() < rel * got.work[-1]
    assert (np.diff(got.dissipated) > -1e-6 * got.work[-1]).all()


def test_a_pulled_tube_tears_at_its_limit_and_gives_back_what_it_stored():
    model = posts([1000.0], [0.05])
    got = push_point(
        model, node=10, direction=np.array([0, 0, 1.0]), target=80.0, watches=(tube_watch(model),)
    )
    (loss,) = got.losses
    assert loss.kind == "tube"
    assert loss.travel == pytest.approx(50.0, rel=0.01)
    assert loss.before == pytest.approx(FY * AREA, rel=5e-3)
    assert abs(loss.after) < 1e-3 * loss.before
    assert got.reached
    k = loss.step
    assert got.travel[k] == got.travel[k - 1]
    stored = 0.5 * (loss.before / AREA) ** 2 / YOUNG * AREA * 1000.0
    assert got.stored[k - 1] == pytest.approx(stored, rel=1e-3)
    assert got.stored[k] < 1e-6 * stored
    assert got.dissipated[k] - got.dissipated[k - 1] == pytest.approx(stored, rel=1e-3)
    assert np.abs(got.load[k:]).max() < 1e-3 * loss.before
    closes(got)


def test_without_a_watch_nothing_tears():
    model = posts([1000.0], [0.05])
    got = push_point(model, node=10, direction=np.array([0, 0, 1.0]), target=80.0)
    assert not got.losses
    assert got.load[-1] == pytest.approx(FY * AREA, rel=1e-2)


def frame_of_two(tears=(0.08, np.inf)):
    """A post and a shorter one beside it, joined at the top by a stiff tube, pulled up at the joined top."""
    model = posts([1000.0, 1000.0], list(tears))
    ends = np.concatenate([model.elements, [[10, 21]]])
    return frame_model(
        nodes=model.nodes, elements=ends,
        sections=tube_sections(np.append(np.full(20, 45.0), 90.0), np.append(np.full(20, 2.5), 10.0)),
        materials=(*model.materials, Material(young=YOUNG, shear=81e3)),
        material=np.append(model.material, 2), fixed=model.fixed,
    )  # fmt: skip


def test_the_rest_carries_what_the_frame_without_the_torn_tube_carries():
    model = frame_of_two()
    way = np.array([0.0, 1.0, 0.0])
    got = push_point(model, node=21, direction=way, target=400.0, watches=(tube_watch(model),))
    assert got.reached
    (loss,) = got.losses
    assert loss.part.elements[0] in (0, 1), "a cantilever tears at its foot"
    closes(got)
    # perfectly plastic, and bent the same way all along: the post that stays carries its own Mp / L less
    # what its leaning costs
    assert loss.after < 0.6 * loss.before
    single = posts([1000.0], [np.inf])
    other = push_point(single, node=10, direction=way, target=float(got.travel[loss.step]))
    assert loss.after == pytest.approx(other.load[-1], rel=0.05)


def test_a_platen_goes_on_when_the_post_under_it_tears_and_presses_on_what_it_meets_next():
    model = frame_of_two((0.03, 0.03))
    press = Platen(
        centre=np.array([150.0, 300.0, 1000.0]), normal=np.array([0, -1.0, 0]), along=np.array([1.0, 0, 0]),
        length=600.0, width=100.0,
    )  # fmt: skip
    got = push_with(
        model, press=press, target=200.0, watches=(tube_watch(model),), steps=Steps(size=3.0, tolerance=1e-4)
    )
    assert len(got.losses) == 2
    assert got.reached
    k = got.losses[-1].step
    assert np.abs(got.load[k + 1 :]).max() < 0.02 * got.load.max(), "nothing holds the tops any more"
    closes(got, rel=0.02)


def test_a_spring_lets_go_at_its_watch_and_the_rest_stands_alone():
    model = posts([500.0], [np.inf])
    model = replace(
        model, springs=Springs(node=np.array([10]), dof=np.array([1]), stiffness=np.array([50.0]),
                               capacity=np.full((1, 2), np.inf), names=("prop",)),
    )  # fmt: skip
    watch = Watch(
        kind="foot", shares=lambda a: np.abs(a.ties.spring_force) / 200.0,
        part=lambda _, row: Part(springs=(row,), name="prop"),
    )  # fmt: skip
    got = push_point(model, node=10, direction=np.array([0, 1.0, 0]), target=8.0, watches=(watch,))
    (loss,) = got.losses
    assert loss.travel == pytest.approx(4.0, rel=0.02)
    plain = push_point(
        replace(model, springs=Springs()), node=10, direction=np.array([0, 1.0, 0]), target=8.0
    )
    assert got.load[-1] == pytest.approx(plain.load[-1], rel=1e-4)
    assert loss.before - loss.after == pytest.approx(50.0 * got.travel[loss.step], rel=1e-3)
    closes(got)


def test_a_steel_hardens_to_its_true_ultimate_and_tears_at_its_elongation():
    """E355+N, EN 10305-1: 355, 490 MPa, 22 %: half of that is 11 %, 543.9 MPa true at ln 1.11 (by hand)."""
    choices, row = Choices(), steels()["E355+N"]
    curve = hardening_of(row, choices)
    assert curve.stress == pytest.approx([355.0, 543.9])
    assert curve.strain[1] == pytest.approx(np.log(1.11) - 543.9 / 210e3)
    assert tear_of(row, choices) == pytest.approx(0.22)
    known = hardening_of(replace(row, uniform=14.0), choices)
    assert known.stress[1] == pytest.approx(490.0 * 1.14)
    assert len(hardening_of(replace(row, tensile=None), choices).strain) == 1, "nothing known: no hardening"


def test_a_watch_is_asked_after_every_kept_step():
    model, asked = posts([500.0], [np.inf]), []

    def shares(a: Assembly) -> np.ndarray:
        asked.append(float(a.strains.max()))
        return np.zeros(1)

    watch = Watch(kind="joint", shares=shares, part=lambda _, row: Part())
    got = push_point(model, node=10, direction=np.array([0, 1.0, 0]), target=8.0, watches=(watch,))
    assert len(asked) == len(got.travel) - 1
    assert not got.losses
