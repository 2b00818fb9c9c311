"""Results of stages kept for several threads at once."""

from __future__ import annotations

import threading
from collections.abc import Callable, Hashable
from typing import TypeVar

from cagewright.job import Kept

T = TypeVar("T")


class SharedKept(Kept):
    """Results of stages, asked for from any thread; two that ask at once may both make one."""

    def __init__(self, most: int) -> None:
        """The ``most`` newest stay."""
        super().__init__(most)
        self._lock = threading.Lock()

    def get(self, stage: str, key: Hashable, make: Callable[[], T]) -> T:
        """The stage's result for inputs of that hash, made now if it is not kept."""
        with self._lock:
            there = (stage, key) in self._results
        made = None if there else (make(),)  # not under the lock: the quick must not wait for the slow
        with self._lock:
            return super().get(stage, key, (lambda: made[0]) if made else make)
