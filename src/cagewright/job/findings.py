"""The findings of the rule books and of our own checks."""

from __future__ import annotations

from cagewright.base.problems import Problem, ProblemsFound, nearest_word
from cagewright.check.belts.findings import belts_findings
from cagewright.check.belts.mounts import mount_findings
from cagewright.check.bench_of import bench_of
from cagewright.check.body.findings import body_findings
from cagewright.check.findings import Finding, worst_first
from cagewright.check.judge import check_books
from cagewright.check.library import find_books
from cagewright.check.practice import PRACTICES, practice_findings
from cagewright.check.sight.findings import sight_findings
from cagewright.check.torch.findings import torch_findings
from cagewright.job.opening import Job, Step, no_progress, scan_of
from cagewright.plan.types import Plan, where_of


def rule_findings(job: Job) -> tuple[Finding, ...]:
    """The findings of the rule books that the plan's car answers to, worst first.

    Raises:
        ProblemsFound: a book is not known or has problems of its own.
    """
    names = job.plan.car.rules if job.plan.car else ()
    books = find_books(names, job.path.parent, where_of(job.plan, ("car", "rules")))
    bench = bench_of(job.plan, job.cage)
    return worst_first(
        job.cache.get(("rules", (job.key, repr(books))), lambda: check_books(job.cage, books, bench))
    )


def check_findings(job: Job, *, step: Step = no_progress) -> tuple[Finding, ...]:
    """The findings of everything but the rule books: body, driver, torch, belts, mounts, sight and practice.

    Raises:
        ProblemsFound: the scan cannot be used, or a practice check is switched that there is not.
    """
    switches = _switches(job.plan)
    return job.cache.get(("checks", job.key), lambda: _checked(job, switches, step))


def _checked(job: Job, switches: dict[str, bool], step: Step) -> tuple[Finding, ...]:
    step("reading the scan", 0.1)
    cage, scan = job.cage, scan_of(job)
    step("body and driver", 0.3)
    body = body_findings(cage, scan)
    step("torch access", 0.5)
    torch = torch_findings(cage, scan)
    step("belts, sight and practice", 0.9)
    seat = (*belts_findings(cage), *mount_findings(cage), *sight_findings(cage))
    return worst_first((*body, *torch, *seat, *practice_findings(cage, switches)))


def _switches(plan: Plan) -> dict[str, bool]:
    unknown = [name for name in plan.practice if name not in PRACTICES]
    if unknown:
        raise ProblemsFound(
            Problem(
                code="unknown-practice",
                where=where_of(plan, ("practice", name)),
                found=f"there is no practice check '{name}'",
                wanted=f"wanted one of {', '.join(PRACTICES)}",
                nearest=nearest_word(name, PRACTICES),
            )
            for name in unknown
        )
    return plan.practice


def findings_of(job: Job, *, step: Step = no_progress) -> tuple[Finding, ...]:
    """Every finding: the rule books' and the checks', worst first.

    Raises:
        ProblemsFound: a book, the scan or a switch is not as it should be.
    """
    step("rule books", 0.0)
    return worst_first((*rule_findings(job), *check_findings(job, step=step)))
