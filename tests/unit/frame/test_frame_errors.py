"""Frames that cannot stand are refused in the builder's words, with the members named."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from frame_cases import model_of, portal_data

from cagewright.frame.errors import FrameError
from cagewright.frame.linear import solve_linear
from cagewright.frame.model import Bars, Material, Springs, frame_model
from cagewright.frame.travel import push_point
from frame_materials import plain_sections


def named(**more):
    model = model_of(portal_data())
    names = ["left leg"] * 10 + ["top"] * 12 + ["right leg"] * 10
    return replace(model, names=tuple(names), **more)


def refusal(model) -> str:
    with pytest.raises(FrameError) as caught:
        solve_linear(model, np.zeros((1, len(model.nodes), 6)))
    words = str(caught.value)
    assert "singular" not in words
    assert "matrix" not in words
    with pytest.raises(FrameError):
        push_point(model, node=12, direction=np.array([0, 0, -1.0]), target=10.0)
    return words


def test_good_frame_is_accepted():
    assert solve_linear(named(), np.zeros((1, 33, 6))).displacement.shape == (1, 33, 6)


def test_mechanism_names_the_member_that_moves():
    model = named()
    fixed = np.zeros_like(model.fixed)
    fixed[0, :3] = True
    assert "mechanism" in refusal(replace(model, fixed=fixed))
    assert "'left leg'" in refusal(replace(model, fixed=fixed))


def test_twisting_strut_is_a_mechanism():
    model = named()
    fixed = np.zeros_like(model.fixed)
    fixed[[0, 32], :3] = True
    words = refusal(replace(model, fixed=fixed))
    assert "mechanism" in words
    assert "'top'" in words


def test_floating_member_is_named():
    model = named()
    elements = model.elements.copy()
    nodes = np.vstack([model.nodes, model.nodes[12] + [0, 0, 50.0]])
    elements[12] = [33, 13]  # the top is cut: still joined at the right
    cut = replace(
        model, nodes=nodes, elements=elements, fixed=np.vstack([model.fixed, np.zeros((1, 6), bool)])
    )
    solve_linear(cut, np.zeros((1, 34, 6)))
    loose = replace(cut, names=(*cut.names[:12], "loose bar", *cut.names[13:]))
    elements = elements.copy()
    elements[12] = [33, 34]
    loose = replace(
        loose, elements=elements, nodes=np.vstack([nodes, nodes[-1] + [0, 80.0, 0]]),
        fixed=np.vstack([cut.fixed, np.zeros((1, 6), bool)]),
    )  # fmt: skip
    assert "'loose bar' float" in refusal(loose)


def test_frame_on_nothing():
    model = named()
    assert "stands on nothing" in refusal(replace(model, fixed=np.zeros_like(model.fixed)))


def test_support_on_nothing():
    model = named()
    fixed = np.vstack([model.fixed, np.ones((1, 6), bool)])
    words = refusal(replace(model, nodes=np.vstack([model.nodes, [[0, 0, -500.0]]]), fixed=fixed))
    assert "node 33 holds nothing" in words


def test_spring_alone_holds_a_frame_up():
    model = named()
    springs = Springs(
        node=np.repeat([0, 32], 6), dof=np.tile(np.arange(6), 2), stiffness=np.full(12, 1e12),
        capacity=np.full((12, 2), np.inf),
    )  # fmt: skip
    soft = replace(model, fixed=np.zeros_like(model.fixed), springs=springs)
    loads = np.zeros((1, 33, 6))
    loads[0, 22, 1] = 1000.0
    hard = solve_linear(model, loads).displacement
    assert solve_linear(soft, loads).displacement == pytest.approx(hard, rel=1e-3, abs=1e-4)


def test_zero_length_element_is_named():
    model = named()
    nodes = model.nodes.copy()
    nodes[13] = nodes[12]
    assert "'top' has no length" in refusal(replace(model, nodes=nodes))


def test_absurd_sizes_are_named():
    model = named()
    thin = model.sections.area.copy()
    thin[3] = 0.0
    assert "'left leg': the area" in refusal(replace(model, sections=replace(model.sections, area=thin)))
    stiff = model.bend_factor.copy()
    stiff[15] = np.nan
    assert "'top': the bend factor" in refusal(replace(model, bend_factor=stiff))
    lost = model.nodes.copy()
    lost[4, 2] = np.nan
    assert "node 4 has no place" in refusal(replace(model, nodes=lost))


def test_element_to_nowhere():
    model = named()
    ends = model.elements.copy()
    ends[2, 1] = 77
    assert "does not exist" in refusal(replace(model, elements=ends))


def test_side_direction_along_the_tube():
    model = named()
    toward = model.toward.copy()
    toward[12] = [0, 1.0, 0]
    assert "'top': its side direction" in refusal(replace(model, toward=toward))


def test_bars_that_form_a_mechanism():
    nodes = np.array([[0, 0, 0], [500, 0, 0], [500, 0, 500], [0, 0, 500.0]])
    fixed = np.zeros((4, 6), bool)
    fixed[:2] = True
    fixed[:, 1] = True
    bars = Bars(ends=np.array([[0, 3], [1, 2], [2, 3]]), area=np.full(3, 100.0), material=np.zeros(3, int),
                slack=np.zeros(3, bool))  # fmt: skip
    model = frame_model(
        nodes=nodes, elements=np.zeros((0, 2), int), fixed=fixed, materials=(Material(young=2e5, shear=8e4),),
        sections=plain_sections(0, area=1, inertia_y=1, inertia_z=1, torsion=1), bars=bars,
    )  # fmt: skip
    with pytest.raises(FrameError, match="mechanism: bar"):
        solve_linear(model, np.zeros((1, 4, 6)))


def test_empty_frame():
    model = named()
    empty = frame_model(
        nodes=model.nodes, elements=np.zeros((0, 2), int), fixed=model.fixed, materials=model.materials,
        sections=plain_sections(0, area=1, inertia_y=1, inertia_z=1, torsion=1),
    )  # fmt: skip
    with pytest.raises(FrameError, match="no members"):
        solve_linear(empty, np.zeros((1, 33, 6)))
