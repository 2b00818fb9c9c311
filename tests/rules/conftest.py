"""The rules' tests build their cages with the checks' own small-cage builder."""

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1] / "unit" / "check"))
