"""Renew tests/golden/*.json, the main numbers of every example; look at the difference before keeping it."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from cagewright.job.cutting import work_of
from cagewright.job.opening import open_job
from cagewright.make.numbers import numbers

ROOT = Path(__file__).resolve().parent.parent
PLANS = tuple(p for p in sorted((ROOT / "examples").glob("*.yaml")) if not p.name.endswith(".shop.yaml"))


def main_numbers(plan: Path) -> dict[str, Any]:
    """Finished and rough lengths, bend settings, weld line, weight and tube bought of one plan."""
    made = numbers(work_of(open_job(plan)))
    return {
        "finished_mm": {m["name"]: m["finished_mm"] for m in made["members"]},
        "rough_mm": {m["name"]: m["rough_mm"] for m in made["members"]},
        "set_to_deg": {b["member"]: [s["set_angle_deg"] for s in b["steps"]] for b in made["bends"]},
        "weld_mm": made["welds"]["length_mm"],
        "mass_kg": made["weights"]["mass_kg"],
        "bought_mm": [n["bought_mm"] for n in made["nesting"]],
        "proved": [n["proved"] for n in made["nesting"]],
    }


def kept(plan: Path) -> Path:
    """Where a plan's numbers are kept."""
    return ROOT / "tests" / "golden" / f"{plan.stem}.json"


if __name__ == "__main__":
    for path in PLANS:
        kept(path).write_text(json.dumps(main_numbers(path), indent=1) + "\n", encoding="utf-8")
