"""Commands on a plan: what is in it, what the rule books say, and its papers."""

from __future__ import annotations

import math
from pathlib import Path
from typing import Annotated, Any

import typer

from cagewright.base.say import say_length
from cagewright.base.sheet import Column, Table
from cagewright.cli.output import AsJson, PlanPath, emit, err, out, progress, show_table, speaking_plainly
from cagewright.job.findings import findings
from cagewright.job.opening import Job, open_job
from cagewright.job.papers import build
from cagewright.shape.types import Bend, Cope, End, Member


def show(plan: PlanPath, as_json: AsJson = False) -> None:
    """Say what is in a plan: members, joints, feet."""
    with speaking_plainly(as_json=as_json):
        job = open_job(plan)
    if as_json:
        emit(contents(job))
        return
    cage = job.cage
    out.print(f"{cage.title}, revision {cage.revision}", markup=False)
    show_table(members_table(job))
    out.print(f"{len(cage.members)} members, {len(cage.joints)} joints, {len(cage.feet)} feet.", markup=False)


def members_table(job: Job) -> Table:
    """One row a member: role, tube, finished length, bends, how its ends are cut."""
    units = job.cage.units
    heads = ("member", "role", "tube", "length", "bends", "start", "end")
    rows = tuple(
        (m.name, m.role, m.tube_name, say_length(m.length, units), str(len(m.bends)), *_ends(m))
        for m in job.cage.members
    )
    return Table(title="", columns=tuple(Column(head=h) for h in heads), rows=rows)


def _ends(member: Member) -> tuple[str, str]:
    start, end = (_end(e) for e in member.ends)
    return start, end


def _end(end: End) -> str:
    if end.foot:
        return f"foot {end.foot}"
    return " + ".join(end.cut.mains) if isinstance(end.cut, Cope) else "free"


def contents(job: Job) -> dict[str, Any]:
    """The plan's contents, JSON-ready; lengths mm, angles deg."""
    cage = job.cage
    return {
        "title": cage.title,
        "revision": cage.revision,
        "units": cage.units,
        "shop": job.shop.name,
        "members": [_member(m) for m in cage.members],
        "joints": [
            {"name": j.name, "branch": j.branch, "mains": list(j.mains), "point_mm": _point(j.point)}
            for j in cage.joints
        ],
        "feet": [
            {"name": f.name, "on": f.seat, "point_mm": _point(f.point), "members": list(f.members)}
            for f in cage.feet
        ],
    }


def _member(m: Member) -> dict[str, Any]:
    return {
        "name": m.name,
        "role": m.role,
        "tube": {"od_mm": m.tube.od, "wall_mm": m.tube.wall, "steel": m.tube.steel.name},
        "length_mm": round(m.length, 3),
        "bends": [_bend(b) for b in m.bends],
        "ends": list(_ends(m)),
        "mirror_of": m.mirror_of,
    }


def _bend(b: Bend) -> dict[str, float]:
    return {
        "angle_deg": round(math.degrees(b.angle), 4),
        "clr_mm": b.clr,
        "start_mm": round(b.start, 3),
        "stop_mm": round(b.stop, 3),
        "rotation_deg": round(math.degrees(b.clocking), 4),
    }


def _point(point: Any) -> list[float]:
    return [round(float(v), 3) for v in point]


def build_papers(
    plan: PlanPath,
    folder: Annotated[Path, typer.Option("-o", "--out", metavar="DIR", help="Folder for the papers.")],
    as_json: AsJson = False,
) -> None:
    """Write every paper of a plan into a folder; exit code 1 where a rule fails."""
    with speaking_plainly(as_json=as_json):
        job = open_job(plan)
        with progress(quiet=as_json) as step:
            files = build(job, folder, step=step)
        found = findings(job)
    if as_json:
        emit({
            "files": [p.as_posix() for p in files],
            "stamp": found.headline,
            "revision": job.cage.revision,
        })
    else:
        out.print(
            f"{len(files)} files in {folder.as_posix()}: print papers-a4.pdf or papers-letter.pdf",
            markup=False,
        )
        out.print(f"{found.headline}. {' '.join(found.cautions)}", markup=False)
    if found.failed:
        err.print("A rule fails: see the findings in the papers, or run check.", markup=False)
        raise typer.Exit(1)
