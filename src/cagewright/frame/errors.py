"""What is wrong with a frame that cannot be solved, in the builder's words."""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from scipy.sparse import coo_matrix
from scipy.sparse.csgraph import connected_components

from cagewright.frame.assemble import Assembly, assembly, backsolve, evaluate, factorise
from cagewright.frame.kernels_arrays import cross_rows
from cagewright.frame.model import Flags, Floats, FrameModel, Ints

SHORTEST = 1e-6
"""An element shorter than this part of the frame's size has no direction worth the name."""


class FrameError(ValueError):
    """A frame that cannot be solved as drawn.

    Attributes:
        messages: what is wrong, one sentence each, at least one.
    """

    def __init__(self, messages: list[str]) -> None:
        self.messages: tuple[str, ...] = tuple(messages)
        super().__init__("; ".join(messages))


def element_name(model: FrameModel, element: int) -> str:
    """The member's name, or the element's number where members have no names."""
    if model.names:
        return f"'{model.names[element]}'"
    return f"element {element}"


def _listed(words: list[str], most: int = 6) -> str:
    once = list(dict.fromkeys(words))
    tail = f" and {len(once) - most} more" if len(once) > most else ""
    return ", ".join(once[:most]) + tail


def refuse(model: FrameModel) -> None:
    """Nothing, for a frame whose parts are of possible size and all stand on something.

    Raises:
        FrameError: every fault found.
    """
    faults = [*_bad_sizes(model)]
    if not faults:
        faults = [*_loose_ends(model), *_floating(model)]
    if faults:
        raise FrameError(faults)


def _bad_sizes(model: FrameModel) -> list[str]:
    n, s = len(model.nodes), model.sections
    if not len(model.elements) and not len(model.bars.area):
        return ["the frame has no members"]
    every = np.concatenate([model.elements, model.bars.ends, model.hinges.ends])
    if every.min() < 0 or every.max() >= n:
        return [f"{element_name(model, int(e))} runs to a node that does not exist"
                for e in np.flatnonzero(((model.elements < 0) | (model.elements >= n)).any(axis=1))] or [
                    "a bar or hinge runs to a node that does not exist"]  # fmt: skip
    if not np.isfinite(model.nodes).all():
        lost = np.flatnonzero(~np.isfinite(model.nodes).all(axis=1))
        return [f"node {int(k)} has no place (a coordinate is not a number)" for k in lost]
    faults = _short(model)
    for what, values in (("area", s.area), ("stiffness in bending", np.minimum(s.inertia_y, s.inertia_z)),
                         ("stiffness in twist", s.torsion), ("shear area", np.minimum(s.shear_y, s.shear_z)),
                         ("bend factor", model.bend_factor),
                         ("yield factor", model.yield_factor)):  # fmt: skip
        bad = np.flatnonzero(~(values > 0.0))
        if len(bad):
            faults.append(
                f"{_listed([element_name(model, int(e)) for e in bad])}: the {what} must be more than nothing"
            )
    return faults


def _short(model: FrameModel) -> list[str]:
    if not len(model.elements):
        return []
    tips = model.nodes[model.elements] + model.stubs
    along = tips[:, 1] - tips[:, 0]
    length = np.sqrt(np.einsum("mi,mi->m", along, along))
    size = max(float(np.ptp(model.nodes, axis=0).max()), 1e-300)
    faults = [
        f"{element_name(model, int(e))} has no length: its ends are both at node place "
        f"({', '.join(f'{v:.1f}' for v in model.nodes[model.elements[e, 0]])})"
        for e in np.flatnonzero(length <= SHORTEST * size)
    ]
    side = cross_rows(along, model.toward)
    twisted = np.einsum("mi,mi->m", side, side) <= (1e-9 * length) ** 2
    return faults or [
        f"{element_name(model, int(e))}: its side direction points along the tube"
        for e in np.flatnonzero(twisted)
    ]


def _loose_ends(model: FrameModel) -> list[str]:
    on = np.zeros(len(model.nodes), np.bool_)
    for ends in (model.elements, model.bars.ends, model.hinges.ends):
        on[ends] = True
    held = _held(model)
    return [
        f"the support at node {int(k)} holds nothing: no member reaches it"
        for k in np.flatnonzero(held & ~on)
    ]


def _held(model: FrameModel) -> Flags:
    """Nodes (n,) with any support or spring."""
    held: Flags = np.asarray(model.fixed.any(axis=1), np.bool_)
    held[model.springs.node] = True
    return held


def parts_of(model: FrameModel) -> Ints:
    """Number of the connected part each node belongs to (n,)."""
    ends = np.concatenate([model.elements, model.bars.ends, model.hinges.ends])
    return _connected(len(model.nodes), ends.tobytes())


@lru_cache(maxsize=16)
def _connected(n: int, ends: bytes) -> Ints:
    pairs = np.frombuffer(ends, np.int64).reshape(-1, 2)
    graph = coo_matrix((np.ones(len(pairs)), (pairs[:, 0], pairs[:, 1])), shape=(n, n))
    part: Ints = connected_components(graph, directed=False)[1].astype(np.int64)
    part.flags.writeable = False
    return part


def _floating(model: FrameModel) -> list[str]:
    part = parts_of(model)
    held = _held(model)
    stands = np.isin(part, part[held])
    loose = np.flatnonzero(~stands[model.elements[:, 0]])
    bars = np.flatnonzero(~stands[model.bars.ends[:, 0]])
    if len(loose) == len(model.elements) and len(bars) == len(model.bars.area) and not held.any():
        return ["the frame stands on nothing: no node is held"]
    faults: list[str] = []
    for group in np.unique(part[model.elements[loose, 0]]) if len(loose) else []:
        mine = [element_name(model, int(e)) for e in loose if part[model.elements[e, 0]] == group]
        faults.append(f"{_listed(mine)} float: they are joined to nothing that stands on a foot")
    if len(bars):
        words = [f"'{model.bars.names[b]}'" if model.bars.names else f"bar {b}" for b in bars]
        faults.append(f"{_listed(words)} float: they are joined to nothing that stands on a foot")
    return faults


def factorised(model: FrameModel) -> Assembly:
    """The frame at rest, assembled and factorised: where every solve begins.

    Raises:
        FrameError: the frame cannot stand, with the members named.
    """
    refuse(model)
    a = assembly(model)
    evaluate(a, model.nodes.copy(), np.tile(np.eye(3), (len(model.nodes), 1, 1)))
    _, lost = factorise(a)
    if lost >= 0:
        # the factor's lost pivots were made tiny, so that any load moves what is free far more than the rest
        rng = np.random.default_rng(1)
        shape = backsolve(a, rng.standard_normal((1, len(model.nodes), 6)))[0]
        raise FrameError([mechanism_words(model, shape)])
    return a


def mechanism_words(model: FrameModel, shape: Floats) -> str:
    """A sentence naming the members that a free movement ``shape`` (n, 6) carries along."""
    size = max(float(np.ptp(model.nodes, axis=0).max()), 1e-300)
    go = np.maximum(np.abs(shape[:, :3]).max(axis=1) / size, 0.01 * np.abs(shape[:, 3:]).max(axis=1))
    moving = go > 0.05 * go.max()
    if len(model.elements):
        carried = np.flatnonzero(moving[model.elements].any(axis=1))
        words = [element_name(model, int(e)) for e in carried]
    else:
        words = [f"bar {int(b)}" for b in np.flatnonzero(moving[model.bars.ends].any(axis=1))]
    return (
        f"the frame is a mechanism: {_listed(words)} can move freely; hold a foot, add a joint or a diagonal"
    )
