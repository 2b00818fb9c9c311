"""The pages of the workbench, in the order of the work; each module here brings one, named ``PAGE``."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from functools import cache
from importlib import import_module
from importlib.util import find_spec
from typing import TYPE_CHECKING, Any

from starlette.routing import BaseRoute

if TYPE_CHECKING:
    from cagewright.job.history.open_plan import OpenPlan


def _nothing(opened: OpenPlan) -> dict[str, Any]:
    return {}


def _always() -> bool:
    return True


@dataclass(frozen=True, slots=True, kw_only=True)
class Page:
    """One page of an open plan.

    Attributes:
        name: its last part in the address, ``/plans/ID/NAME``.
        title: as the builder reads it.
        template: file in ``templates/``.
        routes: what it answers, each with its whole path, ``/api/plans/{id}/NAME/...``.
        work: kinds of long work, each to "module:function"; run as ``function(job, asked, step)`` in the
            worker process, where it returns what JSON can hold.
        context: what its template is given besides ``page``, ``pages`` and ``state``.
        ready: whether it can be shown.
    """

    name: str
    title: str
    template: str
    routes: tuple[BaseRoute, ...] = ()
    work: Mapping[str, str] = field(default_factory=dict[str, str])
    context: Callable[[OpenPlan], dict[str, Any]] = _nothing
    ready: Callable[[], bool] = _always


PAGES = ("shell", "cage", "rules", "strength", "alternatives", "cut", "fitup", "inspect", "papers")
"""The modules here, in the order of the work."""


@cache
def all_pages() -> tuple[Page, ...]:
    """The pages, in order."""
    found = (name for name in PAGES if find_spec(f"{__name__}.{name}"))
    return tuple(import_module(f"{__name__}.{name}").PAGE for name in found)
