"""A bent tube by a scan of its outside."""

from __future__ import annotations

from pathlib import Path

import numpy as np

from cagewright.base.answers import Sentence
from cagewright.base.problems import Problem, ProblemsFound, Where
from cagewright.base.say import say_length
from cagewright.fitup.tube import bench_of
from cagewright.fitup.tube_choice import sure_of_marks
from cagewright.fitup.tube_points import NoTube, tube_of_scan
from cagewright.job.opening import Job
from cagewright.job.tube import TubeAnswer, answer_of
from cagewright.job.tube_wanted import member_of
from cagewright.shape.scan_file import ScanRefused, loaded

THINNED = 0.001
"""A cloud is thinned to this in the file's own numbers: nothing in mm, 1 mm in metres."""
MOST = 400_000
"""More points than this are thinned by lot before the tube is found."""
CLEAN = 0.1
"""Where more than this share of the points is no part of the tube, that is told."""


def tube_from_scan(job: Job, name: str, path: Path, *, checks: bool = False) -> TubeAnswer:
    """The tube by a mesh or a cloud of points of its outside, in any place.

    Args:
        job: the plan.
        name: of the member that the tube was bent for.
        path: the scan, of the tube and little else.
        checks: also hold the rules to the cage with the tube as it is.

    Raises:
        ProblemsFound: there is no such member, the scan cannot be read, or it is of no such tube.
    """
    member = member_of(job, name)
    bench, where = bench_of(member, job.shop), Where(file=path.as_posix())
    try:
        points = loaded(path, spacing=THINNED).corners
    except ScanRefused as wrong:
        code, found, wanted = wrong.args
        raise ProblemsFound([Problem(code=code, where=where, found=found, wanted=wanted)]) from None
    if len(points) > MOST:
        points = points[np.random.default_rng(0).permutation(len(points))[:MOST]]
    try:
        tube = tube_of_scan(bench, points)
    except NoTube as no:
        wanted = f"wanted the outside of the tube for {member.name}, and little else"
        raise ProblemsFound([
            Problem(code="scan-no-tube", where=where, found=str(no), wanted=wanted)
        ]) from None
    units = job.cage.units
    worst = float(sure_of_marks(tube.read.shape, bench.radius, tube.read.covariance).max())
    words = (
        f"From {tube.points} points of its skin, taken as {tube.unit}, {say_length(tube.off, units)} off it; "
        f"every end and bend is known to \u00b1 {say_length(worst, units)} or better"
    )
    if tube.beside > CLEAN:
        words += f"; {tube.beside:.0%} of the scan is no part of it and left out"
    if tube.either_way:
        words += "; read from its other end it is about as like the plan: mark its start before it is turned"
    level = "look at" if tube.beside > CLEAN or tube.either_way else "fine"
    return answer_of(job, member, tube.read, Sentence(words=f"{words}.", level=level), checks=checks)
