"""A push of a cage as a neutral frame file, so that anyone can check the model in another program."""

from __future__ import annotations

import json
from dataclasses import dataclass
from typing import Any

import numpy as np

from cagewright.base.vectors import Vector
from cagewright.frame.contact import contact_points, first_touch
from cagewright.frame.errors import FrameError
from cagewright.frame.idealise import Idealised, node_at
from cagewright.frame.model import Floats, Material
from cagewright.frame.pushes import Push

STUB = 1.0
"""A rigid piece shorter than this, mm, is left out and its tube's end moved to the node."""
STIFFER = 3.0
"""A rigid piece is written as a solid bar of this many times the tube's diameter."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Exported:
    """A push as a neutral frame: plain JSON values, and what was lost on the way, in words."""

    frame: dict[str, Any]
    lost: tuple[str, ...]


def export_push(model: Idealised, push: Push) -> Exported:
    """The push in the neutral frame's terms, with what those cannot say.

    A platen or pole becomes a push on the node it touches first, along its way; loads together become a push
    on the node of the largest, along it. Springs, joints that give, softened zones, flexible bends, strips
    and all steels but the commonest are lost, and said so.

    Raises:
        FrameError: the cage has rails; the neutral frame knows round tube alone.
    """
    rails = [m.name for m in model.cage.members if not m.tube.is_round]
    if rails:
        raise FrameError([f"a frame file has round tube alone: {name} is a rail" for name in rails])
    nodes, elements = _laid_out(model)
    steel = model.model.materials[int(np.bincount(model.model.material).argmax())]
    loaded, way = _loaded(model, push)
    used = sorted({n for row in elements for n in row[:2]})
    number = {node: i for i, node in enumerate(used)}
    frame = {
        "nodes": [[round(float(v), 6) for v in nodes[n]] for n in used],
        "elements": [[number[i], number[j], round(od, 6), round(wall, 6)] for i, j, od, wall in elements],
        "fixed": [number[n] for n in _fixed(model)],
        "E": steel.young,
        "nu": round(steel.young / (2.0 * steel.shear) - 1.0, 6),
        "fy": float(steel.curve.stress[0]) if steel.curve else 1e4,
        **_hardening(steel),
        "shear": model.choices.shear,
        "torsion": model.choices.torsion,
        "load": {"node": number[loaded], "direction": [float(v) for v in way], "target": push.travel},
    }
    return Exported(frame=frame, lost=_lost(model, push))


def _hardening(steel: Material) -> dict[str, float]:
    """The slope after yield as a part of E, and the stress at which it ends, MPa."""
    curve = steel.curve
    if curve is None or len(curve.strain) < 2:
        return {"hardening": 0.0}
    slope = float((curve.stress[1] - curve.stress[0]) / curve.strain[1])
    return {"hardening": slope / (slope + steel.young), "ultimate": float(curve.stress[1])}


def frame_text(exported: Exported) -> str:
    """The file's text; what was lost stands in it under ``notes``."""
    return json.dumps({"notes": list(exported.lost), **exported.frame}, indent=1, allow_nan=False)


def _laid_out(model: Idealised) -> tuple[list[Floats], list[tuple[int, int, float, float]]]:
    """Nodes (3,) and elements (node, node, od, wall), with rigid pieces as short stout bars."""
    frame = model.model
    nodes = list(frame.nodes)
    elements: list[tuple[int, int, float, float]] = []
    for e, ends in enumerate(frame.elements):
        tube = model.cage.members[int(model.member[e])].tube
        tips: list[int] = []
        for which in (0, 1):
            stub = frame.stubs[e, which]
            if float(np.sqrt(stub @ stub)) < STUB:
                tips.append(int(ends[which]))
                continue
            nodes.append(frame.nodes[ends[which]] + stub)
            tips.append(len(nodes) - 1)
            stout = STIFFER * tube.across
            elements.append((int(ends[which]), tips[-1], stout, stout / 2.0))
        elements.append((tips[0], tips[1], tube.od, tube.wall))
    return _joined(model, nodes, elements)


def _joined(
    model: Idealised, nodes: list[Floats], elements: list[tuple[int, int, float, float]]
) -> tuple[list[Floats], list[tuple[int, int, float, float]]]:
    """The same with each joint as a short stout bar, or its two nodes made one: the file has no hinges."""
    main: dict[int, int] = {}
    for place in model.joints:
        a, b = (int(node) for node in model.model.hinges.ends[place.hinge])
        apart = nodes[b] - nodes[a]
        if float(np.sqrt(apart @ apart)) < STUB:
            main[b] = a
            continue
        stout = STIFFER * place.sizes.branch_od
        elements.append((a, b, stout, stout / 2.0))
    for coupling in model.couplings:
        a, b = (int(node) for node in model.model.hinges.ends[coupling.hinge])
        main[b] = a
    return nodes, [(_root(i, main), _root(j, main), od, wall) for i, j, od, wall in elements]


def _root(node: int, main: dict[int, int]) -> int:
    while node in main:
        node = main[node]
    return node


def _fixed(model: Idealised) -> list[int]:
    return sorted({place.node for place in model.feet})


def _loaded(model: Idealised, push: Push) -> tuple[int, Vector]:
    """The node that is pushed, and the unit direction (3,)."""
    press = push.press
    if press is None:
        largest = max(push.point_loads, key=lambda p: float(p.force @ p.force))
        size = float(np.sqrt(largest.force @ largest.force))
        return node_at(model, largest.member, largest.along), largest.force / size
    way = press.way if press.way is not None else press.normal
    way = way / np.sqrt(way @ way)
    points = contact_points(model.model)
    touched = press.centre + first_touch(model.model, press) * way
    bare = points.element < 0
    skin = model.model.nodes[points.first[bare]] - points.radius[bare, None] * way
    away = np.abs((skin - touched) @ way) if push.kind == "platen" else _from_axis(skin - touched)
    held = np.isin(points.first[bare], _fixed(model))
    return int(points.first[bare][int(np.argmin(np.where(held, np.inf, away)))]), way


def _from_axis(off: Floats) -> Floats:
    """Distance (n,) of places ``off`` (n, 3) from an upright pole's axis."""
    return np.hypot(off[:, 0], off[:, 1])


def _lost(model: Idealised, push: Push) -> tuple[str, ...]:
    frame, choices = model.model, model.choices
    said = [
        (f"the {push.kind} is a push on the one node it touches first", push.press is not None),
        ("of the loads together only the largest is kept", len(push.point_loads) > 1),
        ("the shell under the feet is taken as rigid", any(p.springs or p.hinges for p in model.feet)),
        ("joints do not give", choices.joints != "report"),
        ("joints are rigid", choices.flexibility > 0.0 and bool(model.joints)),
        ("bends are as stiff as straight tube", bool((frame.bend_factor > 1.0).any())),
        ("beside welds the tube keeps its strength", bool((frame.yield_factor < 1.0).any())),
        ("plates carry nothing", len(frame.bars.area) > 0),
        ("one steel stands for all, the commonest", len({*frame.material.tolist()}) > 1),
        (f"rigid pieces at joints are solid bars {STIFFER:g} times as thick as their tube",
         (model.choices.stubs and bool(model.joints)) or bool(np.any(frame.stubs != 0.0))),
    ]  # fmt: skip
    return tuple(words for words, so in said if so)
