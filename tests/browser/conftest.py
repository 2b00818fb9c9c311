"""The real server in its own process, and Debian's Chromium in front of it.

``bench`` is a fresh copy of the examples in a folder of its own, on a server that all tests share;
``own_bench`` has a server to itself, to be ended and started again. ``open_page`` opens a page of it in a
window of some size, and the test fails where the page says that something is wrong in its console, or asks
anything of another machine. Where there is no Chromium or the pages are not built, the tests say so.
"""

from __future__ import annotations

import os
import shutil
from collections.abc import Callable, Iterator
from itertools import count
from pathlib import Path
from typing import Any

import pytest
from served import (
    LAPTOP,
    ROOT,
    STATIC,
    TABLET,
    Bench,
    OpenPage,
    Server,
    Size,
    Watch,
    grave,
    shop_folder,
    until,
)

__all__ = ["LAPTOP", "ROOT", "TABLET", "Bench", "OpenPage", "Watch", "grave", "until"]

ARGS = [
    "--no-sandbox", "--disable-quic", "--no-first-run", "--disable-background-networking",
    "--disable-component-update", "--disable-sync", "--use-angle=swiftshader", "--enable-unsafe-swiftshader",
]  # fmt: skip


@pytest.fixture(scope="session")
def chromium_path() -> str:
    found = shutil.which("chromium") or shutil.which("chromium-browser") or shutil.which("google-chrome")
    if not found:
        pytest.skip("there is no Chromium here (on Debian: apt-get install chromium)")
    return found


@pytest.fixture(scope="session")
def browser(chromium_path: str) -> Iterator[Any]:
    sync_api = pytest.importorskip("playwright.sync_api", reason="playwright is not installed: make setup")
    if not (STATIC / "cage.js").exists():
        pytest.skip("the pages are not built: make web")
    with sync_api.sync_playwright() as play:
        opened = play.chromium.launch(executable_path=chromium_path, args=ARGS)
        yield opened
        opened.close()


@pytest.fixture(scope="session")
def shared(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Server]:
    """The server that the tests share, each with a folder of its own in the shop's."""
    made = Server(place=tmp_path_factory.mktemp("shop"))
    made.start()
    yield made
    made.stop()


NUMBERS = count(1)


@pytest.fixture
def bench(shared: Server) -> Iterator[Bench]:
    """A fresh copy of the examples on the shared server, which lists no more than some hundred plans."""
    number = next(NUMBERS)
    folder = shop_folder(shared.place / f"t{number}")
    yield Bench(server=shared, folder=folder, under=f"t{number}-")
    shutil.rmtree(folder, ignore_errors=True)


@pytest.fixture
def own_bench(tmp_path: Path) -> Iterator[Bench]:
    """A fresh copy of the examples with a server to itself, opened at the Brackwater saloon."""
    folder = shop_folder(tmp_path / "shop")
    server = Server(place=folder / "brackwater.yaml")
    server.start()
    yield Bench(server=server, folder=folder)
    server.stop()


@pytest.fixture
def empty_bench(tmp_path: Path) -> Iterator[Bench]:
    """A server over an empty folder."""
    folder = tmp_path / "new shop"
    folder.mkdir()
    server = Server(place=folder)
    server.start()
    yield Bench(server=server, folder=folder)
    server.stop()


@pytest.fixture
def watch() -> Watch:
    """The guard over every page that the test opens."""
    return Watch()


@pytest.fixture
def open_page(browser: Any, request: pytest.FixtureRequest, watch: Watch) -> Iterator[OpenPage]:
    """Opens a page: ``open_page("strength", size=TABLET)`` is a page of the Brackwater saloon's plan.

    ``plan=`` names another plan, ``at=`` a whole path instead; ``at=None`` opens nothing yet. The bench is
    ``bench``, or the one given as ``on=``; further words go to the browser's context.
    """
    contexts: list[Any] = []

    def opened(
        name: str = "cage",
        *,
        plan: str = "brackwater",
        at: str | None = "",
        on: Bench | None = None,
        size: Size = LAPTOP,
        **more: Any,
    ) -> Any:
        where: Bench = on or request.getfixturevalue("bench")
        context = browser.new_context(**{
            "viewport": dict(zip(("width", "height"), size, strict=True)),
            "reduced_motion": "reduce",
            **more,
        })
        context.set_default_timeout(60_000)
        contexts.append(context)
        page = context.new_page()
        watch.follow(page, where.base)
        if at is not None:
            page.goto(where.base + (at or f"/plans/{where.id(plan)}/{name}"))
        return page

    yield opened
    for context in contexts:
        context.close()
    assert not watch.wrong, "\n".join(watch.wrong)


@pytest.fixture
def picture(tmp_path: Path, request: pytest.FixtureRequest) -> Callable[[Any, str], Path]:
    """Saves what a page shows, under the test's folder or in the one that CAGEWRIGHT_PICTURES names."""
    folder = Path(os.environ.get("CAGEWRIGHT_PICTURES") or tmp_path / "pictures")
    folder.mkdir(parents=True, exist_ok=True)

    def save(page: Any, name: str) -> Path:
        path = folder / f"{name}.png"
        page.screenshot(path=str(path))
        return path

    return save
