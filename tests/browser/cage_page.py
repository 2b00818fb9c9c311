"""What the tests of the Cage page do with it."""

from __future__ import annotations

from itertools import pairwise
from typing import Any

from served import Bench


def ready(page: Any) -> Any:
    """The page once its tables and its picture are there."""
    page.wait_for_selector("#panel-tubes tr[data-row]")
    page.wait_for_function("() => window.cagewrightView?.snapshot().members.length > 0")
    return page


def row(page: Any, name: str) -> Any:
    return page.locator(f"#panel-tubes tr[data-row='{name}']")


def choose(page: Any, name: str) -> None:
    row(page, name).click()
    page.wait_for_function("name => window.cagewrightView.snapshot().selected.members[0] === name", arg=name)


def scene(bench: Bench, plan: str = "brackwater") -> dict[str, Any]:
    return bench.get("/scene", plan)


def member(bench: Bench, name: str) -> dict[str, Any]:
    return next(m for m in scene(bench)["members"] if m["name"] == name)


def spot(page: Any, point: list[float]) -> tuple[float, float]:
    """Where a place of the car (mm) is on the page (pixels)."""
    at = page.evaluate("point => window.cagewrightView.where(point)", point)
    return at["x"], at["y"]


def number(page: Any, key: str) -> Any:
    return page.locator(f"#cage-chosen [data-key='number {key}']")


def saved(page: Any, words: str) -> None:
    """Waits until the last change is the one of those words, and the plan is saved."""
    page.wait_for_function(
        "words => document.getElementById('undo').title.includes(words)"
        " && document.getElementById('saved').dataset.saved === 'yes'",
        arg=words,
    )


def along(axis: list[list[float]], share: float) -> list[float]:
    """The place at that share of a centre line."""
    steps = [sum((p - q) ** 2 for p, q in zip(a, b, strict=True)) ** 0.5 for a, b in pairwise(axis)]
    left = share * sum(steps)
    for (a, b), step in zip(pairwise(axis), steps, strict=True):
        if left <= step:
            return [p + (q - p) * left / step for p, q in zip(a, b, strict=True)]
        left -= step
    return axis[-1]
