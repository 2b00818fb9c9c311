"""How the kernels are compiled: cached on disk, all of them anew when any of them changes.

Numba looks only at the file of the function it is asked for, so a kernel that calls a changed kernel of
another file would go on running the old one. Every cache index here carries the stamp of all kernel files in
its version, which is read before the rest is unpickled: an older index may name classes that are gone.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

from numba import njit


def _stamp() -> tuple[tuple[str, float, int], ...]:
    files = sorted(Path(__file__).parent.glob("kernels*.py"))
    return tuple((f.name, f.stat().st_mtime, f.stat().st_size) for f in files)


STAMP = _stamp()


def compiled(function: Callable[..., Any]) -> Any:
    """``function`` compiled on first call, with the result kept on disk between runs.

    Sums may be reordered (fastmath), so results agree with plain numpy to rounding, not to the bit.
    """
    made: Any = njit(cache=True, fastmath=True, error_model="numpy")(function)
    store = getattr(getattr(made, "_cache", None), "_cache_file", None)
    if store is not None and hasattr(store, "_version"):
        store._version = (store._version, STAMP)
    return made
