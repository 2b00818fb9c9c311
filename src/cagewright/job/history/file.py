"""A plan's file on the disk: what it holds, whether another program changed it, writing it whole."""

from __future__ import annotations

from pathlib import Path

from cagewright.base.files import sweep, write_atomically
from cagewright.base.problems import ProblemsFound
from cagewright.job.history.log import hash_of
from cagewright.plan.text import MOST_BYTES

GONE = "gone"
"""The hash of a file that is not there."""
NOTHING = "nothing"
"""The hash of a file whose text may be written over."""
BARRED = "barred"
"""The hash of a file that cannot be read, or is too large for a plan."""


class PlanFile:
    """One plan's file.

    Attributes:
        hash: of what it holds, as last seen.
        trouble: why it could not be read or written, in words; None where it could.
    """

    def __init__(self, path: Path) -> None:
        """The file as it is now."""
        self.path = path
        self.trouble: str | None = None
        self._data = b""
        self._seen: tuple[int, ...] | None = None
        self.hash = GONE
        sweep(path, older=0.0)
        self.look()

    def look(self) -> bool:
        """Whether it holds something else than when last seen."""
        seen = self._stat()
        if seen is not None and seen == self._seen:
            return False
        before = self.hash
        self._seen, self._data, self.trouble = seen, b"", None
        self.hash = GONE if seen is None else self._read()
        return self.hash != before

    def read(self) -> bytes:
        """What it held when last seen."""
        return self._data

    def write(self, data: bytes) -> bool:
        """Whether it now holds ``data``; ``trouble`` says why not."""
        self.trouble = None
        if self.hash != hash_of(data):
            try:
                write_atomically(self.path, data)
            except ProblemsFound as found:
                self.trouble = "; ".join(f"{p.found}; {p.wanted}" for p in found.problems)
                return False
            self._seen, self._data, self.hash = self._stat(), data, hash_of(data)
        return True

    def give_up(self) -> None:
        """Take the file as holding nothing that has to be kept."""
        self.hash = NOTHING

    def _stat(self) -> tuple[int, ...] | None:
        """What changes with every change of the file; None where it is not there."""
        try:
            found = self.path.stat()
        except OSError:
            return None
        return (found.st_mtime_ns, found.st_size, found.st_ino)

    def _read(self) -> str:
        try:
            with self.path.open("rb") as stream:
                data = stream.read(MOST_BYTES + 1)
        except OSError as wrong:
            self.trouble = f"{self.path.name} cannot be read ({wrong.strerror or wrong})"
            return BARRED
        if len(data) > MOST_BYTES:
            self.trouble = f"{self.path.name} has become larger than a plan can be"
            return BARRED
        self._data = data
        return hash_of(data)
