"""A tube as it is written into the plan file and put back, and what its dies learned into the shop's."""

from __future__ import annotations

from typing import Any

import numpy as np

from cagewright.base.files import write_atomically
from cagewright.base.problems import Problem, ProblemsFound, Where
from cagewright.base.say import say_angle
from cagewright.change.edit import edit
from cagewright.job.opening import Job
from cagewright.job.tube import TubeAnswer
from cagewright.job.tube_ways import TubeWay
from cagewright.plan.shop import read_shop_text
from cagewright.plan.write import document, set_value
from cagewright.stock.benders import springback


def take_over(job: Job, answer: TubeAnswer) -> str:
    """What was done, once the plan file has the tube as built.

    Raises:
        ProblemsFound: the tube cannot go where it was meant, or the plan's text cannot be changed so.
    """
    return _edited(job, way_taken(job, answer).change or {})


def way_taken(job: Job, answer: TubeAnswer) -> TubeWay:
    """The way by which the tube goes in its place.

    Raises:
        ProblemsFound: there is none.
    """
    way = next((w for w in answer.ways if w.possible and w.change), None)
    if way is None:
        found = f"{answer.member} cannot be used in its place as it is"
        wanted = "wanted another way: see what is said of it"
        where = Where(file=job.path.as_posix())
        raise ProblemsFound([Problem(code="not-in-place", where=where, found=found, wanted=wanted)])
    return way


def undo_taken(job: Job, member: str) -> str:
    """What was done, once the plan file has the member as planned.

    Raises:
        ProblemsFound: there is no such member, or it is as planned.
    """
    return _edited(job, {"as_planned": member})


def _edited(job: Job, change: dict[str, Any]) -> str:
    text = job.path.read_bytes().decode("utf-8")
    after, words = edit(document(text, file=job.path.as_posix()), job.plan, job.cage, change)
    write_atomically(job.path, after.text.encode())
    return f"{words}: written to {job.path.name}"


def learn(job: Job, answer: TubeAnswer) -> str:
    """What was done, once the shop file has the tube's bends as trials, and each die's new line.

    Raises:
        ProblemsFound: the plan names no shop file, or its text cannot be changed so.
    """
    if job.plan.shop is None or not answer.springback:
        return "Nothing was learned: no bend was read well enough, or the plan names no shop."
    path = job.path.parent / job.plan.shop
    doc = document(path.read_bytes().decode("utf-8"), file=path.as_posix())
    have = {die.name: len(die.trials) for die in job.shop.dies}
    for line in answer.springback:
        keys, value = ("dies", line.die, "trials"), {"set": line.put, "got": line.got}
        many = have[line.die]
        doc = set_value(doc, (*keys, many), value) if many else set_value(doc, keys, [value])
        have[line.die] += 1
    shop = read_shop_text(doc.text, file=path.as_posix())
    write_atomically(path, doc.text.encode())
    told = [f"{len(answer.springback)} trials written to {path.name}."]
    tube = next(m.tube for m in job.cage.members if m.name == answer.member)
    for die in shop.dies:
        if die.name in {line.die for line in answer.springback}:
            rule = springback(tube, die.clr, die.trials)
            spread = "" if rule.scatter is None else f" ± {say_angle(1.96 * rule.scatter)}"
            told.append(
                f"{die.name}: for 90° set {say_angle(rule.offset + rule.slope * np.pi / 2)}{spread}, by "
                f"{len(die.trials)} trials."
            )
    return " ".join(told)
