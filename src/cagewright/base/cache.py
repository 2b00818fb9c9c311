"""Results kept by what they depend on, asked for from any thread."""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable, Hashable, Sequence
from functools import partial
from threading import Lock
from typing import Any, TypeVar, cast

T = TypeVar("T")


class Cache:
    """Results by the likeness of their inputs; the ``most`` newest stay."""

    def __init__(self, most: int = 200) -> None:
        self._most = most
        self._results: OrderedDict[Hashable, Any] = OrderedDict()
        self._lock = Lock()

    def get(self, key: Hashable, make: Callable[[], T]) -> T:
        """The result for that key, made now if it is not there; two that ask at once may both make one."""
        with self._lock:
            if key in self._results:
                self._results.move_to_end(key)
                return cast("T", self._results[key])
        made = make()  # not under the lock: the quick must not wait for the slow
        with self._lock:
            self._results[key] = made
            self._results.move_to_end(key)
            while len(self._results) > self._most:
                self._results.popitem(last=False)
        return made

    def many(self, keys: Sequence[Hashable], make: Callable[[list[int]], Sequence[T]]) -> list[T]:
        """The results for the keys, in their order; those that are not there are made together, by places."""
        with self._lock:
            known = {key: self._results[key] for key in keys if key in self._results}
        missing = [place for place, key in enumerate(keys) if key not in known]
        for place, made in zip(missing, make(missing) if missing else (), strict=True):
            known[keys[place]] = made
        return [self.get(key, partial(known.__getitem__, key)) for key in keys]
