"""Answers as plain JSON values: one way, for ``--json`` and for the pages."""

from __future__ import annotations

from dataclasses import fields, is_dataclass
from typing import Any, cast

import numpy as np


def plain(value: Any) -> Any:
    """The value as JSON holds it: dataclasses as objects, arrays and tuples as lists.

    A number that is no number (infinite, not known) becomes None: cannot tell.
    """
    if isinstance(value, str) or value is None:
        return value
    if is_dataclass(value) and not isinstance(value, type):
        return {f.name: plain(getattr(value, f.name)) for f in fields(value)}
    if isinstance(value, np.ndarray):
        return plain(cast("Any", value).tolist())
    if isinstance(value, tuple | list | frozenset | set):
        return [plain(v) for v in cast("list[Any]", value)]
    if isinstance(value, dict):
        return {str(k): plain(v) for k, v in cast("dict[Any, Any]", value).items()}
    if isinstance(value, np.generic):
        return plain(value.item())
    if isinstance(value, float):
        return value if np.isfinite(value) else None
    return value
