"""Body and torch checks of the demo cage against scans of growing size, beside python-fcl in the same run.

Run: ``python benchmarks/body_scan.py [--quick]``. The scan is an invented saloon shell of 50 000 to 1 000 000
triangles; cages of more members are the demo cage several times over, each in a shell of its own, 200 000
triangles in all. The peer takes the same tubes as capsules against its own tree of the same triangles and
answers with the least distance alone. Growth is the exponent between neighbouring rows: 1 is in proportion.
"""

from __future__ import annotations

import math
import resource
import sys
import tempfile
import time
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import fcl
import numpy as np

ROOT = Path(__file__).parents[1]
sys.path.insert(0, str(ROOT / "tests"))

from cagewright.base.curves import Arc, Chain, Line, chain  # noqa: E402
from cagewright.check.body.findings import body_findings  # noqa: E402
from cagewright.check.torch.findings import torch_findings  # noqa: E402
from cagewright.check.torch.poses import tubes_of  # noqa: E402
from cagewright.plan.read import read_plan  # noqa: E402
from cagewright.plan.types import ScanEntry  # noqa: E402
from cagewright.shape.cloud import cloud_of  # noqa: E402
from cagewright.shape.mesh import mesh_of  # noqa: E402
from cagewright.shape.resolve import resolve  # noqa: E402
from cagewright.shape.scan import Scan, read_scan  # noqa: E402
from cagewright.shape.scan_gap import scan_gaps  # noqa: E402
from cagewright.shape.shell import shell_of  # noqa: E402
from cagewright.shape.types import Cage, End, Foot, Joint, Line3, Member  # noqa: E402
from saloon import saloon, stl  # noqa: E402

APART = 3000.0
BUDGET = 2.0


def best(work: Callable[[], object], times: int = 3) -> float:
    """The least processor time of a few warm runs, s (the machine may be shared)."""
    work()
    spent = []
    for _ in range(times):
        start = time.process_time()
        work()
        spent.append(time.process_time() - start)
    return min(spent)


def demo() -> Cage:
    return resolve(read_plan(ROOT / "examples" / "brackwater.yaml"))


# ---- the demo cage several times over


def several(cage: Cage, count: int) -> Cage:
    copies = [moved(cage, np.array([APART * i, 0.0, 0.0]), f"_{i}" if i else "") for i in range(count)]
    return replace(
        cage,
        members=tuple(m for c in copies for m in c.members),
        joints=tuple(j for c in copies for j in c.joints),
        feet=tuple(f for c in copies for f in c.feet),
        lines=tuple(x for c in copies for x in c.lines),
    )


def moved(cage: Cage, by: np.ndarray, tag: str) -> Cage:
    def name(old: str | None) -> str | None:
        return None if old is None else old + tag

    def joint_name(old: str | None) -> str | None:
        return None if old is None else "{}{}.{}".format(old.split(".")[0], tag, old.split(".")[1])

    def end(e: End) -> End:
        cut = replace(e.cut, origin=e.cut.origin + by)
        if hasattr(cut, "mains"):
            cut = replace(cut, mains=tuple(m + tag for m in cut.mains))
        return replace(e, cut=cut, joint=joint_name(e.joint), foot=name(e.foot))

    def member(m: Member) -> Member:
        return replace(m, name=m.name + tag, path=shifted(m.path, by), ends=(end(m.ends[0]), end(m.ends[1])))

    def joint(j: Joint) -> Joint:
        return replace(
            j, name=joint_name(j.name), branch=j.branch + tag, mains=tuple(m + tag for m in j.mains)
        )

    def foot(f: Foot) -> Foot:
        return replace(f, name=f.name + tag, point=f.point + by, members=tuple(m + tag for m in f.members))

    def line(x: Line3) -> Line3:
        return replace(x, name=x.name + tag, points=x.points + by)

    return replace(
        cage,
        members=tuple(map(member, cage.members)),
        joints=tuple(map(joint, cage.joints)),
        feet=tuple(map(foot, cage.feet)),
        lines=tuple(map(line, cage.lines)),
    )


def shifted(path: Chain, by: np.ndarray) -> Chain:
    pieces: list[Line | Arc] = []
    for piece in path.pieces:
        if isinstance(piece, Line):
            pieces.append(Line(start=piece.start + by, stop=piece.stop + by))
        else:
            pieces.append(replace(piece, centre=piece.centre + by))
    return chain(tuple(pieces))


def shells(count: int, triangles: int) -> Scan:
    corners, faces = saloon(triangles // count, noise=0.3)
    n = len(corners)
    all_corners = np.concatenate([corners + np.array([APART * i, 0.0, 0.0]) for i in range(count)])
    mesh = mesh_of(all_corners, np.concatenate([faces + n * i for i in range(count)]))
    return Scan(name="shells", mesh=mesh, cloud=cloud_of(mesh), watertight=False, residuals=(), notes=())


# ---- the peer


def peer(cage: Cage, scan: Scan) -> tuple[float, Callable[[], list[float]]]:
    """Seconds the peer's tree takes to build, and the work of its least distances."""
    start = time.process_time()
    model = fcl.BVHModel()
    model.beginModel(len(scan.mesh.faces), len(scan.mesh.corners))
    model.addSubModel(scan.mesh.corners, scan.mesh.faces)
    model.endModel()
    built = time.process_time() - start
    body = fcl.CollisionObject(model)
    tubes = tubes_of(cage.members)
    bars = [capsule(*row) for row in zip(tubes.start, tubes.stop, tubes.radius, strict=True)]

    def work() -> list[float]:
        return [fcl.distance(b, body, fcl.DistanceRequest(True), fcl.DistanceResult()) for b in bars]

    return built, work


def capsule(a: np.ndarray, b: np.ndarray, radius: float) -> fcl.CollisionObject:
    size = float(np.linalg.norm(b - a))
    z = (b - a) / size
    x = np.cross(z, [1.0, 0.0, 0.0] if abs(z[0]) < 0.9 else [0.0, 1.0, 0.0])
    x /= np.linalg.norm(x)
    turned = np.stack([x, np.cross(z, x), z], axis=1)
    return fcl.CollisionObject(fcl.Capsule(radius, size), fcl.Transform(turned, (a + b) / 2.0))


# ---- the tables


def row(cage: Cage, scan: Scan) -> tuple[float, float, float, float]:
    """Seconds warm: gaps to the scan, all body findings, torch findings, the peer's least distances."""
    shell = shell_of(cage, scan)
    gaps = best(lambda: scan_gaps(cage, shell))
    body = best(lambda: body_findings(cage, scan))
    torch = best(lambda: torch_findings(cage, scan))
    _, theirs = peer(cage, scan)
    return gaps, body, torch, best(theirs, 1)


def growth(sizes: list[int], spent: list[float]) -> float:
    """The exponent of the last step."""
    return math.log(spent[-1] / spent[-2]) / math.log(sizes[-1] / sizes[-2]) if len(sizes) > 1 else math.nan


COLUMNS = ("", "read s", "gaps s", "body s", "torch s", "all s", "gaps/fcl", "growth")
HEAD = " ".join(f"{name:>8}" for name in COLUMNS)


def say(label: str, read: float, times: tuple[float, float, float, float], rise: float) -> float:
    gaps, body, torch, theirs = times
    print(
        f"{label:>8} {read:8.2f} {gaps:8.2f} {body:8.2f} {torch:8.2f} {body + torch:8.2f} "
        f"{gaps / theirs:8.1f} {rise:8.2f}"
    )
    return body + torch


def main(quick: bool) -> int:
    cage = demo()
    print(f"{len(cage.members)} members, {len(cage.joints)} joints; by triangles")
    print(HEAD)
    counts = [50_000, 200_000] if quick else [50_000, 200_000, 500_000, 1_000_000]
    spent: list[float] = []
    at_budget = math.inf
    with tempfile.TemporaryDirectory() as folder:
        for i, count in enumerate(counts):
            stl(Path(folder) / "shell.stl", *saloon(count, noise=0.3))
            start = time.process_time()
            scan = read_scan(ScanEntry(file="shell.stl", units="mm"), Path(folder))
            read = time.process_time() - start
            times = row(cage, scan)
            spent.append(times[1] + times[2])
            say(f"{count:,}", read, times, growth(counts[: i + 1], spent))
            at_budget = spent[-1] if count == 200_000 else at_budget
    print("\nby members, 200,000 triangles in all")
    print(HEAD)
    spent, sizes = [], []
    for count in (1, 2) if quick else (1, 2, 4, 6):
        made = several(cage, count)
        start = time.process_time()
        scan = shells(count, 200_000)
        read = time.process_time() - start
        times = row(made, scan)
        sizes.append(len(made.members))
        spent.append(times[1] + times[2])
        say(str(len(made.members)), read, times, growth(sizes, spent))
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024.0
    print(f"\npeak memory {peak:.0f} MB with the peer's tree; at 200,000 triangles {at_budget:.2f} s")
    return 0 if at_budget < BUDGET else 1


if __name__ == "__main__":
    sys.exit(main("--quick" in sys.argv))
