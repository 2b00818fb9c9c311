"""What a push answers for each way that the joints may behave, told once."""

from __future__ import annotations

from cagewright.base.answers import figure
from cagewright.base.say import say
from cagewright.base.units import LengthUnit
from cagewright.frame.results import Bound, Results
from cagewright.job.strength_types import JointWay

_WAY = {
    ("yield", False): "joints that give, as flexible as their formula",
    ("yield", True): "joints that give, rigid until then",
    ("report", False): "joints that do not give, as flexible as their formula",
    ("report", True): "joints that do not give, rigid",
}


def joint_ways(results: Results, units: LengthUnit) -> tuple[JointWay, ...]:
    """Every way that was solved; the one whose figures are the push's is ``counts``."""
    least = _least(results)
    return tuple(
        JointWay(
            words=_WAY[b.joints, b.rigid], counts=b is least, why=b.counted.kind,
            travel=figure(b.counted.travel, "length", units, places=0),
            energy=figure(b.counted.energy, "energy", units), load=figure(b.peak, "force", units),
        )
        for b in results.bounds
    )  # fmt: skip


def joints_words(results: Results, units: LengthUnit) -> str:
    """Which way of the joints counts, what the others answer, and what of the model is past its range."""
    return " ".join(s for s in (_ways(results, units), _over(results, units), _range(results)) if s)


def _least(results: Results) -> Bound | None:
    return min(results.bounds, key=lambda b: b.counted.energy, default=None)


def _ways(results: Results, units: LengthUnit) -> str:
    least = _least(results)
    if least is None:
        return ""
    rest = "; ".join(_counts(b, units) for b in results.bounds if b is not least)
    counted = _WAY[least.joints, least.rigid]
    return (
        f"Joints are modelled in {len(results.bounds)} ways and the worst counts: {counted}. Others: {rest}."
    )


def _counts(bound: Bound, units: LengthUnit) -> str:
    energy, at = (
        say(bound.counted.energy, "energy", units),
        say(bound.counted.travel, "length", units, places=0),
    )
    return f"{_WAY[bound.joints, bound.rigid]}, {energy} by {at} ({bound.counted.kind})"


def _over(results: Results, units: LengthUnit) -> str:
    """Where the joints do not give, how many are over their strength and from which load on."""
    over = [j for j in results.joints if j.over is not None and j.over_load is not None]
    if results.choices.joints != "report" or not over:
        return ""
    load = say(over[0].over_load or 0.0, "force", units)
    many = f"{len(over)} joints are" if len(over) > 1 else "one joint is"
    return f"Joints do not give in this model; {many} over their strength, the first from {load} on."


def _range(results: Results) -> str:
    """That joints are stiffer than the formulas' range, so that the truth lies between two of the ways."""
    outside = sum(1 for j in results.joints if not j.fitted)
    if not outside or not results.bounds:
        return ""
    many = "All joints" if outside == len(results.joints) else f"{outside} of {len(results.joints)} joints"
    return (
        f"{many} are stiffer than those that the formula for their flexibility was fitted to: what is true "
        "lies between rigid and the formula at its range's edge."
    )
