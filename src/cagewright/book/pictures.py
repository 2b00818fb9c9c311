"""A drawing as a picture for screens and messages."""

from __future__ import annotations

import typst

from cagewright.base.drawing import Drawing
from cagewright.job.writers import to_svg

_PAGE = b"""#set page(width: auto, height: auto, margin: 3mm)
#image("drawing.svg")
"""


def png_of(drawing: Drawing, *, dots: float = 144.0) -> bytes:
    """The drawing as PNG on white, ``dots`` to the inch at its printed size."""
    files = {"main.typ": _PAGE, "drawing.svg": to_svg(drawing).encode()}
    return typst.compile(  # pyrefly: ignore[no-matching-overload]
        files, format="png", ppi=dots, ignore_system_fonts=True
    )
