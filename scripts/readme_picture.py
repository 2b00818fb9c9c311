"""Draw docs/brackwater.svg, the README's picture of the demo cage; run it when demo or look change."""

from __future__ import annotations

from pathlib import Path

from cagewright.job.opening import open_job
from cagewright.make.svg import to_svg
from cagewright.make.views import cage_view

ROOT = Path(__file__).resolve().parent.parent


def picture() -> str:
    """The picture as SVG on warm paper."""
    job = open_job(ROOT / "examples" / "brackwater.yaml")
    return to_svg(cage_view(job.cage, "three-quarter", box=(176.0, 125.0), numbers=False), paper="#fbf9f4")


if __name__ == "__main__":
    (ROOT / "docs" / "brackwater.svg").write_text(picture(), encoding="utf-8")
