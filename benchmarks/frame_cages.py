"""Invented cages as neutral frames, meshed as finely as asked: no real car, no real shop."""

from __future__ import annotations

from itertools import pairwise
from typing import Any

import numpy as np

HOOP, BAR = (45.0, 2.5), (38.0, 2.5)

PLACES: dict[str, tuple[float, float, float]] = {
    "hoop_foot": (1500, 640, 200), "hoop_sill": (1500, 655, 640), "hoop_waist": (1505, 650, 760),
    "hoop_shoulder": (1520, 560, 1180), "hoop_top": (1530, 470, 1290),
    "front_foot": (420, 690, 220), "front_sill": (450, 690, 520), "front_dash": (480, 680, 700),
    "front_corner": (840, 545, 1190), "front_head": (870, 500, 1230),
    "back_foot": (2450, 520, 450),
}  # fmt: skip

SIDE: list[tuple[str, str, tuple[float, float]]] = [
    ("hoop_foot", "hoop_sill", HOOP), ("hoop_sill", "hoop_waist", HOOP),
    ("hoop_waist", "hoop_shoulder", HOOP),
    ("hoop_shoulder", "hoop_top", HOOP), ("front_foot", "front_sill", BAR), ("front_sill", "front_dash", BAR),
    ("front_dash", "front_corner", BAR), ("front_corner", "front_head", BAR), ("front_head", "hoop_top", BAR),
    ("hoop_top", "back_foot", BAR), ("front_foot", "hoop_waist", BAR), ("front_dash", "hoop_foot", BAR),
]  # fmt: skip

ACROSS: list[tuple[str, str, tuple[float, float]]] = [
    ("hoop_top", "hoop_top", HOOP), ("front_head", "front_head", BAR), ("front_dash", "front_dash", BAR),
    ("hoop_waist", "hoop_waist", BAR),
]  # fmt: skip

SLANTED: list[tuple[str, str, tuple[float, float]]] = [
    ("hoop_top", "hoop_foot", BAR), ("front_head", "hoop_top", BAR), ("hoop_top", "back_foot", BAR),
]  # fmt: skip

BRACE = [("front_head", "front_sill", BAR)]


def cage(*, mesh: float = 40.0, shear: bool = True, brace: bool = False, push: str = "roof",
         target: float = 150.0) -> dict[str, Any]:  # fmt: skip
    """A six-footed cage as a neutral frame meshed at ``mesh`` mm, pushed on its roof corner or its side."""
    build = _Mesh(mesh)
    side = SIDE + (BRACE if brace else [])
    for a, b, tube in side:
        for hand in (1, -1):
            build.member(place(a, hand), place(b, hand), tube)
    for a, b, tube in ACROSS:
        build.member(place(a, 1), place(b, -1), tube)
    for a, b, tube in SLANTED:
        build.member(place(a, 1), place(b, -1), tube)
    feet = [
        build.node(place(name, hand)) for name in ("hoop_foot", "front_foot", "back_foot") for hand in (1, -1)
    ]
    way = [0.08, -0.42, -0.90] if push == "roof" else [0.0, -1.0, 0.0]
    spot = "front_head" if push == "roof" else "hoop_waist"
    return {
        "nodes": [list(p) for p in build.nodes], "elements": build.elements, "fixed": feet,
        "E": 210000.0, "nu": 0.3, "fy": 350.0, "hardening": 0.01, "shear": shear,
        "load": {"node": build.node(place(spot, 1)), "direction": way, "target": target},
    }  # fmt: skip


def place(name: str, hand: int) -> tuple[float, float, float]:
    x, y, z = PLACES[name]
    return (float(x), float(hand * y), float(z))


class _Mesh:
    def __init__(self, mesh: float) -> None:
        self.mesh = mesh
        self.nodes: list[tuple[float, float, float]] = []
        self.elements: list[list[float]] = []
        self.known: dict[tuple[float, float, float], int] = {}

    def node(self, p: tuple[float, float, float]) -> int:
        key = (round(p[0], 6), round(p[1], 6), round(p[2], 6))
        if key not in self.known:
            self.known[key] = len(self.nodes)
            self.nodes.append(p)
        return self.known[key]

    def member(
        self, a: tuple[float, float, float], b: tuple[float, float, float], tube: tuple[float, float]
    ) -> None:
        start, stop = np.array(a), np.array(b)
        count = max(1, round(float(np.linalg.norm(stop - start)) / self.mesh))
        run = [self.node(tuple(start + (stop - start) * k / count)) for k in range(count + 1)]
        self.elements.extend([i, j, *tube] for i, j in pairwise(run))


def portal(*, push: str = "side", mesh: float = 50.0, target: float = 150.0) -> dict[str, Any]:
    """A plain hoop of two legs and a top, pushed down or sideways and a little out of plane."""
    build = _Mesh(mesh)
    corners = [(0.0, -600.0, 0.0), (0.0, -600.0, 1000.0), (0.0, 600.0, 1000.0), (0.0, 600.0, 0.0)]
    for a, b in pairwise(corners):
        build.member(a, b, HOOP)
    spot = build.node((0.0, 600.0, 1000.0)) if push == "side" else build.node((0.0, 0.0, 1000.0))
    way = [0.1, -1.0, 0.0] if push == "side" else [0.05, -0.1, -1.0]
    return {
        "nodes": [list(p) for p in build.nodes], "elements": build.elements,
        "fixed": [build.node(corners[0]), build.node(corners[3])],
        "E": 210000.0, "nu": 0.3, "fy": 350.0, "hardening": 0.01, "shear": False,
        "load": {"node": spot, "direction": way, "target": target},
    }  # fmt: skip
