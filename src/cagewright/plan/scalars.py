"""Plain words of a YAML file as values, by the core schema of YAML 1.2.2 (section 10.3.2), nothing else.

So ``on``, ``no`` and ``yes`` are words, ``1:30`` is no number and ``012`` is twelve.
"""

from __future__ import annotations

import math
import re

_NULL = frozenset({"", "~", "null", "Null", "NULL"})
_BOOL = {
    "true": True, "True": True, "TRUE": True, "false": False, "False": False, "FALSE": False,
}  # fmt: skip
_STARTS = frozenset("0123456789+-.")
_INT = re.compile(r"[-+]?[0-9]+")
_OCTAL = re.compile(r"0o[0-7]+")
_HEX = re.compile(r"0x[0-9a-fA-F]+")
_FLOAT = re.compile(r"[-+]?(?:\.[0-9]+|[0-9]+(?:\.[0-9]*)?)(?:[eE][-+]?[0-9]+)?")
_INFINITE = re.compile(r"[-+]?\.(?:inf|Inf|INF)")
_NAN = frozenset({".nan", ".NaN", ".NAN"})
_LONG = 18
"""Digits beyond which a whole number is kept as a float: no quantity here needs them."""

Scalar = None | bool | int | float | str


def resolve(text: str) -> Scalar:
    """What an unquoted word of a YAML file stands for: nothing, true or false, a number or the text."""
    if text[:1] in _STARTS:
        return _number(text)
    if text in _NULL:
        return None
    return _BOOL.get(text, text)


def _number(text: str) -> int | float | str:
    if _INT.fullmatch(text):
        return int(text) if len(text) <= _LONG else float(text)
    if _FLOAT.fullmatch(text):
        return float(text)
    if _OCTAL.fullmatch(text):
        return _based(text, 8)
    if _HEX.fullmatch(text):
        return _based(text, 16)
    if _INFINITE.fullmatch(text):
        return -math.inf if text[0] == "-" else math.inf
    return math.nan if text in _NAN else text


def _based(text: str, base: int) -> int | float:
    return int(text[2:], base) if len(text) <= _LONG else math.inf
