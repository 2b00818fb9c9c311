"""Which tests may be skipped: allowed_skips.toml says each with its reason; any other skip is a failure."""

import fnmatch
import os
import tomllib
from pathlib import Path
from typing import Any

CI = bool(os.environ.get("CI"))
ALLOWED = tomllib.loads((Path(__file__).parent / "allowed_skips.toml").read_text(encoding="utf-8"))["skip"]


def allowed(test: str, reason: str, *, ci: bool = CI) -> bool:
    """Whether the list says why that test may be skipped for that reason."""
    return any(
        fnmatch.fnmatch(test, row["test"]) and row["reason"] in reason and not (ci and row.get("desk_only"))
        for row in ALLOWED
    )


def refuse_skip(report: Any) -> Any:
    """The report; failed where it is of a skip that nobody gave a reason for."""
    if report.skipped and not hasattr(report, "wasxfail"):
        reason = report.longrepr[2] if isinstance(report.longrepr, tuple) else str(report.longrepr)
        if not allowed(report.nodeid, reason):
            report.outcome = "failed"
            report.longrepr = f"{report.nodeid}\n{reason}\nnot a skip that tests/allowed_skips.toml allows"
    return report
