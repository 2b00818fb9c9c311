"""Run the studies in tests/studies at full size, and keep their figures with seed, size and date.

python scripts/studies.py [NAME ...]
"""

from __future__ import annotations

import datetime
import importlib
import json
import sys
import time
from pathlib import Path
from types import ModuleType

ROOT = Path(__file__).resolve().parent.parent
STUDIES = ROOT / "tests" / "studies"
KEPT = ROOT / "docs" / "studies"
sys.path[:0] = [str(ROOT / "tests"), str(STUDIES)]


def studies(names: list[str]) -> dict[str, ModuleType]:
    known = [path.stem.removeprefix("study_") for path in sorted(STUDIES.glob("study_*.py"))]
    return {n: importlib.import_module(f"study_{n}") for n in known if n in (names or known)}


def main() -> int:
    """Exit code: 0 every study shows what it is to show, 1 one does not."""
    wrong = 0
    for name, study in studies(sys.argv[1:]).items():
        begun = time.process_time()
        found = study.figures(study.FULL, study.SEED)
        row = {
            "asked": study.__doc__,
            "date": datetime.date.today().isoformat(),
            "seed": study.SEED,
            "processor_seconds": round(time.process_time() - begun),
            "figures": found,
        }
        print(f"{name}: {json.dumps(row)}", flush=True)
        try:
            study.check(found)
        except AssertionError as failed:
            wrong += 1
            print(f"{name} does not show what it is to show: {failed}", file=sys.stderr)
            continue
        (KEPT / f"{name}.json").write_text(json.dumps(row, indent=1) + "\n", encoding="utf-8")
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main())
