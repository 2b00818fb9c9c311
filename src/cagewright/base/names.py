"""Names as the builder reads them: ``main_hoop`` is shown as ``main hoop``, and typed either way."""

from __future__ import annotations

from collections.abc import Iterable, Sequence


def shown(name: str) -> str:
    """The name as it is read on screen and paper."""
    return name.replace("_", " ")


def typed(name: str) -> str:
    """The name as the plan has it, however it was typed."""
    return "_".join(name.split()) if " " in name.strip() else name.strip()


def listed(names: Iterable[str], most: int | None = None) -> str:
    """The names in a row as they are read: ``main hoop, header and diagonal``, or ``... and 3 more``."""
    words: Sequence[str] = [shown(name) for name in names]
    if most is not None and len(words) > most:
        return f"{', '.join(words[:most])} and {len(words) - most} more"
    return " and ".join(filter(None, (", ".join(words[:-1]), *words[-1:])))
