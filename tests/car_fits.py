"""Drafts and fits of the invented shells, measured by python-fcl, an independent collision library."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from types import SimpleNamespace

import numpy as np

import bodies
from bodies import Body
from cagewright.check.library import built_in
from cagewright.check.limits_asked import limits_of
from cagewright.draft.fit import Fitted, Freedom, fit
from cagewright.draft.freedoms import Lack
from cagewright.draft.layout import draft
from cagewright.draft.tighten import path_of
from cagewright.plan.shop import read_shop
from cagewright.plan.survey import SurveyFile
from cagewright.plan.types import Plan
from cagewright.shape.cloud import cloud_of
from cagewright.shape.mesh import mesh_of
from cagewright.shape.resolve import resolve
from cagewright.shape.scan import Scan
from cagewright.shape.shell import shell_of
from cagewright.shape.types import member_named
from car_bodies import Car, Mesh, car_mesh, car_survey, edge_at, marks
from car_gaps import Gaps, gaps_of, model_of

SHOP = read_shop(Path(__file__).parents[1] / "examples" / "brackwater.shop.yaml")
LIMITS = limits_of([built_in("fia-253-2009")])
TUBES = ("main_hoop", "front_leg_left", "front_leg_right")


@dataclass(frozen=True, kw_only=True)
class Stood:
    """A shell with its survey.

    Attributes:
        sill: its height; ``high`` where side and roof meet at the hoop.
        base: (3,) of the left pillar.
    """

    name: str
    survey: SurveyFile
    mesh: Mesh
    sill: float
    high: float
    base: np.ndarray

    @cached_property
    def first(self) -> Plan:
        return draft(self.survey, LIMITS, SHOP).plan

    @cached_property
    def scan(self) -> Scan:
        seen = mesh_of(*self.mesh)
        return Scan(name="scan", mesh=seen, cloud=cloud_of(seen), watertight=False, residuals=(), notes=())

    def fitted(self, *, scan: bool) -> tuple[Plan, tuple[Fitted, ...]]:
        """The draft fitted by the readings alone or on the scan, and what is told of its tubes."""
        shell = shell_of(resolve(self.first), self.scan if scan else None)
        plan, report = fit(self.first, shell, Freedom(), SHOP)
        return plan, report.members

    @cached_property
    def model(self):
        return model_of(*self.mesh)

    def gaps(self, plan: Plan) -> tuple[Gaps, ...]:
        """Of hoop and legs of a plan."""
        cage = resolve(plan)
        return tuple(self._gaps(self.model, member_named(cage, tube), tube) for tube in TUBES)

    def gaps_then(self, plan: Plan, tube: str, lack: Lack) -> Gaps | None:
        """Of a tube as it would lie with what it lacks; None where it cannot be bent so."""
        path = path_of(lack.tube.places, lack.tube.radii)
        made = SimpleNamespace(path=path, tube=member_named(resolve(plan), tube).tube)
        return None if path is None else self._gaps(self.model, made, tube)

    def _gaps(self, model, member, tube: str) -> Gaps:
        """The hoop's from 150 mm over the sill, a leg's from 20 mm over the pillar's bottom."""
        hoop = tube == TUBES[0]
        return gaps_of(
            model,
            member,
            middle=(self.sill + self.high) / 2.0,
            above=self.sill + 150.0 if hoop else float(self.base[2]) + 20.0,
            behind=-np.inf if hoop else float(self.base[0]),
        )


def stood(shell: Car | Body, triangles: int = 40_000) -> Stood:
    """The shell with its exact survey and a mesh of about so many triangles."""
    if isinstance(shell, Body):
        base, mesh = bodies.placed(shell)["pillar_base_left"], bodies.mesh(shell, triangles)
        high, survey = float(bodies.deepest(shell, shell.hoop)[1]), bodies.survey(shell)
    else:
        base, mesh = marks(shell)["pillar_base_left"], car_mesh(shell, triangles)
        high, survey = float(edge_at(shell, np.array([shell.hoop]))[0, 1]), car_survey(shell)
    return Stood(
        name=shell.name, survey=survey, mesh=mesh, sill=shell.sill, high=high, base=base
    )  # fmt: skip


def told_of(tube: str, told: tuple[Fitted, ...], plan: Plan) -> Fitted:
    """What a fit tells of a tube; of one that is drawn as another's mirror, what it tells of that."""
    return next(f for f in told if tube in (f.member, plan.members[f.member].mirror))


@dataclass(frozen=True, kw_only=True)
class Short:
    """A tube of which less than 90 % lies within 5 mm of its gap.

    Attributes:
        lack: what is told that it lacks.
        now: its gaps as it lies.
        then: with that; None where nothing is told that can be laid out.
    """

    tube: str
    lack: Lack | None
    now: Gaps
    then: Gaps | None

    @property
    def kept(self) -> bool:
        """Whether the freedom brings what is told: at least three quarters of the share, less 3 %."""
        assert self.lack is not None
        assert self.then is not None
        told = min(self.lack.then.share, 0.95) - self.lack.now.share
        return self.then.share - self.now.share >= 0.75 * told - 0.03


def shorts(body: Stood, plan: Plan, told: tuple[Fitted, ...], lies: tuple[Gaps, ...]) -> Iterator[Short]:
    """Of hoop and legs those that do not come to their gap."""
    by_name = dict(zip(TUBES, lies, strict=True))
    for tube, now in by_name.items():
        one = told_of(tube, told, plan)
        if now.share < 0.9:
            named = one.lacks is not None and one.lacks.freed not in ("end", "nothing")
            then = body.gaps_then(plan, one.member, one.lacks) if named and one.lacks else None
            yield Short(tube=tube, lack=one.lacks, now=by_name[one.member], then=then)
