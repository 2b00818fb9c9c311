"""From a limit and what was measured to a verdict."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from cagewright.check.findings import Finding, Verdict
from cagewright.check.judge import within
from cagewright.check.rules import NO_ALLOWANCE, Bound


def holds(low: float | None, high: float | None, bounds: Iterable[Bound]) -> Verdict:
    """Pass where every value from ``low`` to ``high`` keeps every bound, fail where all break one."""
    if low is None or high is None:
        return "cannot tell"
    kept = [within(low, high, bound, NO_ALLOWANCE) for bound in bounds]
    if False in kept:
        return "fail"
    return "cannot tell" if None in kept else "pass"


def from_memory(finding: Finding) -> Finding:
    """A verdict by a figure that nobody read in the text: neither pass nor fail, a warning where broken."""
    if finding.certainty != "memory" or finding.verdict in {"not applicable", "cannot tell"}:
        return finding
    broken = finding.verdict == "fail"
    said = f"the figure is from memory, unchecked: it looks {'broken' if broken else 'kept'}"
    why = "; ".join(word for word in (finding.why, said) if word)
    return replace(finding, verdict="cannot tell", warning=broken, why=why)


def as_practice(finding: Finding) -> Finding:
    """A verdict by common practice without a source: it may warn, it never fails."""
    if finding.verdict != "fail":
        return finding
    why = "; ".join(word for word in (finding.why, "common practice, no source: a warning only") if word)
    return replace(finding, verdict="cannot tell", warning=True, why=why)
