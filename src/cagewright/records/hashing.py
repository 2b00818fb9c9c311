"""The hash of a row (its column ``seal``) and of a chain of them: a byte changed by others is seen."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable, Mapping
from typing import Any

_OUTSIDE = frozenset({"id", "seal"})
"""A row's number differs from record to record; its seal cannot hold itself."""


def row_hash(row: Mapping[str, Any]) -> str:
    """SHA-256 of the row's fields other than its number and seal, 64 hexadecimal digits."""
    plain = {key: _plain(value) for key, value in row.items() if key not in _OUTSIDE}
    text = json.dumps(plain, sort_keys=True, ensure_ascii=True, separators=(",", ":"))
    return hashlib.sha256(text.encode("ascii")).hexdigest()


def _plain(value: Any) -> Any:
    return int(value) if isinstance(value, bool) else value


def chain_hash(hashes: Iterable[str]) -> str:
    """SHA-256 of row hashes in order, 64 hexadecimal digits: stands for all the rows they belong to."""
    return hashlib.sha256("\n".join(hashes).encode("ascii")).hexdigest()
