"""Every example plan becomes the numbers that were looked at and kept, with nothing left to be seen to."""

import json
import runpy
from pathlib import Path

import pytest
from typer.testing import CliRunner

from cagewright.check.findings import any_failed
from cagewright.cli.app import command_line
from cagewright.job.cutting import work_of
from cagewright.job.findings import findings_of
from cagewright.job.opening import open_job
from cagewright.make.work import to_see_to

pytestmark = pytest.mark.usefixtures("kept_answers")
ROOT = Path(__file__).parents[2]
RENEW = runpy.run_path(str(ROOT / "scripts" / "golden_renew.py"))
SLOW = ("brackwater-inch", "marlbeck")
PLANS = [
    # in inches the first demo again: its figures are the mm demo's; the third demo is as large
    pytest.param(plan, id=plan.stem, marks=pytest.mark.slow if plan.stem in SLOW else ())
    for plan in RENEW["PLANS"]
]


def close(found: object, kept: object) -> bool:
    """Equal, numbers to a hundredth."""
    if isinstance(kept, dict):
        return (
            isinstance(found, dict)
            and found.keys() == kept.keys()
            and all(close(found[k], kept[k]) for k in kept)
        )
    if isinstance(kept, list):
        return isinstance(found, list) and len(found) == len(kept) and all(map(close, found, kept))
    if isinstance(kept, float) and isinstance(found, int | float):
        return abs(found - kept) <= 0.01
    return found == kept


@pytest.mark.parametrize("plan", PLANS)
def test_the_numbers_are_the_kept_ones(plan: Path):
    kept = json.loads(RENEW["kept"](plan).read_text(encoding="utf-8"))
    assert close(RENEW["main_numbers"](plan), kept)


@pytest.mark.parametrize("plan", PLANS)
def test_no_example_fails_a_check_or_leaves_the_shop_stuck(plan: Path):
    job = open_job(plan)
    assert not any_failed(findings_of(job))
    assert to_see_to(work_of(job)) == ()


def test_a_difference_is_seen():
    assert not close({"a": [1.0]}, {"a": [1.02]})
    assert not close({"a": 1.0, "b": 2.0}, {"a": 1.0})


@pytest.mark.slow  # every paper of a whole cage
def test_the_cage_with_a_roof_loop_builds_its_papers_in_inches(tmp_path: Path):
    plan, out = str(ROOT / "examples" / "marlbeck.yaml"), tmp_path / "out"
    done = CliRunner().invoke(command_line(["build"]), ["build", plan, "-o", str(out)])
    assert done.exit_code == 0, done.output
    assert (out / "papers-letter.pdf").stat().st_size > 10_000
    assert "oof loop" in (out / "tables" / "cut_list-members.csv").read_text(encoding="utf-8")
    assert {"roof_loop-1.svg", "main_hoop-1.svg"} <= {path.name for path in (out / "bends").iterdir()}
