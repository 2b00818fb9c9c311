"""The cautions that every paper carries, once."""

from __future__ import annotations

CAUTIONS: tuple[str, ...] = (
    "Not a certificate: these papers are computed from the builder's own plan and measurements.",
    "Check the current rule book of your series before you cut.",
    "Welding by a qualified welder, to a procedure for this steel and wall.",
    "Local codes and the licensed engineer or scrutineer decide.",
)
"""Printed on every paper, first among its notes."""
