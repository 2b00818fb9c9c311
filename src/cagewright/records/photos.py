"""Photos that a record refers to: files in a folder beside it, each told by its SHA-256."""

from __future__ import annotations

import hashlib
import re
from collections.abc import Iterable
from pathlib import Path

from cagewright.base.files import cannot_write, write_atomically
from cagewright.base.problems import ProblemsFound
from cagewright.records.troubles import problem
from cagewright.records.types import RecordEntry

FOLDER = "photos"
"""The folder's name, beside the record."""
MOST_BYTES = 12_000_000
"""Largest photo that is kept, bytes: the page makes a phone's photo smaller than that before it is sent."""
NAME = re.compile(r"[a-z0-9-]{1,80}\.(?:jpg|png|webp)")
"""What the photos kept here are called."""
_HEADS = {"jpg": b"\xff\xd8\xff", "png": b"\x89PNG\r\n\x1a\n", "webp": b"RIFF"}


def kept_photo(folder: Path, data: bytes, *, stem: str, called: str) -> tuple[str, str]:
    """The photo's path from the record's folder, and its SHA-256; written where it is not there yet.

    Args:
        folder: the record's.
        data: the picture.
        stem: how the file's name begins.
        called: what the builder calls it.

    Raises:
        ProblemsFound: it is no picture, is too large, or cannot be written.
    """
    kind = _kind(data)
    if len(data) > MOST_BYTES:
        found = f"'{called}' has {len(data) / 1e6:.0f} MB"
        raise ProblemsFound([
            problem("too-large", called, found, f"wanted {MOST_BYTES / 1e6:.0f} MB at most")
        ])
    if kind is None:
        found, wanted = f"'{called}' is no photo that can be kept", "wanted a JPEG, PNG or WebP picture"
        raise ProblemsFound([problem("no-photo", called, found, wanted)])
    digest = hashlib.sha256(data).hexdigest()
    path = folder / FOLDER / f"{stem}-{digest[:12]}.{kind}"
    _write(path, data)
    return path.relative_to(folder).as_posix(), digest


def _kind(data: bytes) -> str | None:
    kind = next((kind for kind, head in _HEADS.items() if data.startswith(head)), None)
    return None if kind == "webp" and data[8:12] != b"WEBP" else kind


def _write(path: Path, data: bytes) -> None:
    try:
        path.parent.mkdir(exist_ok=True)
    except OSError as wrong:
        raise ProblemsFound([cannot_write(path, wrong)]) from wrong
    if not path.is_file() or path.read_bytes() != data:
        write_atomically(path, data)


def photo_file(folder: Path, reference: str) -> Path | None:
    """The file of a photo that is kept here; None where the reference leads elsewhere."""
    head, _, name = reference.partition("/")
    inside = head == FOLDER and NAME.fullmatch(name)
    return folder / FOLDER / name if inside else None


def photo_faults(folder: Path, entries: Iterable[RecordEntry]) -> list[str]:
    """What is wrong with the photos that are kept here, in words."""
    faults: list[str] = []
    for entry in entries:
        file = photo_file(folder, entry.text) if entry.kind == "photo" else None
        if file is None:
            continue
        if not file.is_file():
            faults.append(f"photos: {entry.text} of line {entry.id} is not there")
        elif hashlib.sha256(file.read_bytes()).hexdigest() != entry.other:
            faults.append(f"photos: {entry.text} of line {entry.id} is not as it was taken")
    return faults
