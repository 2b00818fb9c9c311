"""Every physical test under docs/validation pushed, ours beside measured, written into docs/validation.md.

``scripts/validation.py [FILE ...]`` prints the tests of those files (all, without); ``--write`` also renews
the table in docs/validation.md. A file says a test's inputs as a neutral frame without its elements (a line
of nodes, one tube after another), the tubes, and what was measured: ratios of largest loads, or a load-travel
``curve`` in mm and N of one tube. Thin tube is lowered as in a cage.
"""

from __future__ import annotations

import json
import sys
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import yaml

from cagewright.frame.neutral import parse_frame, run_push
from cagewright.frame.thin_tubes import bending_part

HERE = Path(__file__).parents[1] / "docs"
MARK = "<!-- made by scripts/validation.py -->"


def pushed(test: dict[str, Any], tube: list[float]) -> tuple[np.ndarray, np.ndarray]:
    """Travel mm and load N of one tube of the test."""
    frame = test["frame"]
    elements = [[i, i + 1, *tube] for i in range(len(frame["nodes"]) - 1)]
    model, push = parse_frame(json.dumps({**frame, "elements": elements}))
    part = bending_part(*tube, float(frame["fy"]), float(frame["E"]))
    answer, _ = run_push(replace(model, yield_factor=np.full(len(elements), part)), push)
    return answer.travel, answer.load


def rows(test: dict[str, Any]) -> list[tuple[str, float, float]]:
    """What was measured in words, the figure measured, and ours."""
    curves = {name: pushed(test, tube) for name, tube in test["tubes"].items()}
    found: list[tuple[str, float, float]] = []
    for one in test["measured"]:
        travel, load = curves[one["of"]]
        if "curve" in one:
            at, measured = np.array(one["curve"], float).T
            ours = np.interp(at, travel, load)
            found += [
                (f"{one['of']} at {a:g} mm, N", m, o) for a, m, o in zip(at, measured, ours, strict=True)
            ]
            continue
        ours = float(load.max())
        words = f"{one['what']}, {one['of']}"
        if "over" in one:
            ours, words = ours / float(curves[one["over"]][1].max()), f"{words} over {one['over']}"
        found.append((words, float(one["value"]), ours))
    return found


def table(files: list[Path]) -> str:
    """The tests as a table in Markdown."""
    lines = ["| test | what | measured | ours | ours over measured | source |", "|---|---|---|---|---|---|"]
    for file in files:
        test = yaml.safe_load(file.read_text())
        for words, measured, ours in rows(test):
            ratio = ours / measured
            source = f"{test['source']} ({test['certainty']})"
            lines.append(f"| {test['test']} | {words} | {measured:g} | {ours:.4g} | {ratio:.3f} | {source} |")
    return "\n".join(lines)


def main() -> None:
    """Print the table, and write it where asked."""
    named = [Path(a) for a in sys.argv[1:] if not a.startswith("--")]
    made = table(named or sorted((HERE / "validation").glob("*.yaml")))
    print(made)
    if "--write" in sys.argv:
        page = HERE / "validation.md"
        before, _, after = page.read_text().split(MARK)
        page.write_text(f"{before}{MARK}\n{made}\n{MARK}{after}")


if __name__ == "__main__":
    main()
