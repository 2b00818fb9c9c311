"""Every study at a small size, and what its full size showed when it was last run (make studies)."""

import importlib
import json
from pathlib import Path
from types import ModuleType

import pytest

HERE = Path(__file__).parent
KEPT = HERE.parents[1] / "docs" / "studies"
NAMES = [path.stem.removeprefix("study_") for path in sorted(HERE.glob("study_*.py"))]


def study(name: str) -> ModuleType:
    return importlib.import_module(f"study_{name}")


@pytest.mark.slow
@pytest.mark.parametrize("name", NAMES)
def test_the_small_size_shows_it_too(name: str):
    study(name).check(study(name).figures(study(name).SMALL, study(name).SEED))


@pytest.mark.parametrize("name", NAMES)
def test_the_full_size_was_run_and_shows_it(name: str):
    kept = json.loads((KEPT / f"{name}.json").read_text(encoding="utf-8"))
    assert kept["seed"] == study(name).SEED
    assert study(name).FULL in kept["figures"].values()
    study(name).check(kept["figures"])


@pytest.mark.parametrize(
    ("name", "spoilt"),
    [("walls", {"stalled": 0}), ("walls", {"least_growth": 0.9}), ("builds", {"inside": 0.8}),
     ("builds", {"found": 0.5}), ("builds", {"alarms": 0.3}), ("marks", {"in_place_by_chosen": 0.1}),
     ("marks", {"clear_by_chosen": 0.9}), ("pulls", {"not_fixed_ordered": 1}),
     ("pulls", {"twice_out_ordered": 1}), ("pulls", {"worse": 5000}), ("makings", {"killed": 0}),
     ("fits", {"in_the_metal": 1}), ("fits", {"named": 13}), ("fits", {"kept": 11}),
     ("tubes", {"whole_shape_inside": 0.9}), ("tubes", {"most_readings_4_bends": 19}),
     ("tubes", {"slip_named_or_told_as_alike": 0.9}), ("next_cars", {"the_same_at_5": 0.05}),
     ("next_cars", {"differs_at_0": 0.05}), ("next_cars", {"cannot_tell_at_0": 0.1}),
     ("next_cars", {"most_readings": 25})],
)  # fmt: skip
def test_a_study_that_shows_something_else_fails(name: str, spoilt: dict[str, float]):
    kept = json.loads((KEPT / f"{name}.json").read_text(encoding="utf-8"))["figures"]
    if spoilt == {"stalled": 0}:
        spoilt = {"pushes": kept["pushes"] + 1}
    with pytest.raises(AssertionError):
        study(name).check(kept | spoilt)
