"""Where lines along a branch's wall first meet straight and bent tubes: closed forms, many at once.

A wall line is ``base + w axis``; it is followed from the branch's body towards its end, so from large ``w``
to small, and the first place where it enters a tube is wanted. Every function takes k pairs of (branch end,
tube piece) with n wall lines each and returns ``w`` of shape (k, n), -inf where the line does not enter.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from cagewright.base.curves import Arc, Line
from cagewright.base.vectors import dot

Array = NDArray[np.float64]
SEAM = 1e-7
"""Pieces reach this far (mm) past their ends, so that no line slips through where two meet."""
NONE = -np.inf
ROUNDS = 12
"""Most steps of Newton's method; 4 or 5 do but where a line only grazes."""
ROUND = 1e-12
"""Rounding of a root in units of the centreline radius: a step this far out of its bracket has arrived."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Straights:
    """k straight tubes: start (k, 3), unit direction along (k, 3), length (k,), outside radius (k,), mm."""

    start: Array
    along: Array
    length: Array
    radius: Array


@dataclass(frozen=True, slots=True, kw_only=True)
class Rings:
    """k bent tubes, each a part of a torus.

    Attributes:
        centre: (k, 3) mm.
        u: unit (k, 3) from the centre to the start.
        v: unit (k, 3) along the travel at the start.
        last: unit (k, 3) along the travel at the end.
        clr: centreline radius (k,), mm.
        radius: outside radius of the tube (k,), mm.
    """

    centre: Array
    u: Array
    v: Array
    last: Array
    clr: Array
    radius: Array

    @property
    def normal(self) -> Array:
        """Unit (k, 3) square to each ring's plane."""
        return np.cross(self.u, self.v)


def straights(lines: Sequence[Line], radii: Sequence[float]) -> Straights:
    """The lines as tubes of those outside radii, mm."""
    start = np.array([p.start for p in lines]).reshape(-1, 3)
    run = np.array([p.stop for p in lines]).reshape(-1, 3) - start
    size = np.sqrt(dot(run, run))
    return Straights(start=start, along=run / size[:, None], length=size, radius=np.array(radii))


def rings(arcs: Sequence[Arc], radii: Sequence[float]) -> Rings:
    """The arcs as tubes of those outside radii, mm."""
    u = np.array([p.u for p in arcs]).reshape(-1, 3)
    v = np.array([p.v for p in arcs]).reshape(-1, 3)
    turned = np.array([p.angle for p in arcs])[:, None]
    return Rings(
        centre=np.array([p.centre for p in arcs]).reshape(-1, 3),
        u=u,
        v=v,
        last=np.cos(turned) * v - np.sin(turned) * u,
        clr=np.array([p.radius for p in arcs]),
        radius=np.array(radii),
    )


def straight_intersections(base: Array, axis: Array, reach: Array, tubes: Straights) -> Array:
    """First entries (k, n) of wall lines into straight tubes, w in mm.

    The line passes the tube's axis at distance e, so it enters at w0 + sqrt(R^2 - e^2) / sin b, where b is
    the angle between the axes (solid geometry).

    The lines' points ``base`` (k, n, 3), mm; ``axis`` unit (k, 3) from the branch's end back into it;
    ``reach`` (k,), the largest w looked at either way, mm.
    """
    square = np.cross(axis, tubes.along)
    sine2 = np.maximum(dot(square, square), 1e-12)
    lean = dot(axis, tubes.along)
    across = axis - lean[:, None] * tubes.along
    frame = np.stack((square / np.sqrt(sine2)[:, None], across / sine2[:, None], tubes.along), axis=2)
    missed, back, run = np.moveaxis((base - tubes.start[:, None]) @ frame, 2, 0)
    room = tubes.radius[:, None] ** 2 - missed**2
    w = np.sqrt(np.maximum(room, 0.0)) / np.sqrt(sine2)[:, None] - back
    place = run + w * lean[:, None]
    enters = (
        (np.abs(missed) <= tubes.radius[:, None] + SEAM)
        & (place >= -SEAM)
        & (place <= tubes.length[:, None] + SEAM)
    )
    return np.where(enters & (np.abs(w) <= reach[:, None]), w, NONE)


def ring_intersections(base: Array, axis: Array, reach: Array, tubes: Rings) -> Array:
    """First entries (k, n) of wall lines into bent tubes, w in mm.

    On a line whose nearest point to the ring's centre is at x = 0 the torus is x^4 + p x^2 + q x + r = 0
    (plane algebra; no cubic term); it is entered where the quartic rises through 0, which it does above its
    highest and above its lowest turning point.

    The lines' points ``base`` (k, n, 3), mm; ``axis`` unit (k, 3) from the branch's end back into it;
    ``reach`` (k,), the largest w looked at either way, mm.
    """
    scale = tubes.clr[:, None]
    off = (base - tubes.centre[:, None]) / scale[..., None]
    shift = -np.einsum("kni,ki->kn", off, axis)
    p, q, r, bound = _quartic(off + shift[..., None] * axis[:, None], axis, tubes)
    upper, middle, lower = _turning_points(p, q)
    graze = (8.0 * tubes.radius / tubes.clr * SEAM / tubes.clr)[:, None]
    roots = (
        _rising_root(p, q, r, upper, np.maximum(bound, upper), graze),
        _rising_root(p, q, r, lower, middle, graze),
    )
    best = np.full(shift.shape, NONE)
    for x in roots:
        w = (x + shift) * scale
        spot = base + np.where(np.isfinite(w), w, 0.0)[..., None] * axis[:, None]
        met = (np.abs(w) <= reach[:, None]) & _on_arc(spot, tubes)
        best = np.where(met & (w > best), w, best)
    return best


def _quartic(near: Array, axis: Array, tubes: Rings) -> tuple[Array, Array, Array, Array]:
    """Coefficients p, q, r (k, n) in units of the centreline radius, and a bound on the roots."""
    normal = tubes.normal
    small = (tubes.radius / tubes.clr)[:, None]
    lean = dot(axis, normal)[:, None]
    high = np.einsum("kni,ki->kn", near, normal)
    off2 = dot(near, near)
    k = off2 + 1.0 - small**2
    p = 2.0 * k - 4.0 * (1.0 - lean**2)
    q = 8.0 * high * lean
    r = k**2 - 4.0 * (off2 - high**2)
    return p, q, r, np.sqrt(np.maximum((1.0 + small) ** 2 - off2, 0.0)) + 1e-9


def _turning_points(p: Array, q: Array) -> tuple[Array, Array, Array]:
    """Roots of the derivative x^3 + (p/2) x + q/4, highest first; nan for the two that are not real.

    Viete's trigonometric form where there are three, Cardano's where there is one (any algebra text).
    """
    a, b = p / 2.0, q / 4.0
    three = 4.0 * a**3 + 27.0 * b**2 < 0.0
    size = 2.0 * np.sqrt(np.maximum(-a, 0.0) / 3.0)
    with np.errstate(divide="ignore", invalid="ignore"):
        third = np.arccos(np.clip(np.where(three, 3.0 * b / (a * size), 1.0), -1.0, 1.0)) / 3.0
        u = np.cbrt(-b / 2.0 - np.copysign(np.sqrt(np.maximum(b**2 / 4.0 + a**3 / 27.0, 0.0)), b))
        one = np.where(u == 0.0, 0.0, u - a / (3.0 * u))
    upper, middle, lower = (size * np.cos(third - 2.0 * np.pi * i / 3.0) for i in range(3))
    return np.where(three, upper, one), np.where(three, middle, np.nan), np.where(three, lower, np.nan)


def _rising_root(p: Array, q: Array, r: Array, low: Array, high: Array, graze: Array) -> Array:
    """The root between a turning point below 0 and ``high`` above it; nan where there is none.

    Newton's method inside a closing bracket, so it cannot leave it; near a double root it starts from the
    parabola at the turning point. A line that stays outside by less than ``graze`` touches there.
    """
    with np.errstate(invalid="ignore"):
        held = (_value(p, q, r, low) <= graze) & (_value(p, q, r, high) >= -1e-12)
    found = np.full(p.shape, np.nan)
    found[held] = _newton(p[held], q[held], r[held], low[held], high[held])
    return found


def _newton(p: Array, q: Array, r: Array, lo: Array, hi: Array) -> Array:
    bend = np.maximum(12.0 * lo**2 + 2.0 * p, 1e-12)
    x = lo + np.sqrt(np.maximum(-2.0 * _value(p, q, r, lo), 0.0) / bend)
    x = np.where((x > lo) & (x < hi), x, 0.5 * (lo + hi))
    with np.errstate(divide="ignore", invalid="ignore"):
        for _ in range(ROUNDS):
            value = _value(p, q, r, x)
            below = value < 0.0
            lo, hi = np.where(below, x, lo), np.where(below, hi, x)
            step = np.minimum(x - value / ((4.0 * x * x + 2.0 * p) * x + q), hi)
            before, x = x, np.where(step >= lo - ROUND, step, 0.5 * (lo + hi))
            if np.max(np.abs(x - before), initial=0.0) < ROUND:
                break
    return x


def _value(p: Array, q: Array, r: Array, x: Array) -> Array:
    x2 = x * x
    return (x2 + p) * x2 + q * x + r


def _on_arc(spot: Array, tubes: Rings) -> Array:
    """Whether points (k, n, 3) lie beside the ring's arc (less than half round), not past its ends."""
    off = spot - tubes.centre[:, None]
    before = np.einsum("kni,ki->kn", off, tubes.v)
    past = np.einsum("kni,ki->kn", off, tubes.last)
    return (before >= -SEAM) & (past <= SEAM)


def straight_normals(spot: Array, tubes: Straights) -> Array:
    """Unit outward normals (m, 3) at points (m, 3) on the tubes of the same row."""
    off = spot - tubes.start
    out = off - dot(off, tubes.along)[:, None] * tubes.along
    return out / np.sqrt(dot(out, out))[:, None]


def ring_normals(spot: Array, tubes: Rings) -> Array:
    """Unit outward normals (m, 3) at points (m, 3) on the tubes of the same row."""
    off = spot - tubes.centre
    normal = tubes.normal
    flat = off - dot(off, normal)[:, None] * normal
    out = off - flat * (tubes.clr / np.sqrt(dot(flat, flat)))[:, None]
    return out / np.sqrt(dot(out, out))[:, None]
