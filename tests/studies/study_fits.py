"""Do hoop and legs fitted on a scan keep off the metal, and does what is named bring the others to it?"""

from bodies import BODIES
from car_bodies import CARS, random_car
from car_fits import shorts, stood

SEED = 0
SMALL, FULL = 1, 30
"""Made-up bodies beside the three that nobody tuned to and those of the example surveys."""
LEAST, ROUNDED = 5.0, 1.5
"""The gap kept; it may come out so much less: places in whole mm, stations 20 mm apart."""
TRIANGLES = 40_000


def figures(size: int, seed: int) -> dict[str, float]:
    """Of every tube, by python-fcl, an independent collision library."""
    some = [CARS["dented saloon"]] if size == SMALL else [*CARS.values(), *BODIES.values()]
    least: list[float] = []
    shares: list[float] = []
    short: list[tuple[bool, bool, float]] = []
    for shell in (*some, *(random_car(seed + 2 * k) for k in range(1, size + 1))):
        body = stood(shell, TRIANGLES)
        plan, told = body.fitted(scan=True)
        lies = body.gaps(plan)
        least += [float(g.gap.min()) for g in lies]
        shares += [g.share for g in lies]
        short += [
            (s.lack is not None, s.then is not None and s.kept, s.then.share if s.then else s.now.share)
            for s in shorts(body, plan, told, lies)
        ]
    return {
        "bodies": size, "tubes": len(shares), "least_gap_mm": round(min(least), 2),
        "in_the_metal": sum(g < 0.0 for g in least),
        "share_90": sum(s >= 0.9 for s in shares), "worst_share": round(min(shares), 3),
        "short": len(short), "named": sum(named for named, _, _ in short),
        "kept": sum(kept for _, kept, _ in short),
        "share_90_with_it": sum(then >= 0.9 for _, _, then in short),
    }  # fmt: skip


def check(found: dict[str, float]) -> None:
    """Hold what the study is to show.

    Raises:
        AssertionError: it does not.
    """
    assert found["in_the_metal"] == 0
    assert found["least_gap_mm"] >= LEAST - ROUNDED
    assert found["share_90"] + found["short"] == found["tubes"]
    assert found["named"] == found["short"] > 0
    assert found["kept"] >= 0.9 * found["short"]
    assert found["share_90_with_it"] >= 0.6 * found["short"]
