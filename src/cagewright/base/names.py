"""Names as the builder reads them: ``main_hoop`` is shown as ``main hoop``, and typed either way."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence

DRIVER = "driver"
"""By this name every plan and cage calls the one who drives."""


def shown(name: str) -> str:
    """The name as it is read on screen and paper; of a joint or a mark too: ``main hoop bend 1a``."""
    return re.sub(r"\.bend(?=\d)", " bend ", name).replace("_", " ").replace(".", " ")


def typed(name: str) -> str:
    """The name as the plan has it, however it was typed."""
    return "_".join(name.split()) if " " in name.strip() else name.strip()


def named(text: str, known: Iterable[str]) -> str:
    """The name of ``known`` that was typed, as the plan has it or as it is shown; as typed where none is."""
    return next((name for name in known if _letters(name) == _letters(text)), text.strip())


def _letters(name: str) -> str:
    return re.sub(r"[\s_.]", "", name)


def listed(names: Iterable[str], most: int | None = None) -> str:
    """The names in a row as they are read: ``main hoop, header and diagonal``, or ``... and 3 more``."""
    words: Sequence[str] = [shown(name) for name in names]
    if most is not None and len(words) > most:
        return f"{', '.join(words[:most])} and {len(words) - most} more"
    return " and ".join(filter(None, (", ".join(words[:-1]), *words[-1:])))


def paired(names: Iterable[str]) -> list[str]:
    """The names as they are read, both sides of one thing as one: ``doorbar top left and right``."""
    words = list(dict.fromkeys(map(shown, names)))
    pairs = {word: _SIDE.sub(r"left and right\g<1>", word) for word in words if _SIDE.search(word)}
    whole = {pair for pair in pairs.values() if list(pairs.values()).count(pair) > 1}
    return list(dict.fromkeys(pair if (pair := pairs.get(word, "")) in whole else word for word in words))


_SIDE = re.compile(r"\b(?:left|right)\b((?!.*\b(?:left|right)\b).*)$")
