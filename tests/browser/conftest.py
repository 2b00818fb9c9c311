"""The real server in its own process, and Debian's Chromium in front of it.

``bench`` is a fresh copy of the examples in a folder of its own, on a server that all tests share;
``own_bench`` has a server to itself, to be ended and started again. ``open_page`` opens a page of it in a
window of some size, and the test fails where the page says that something is wrong in its console, or asks
anything of another machine. Where there is no Chromium or the pages are not built, the tests say so.
"""

from __future__ import annotations

import json
import os
import re
import shutil
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit
from urllib.request import urlopen

import pytest

sync_api = pytest.importorskip("playwright.sync_api", reason="playwright is not installed: make setup")

ROOT = Path(__file__).resolve().parents[2]
STATIC = ROOT / "src" / "cagewright" / "workbench" / "static"
AXE = ROOT / "web" / "node_modules" / "axe-core" / "axe.min.js"
LAPTOP, TABLET = (1440, 900), (1024, 768)
SLOWEST_START = 90.0
"""Seconds that a server may take to say its address: two cores may be shared by many tests."""
ARGS = [
    "--no-sandbox", "--disable-quic", "--no-first-run", "--disable-background-networking",
    "--disable-component-update", "--disable-sync", "--use-angle=swiftshader", "--enable-unsafe-swiftshader",
]  # fmt: skip
Size = tuple[int, int]


@pytest.fixture(scope="session")
def chromium_path() -> str:
    found = shutil.which("chromium") or shutil.which("chromium-browser") or shutil.which("google-chrome")
    if not found:
        pytest.skip("there is no Chromium here (on Debian: apt-get install chromium)")
    return found


@pytest.fixture(scope="session")
def browser(chromium_path: str) -> Iterator[Any]:
    if not (STATIC / "cage.js").exists():
        pytest.skip("the pages are not built: make web")
    with sync_api.sync_playwright() as play:
        opened = play.chromium.launch(executable_path=chromium_path, args=ARGS)
        yield opened
        opened.close()


@dataclass
class Server:
    """A server process over a shop folder.

    Attributes:
        place: what `open` is given, a folder or a plan.
        base: its address, without a path.
    """

    place: Path
    base: str = ""
    process: subprocess.Popen[str] | None = None
    said: list[str] = field(default_factory=list)

    def start(self, port: int = 0) -> None:
        """Start the server and wait for its address."""
        command = [
            sys.executable,
            "-m",
            "cagewright",
            "open",
            str(self.place),
            "--no-browser",
            "--port",
            str(port),
        ]
        self.process = subprocess.Popen(
            command, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True,
            env={**os.environ, "PYTHONUNBUFFERED": "1", "COLUMNS": "400"}, start_new_session=True,
        )  # fmt: skip
        self.base = self._address()

    def _address(self) -> str:
        assert self.process is not None
        assert self.process.stdout is not None
        for line in self.process.stdout:
            self.said.append(line)
            found = re.search(r"http://127\.0\.0\.1:\d+", line)
            if found:
                return found.group(0)
        raise AssertionError(f"the server ended before it said its address: {''.join(self.said)}")

    @property
    def port(self) -> int:
        return urlsplit(self.base).port or 0

    def kill(self) -> None:
        """End the server the hard way, as a power cut does."""
        self._end(signal.SIGKILL)

    def stop(self) -> None:
        """End the server as Ctrl-C does."""
        self._end(signal.SIGINT)

    def _end(self, how: signal.Signals) -> None:
        if self.process is None:
            return
        if self.process.poll() is None:
            os.killpg(self.process.pid, how)
        try:
            self.process.wait(20)
        except subprocess.TimeoutExpired:
            os.killpg(self.process.pid, signal.SIGKILL)
            self.process.wait(20)
        assert self.process.stdout is not None
        self.process.stdout.close()
        self.process = None


@dataclass
class Bench:
    """The examples in a folder of their own, on a server.

    Attributes:
        server: the process.
        folder: where the plan files are.
        under: what stands before the plans' names in their ids.
    """

    server: Server
    folder: Path
    under: str = ""

    @property
    def base(self) -> str:
        """The server's address, without a path."""
        return self.server.base

    def id(self, plan: str = "brackwater") -> str:
        """The id of a plan in addresses."""
        return f"{self.under}{plan}"

    def text(self, plan: str = "brackwater") -> str:
        """What the plan file holds."""
        return (self.folder / f"{plan}.yaml").read_text(encoding="utf-8")

    def get(self, path: str, plan: str = "brackwater") -> Any:
        """The server's answer (JSON) about a plan, such as ``/scene``."""
        with urlopen(f"{self.base}/api/plans/{self.id(plan)}{path}") as answer:
            return json.loads(answer.read())


def shop_folder(folder: Path) -> Path:
    """A copy of the example plans to work on."""
    folder.mkdir(parents=True, exist_ok=True)
    for path in (ROOT / "examples").glob("*.yaml"):
        shutil.copy(path, folder / path.name)
    return folder


@pytest.fixture(scope="session")
def shared(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Server]:
    """The server that the tests share, each with a folder of its own in the shop's."""
    made = Server(place=tmp_path_factory.mktemp("shop"))
    made.start()
    yield made
    made.stop()


@pytest.fixture
def bench(shared: Server) -> Bench:
    """A fresh copy of the examples on the shared server."""
    number = 1 + sum(path.is_dir() and not path.name.startswith(".") for path in shared.place.iterdir())
    return Bench(server=shared, folder=shop_folder(shared.place / f"t{number}"), under=f"t{number}-")


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


@dataclass
class Watch:
    """What a page must not do, and what of it a test expects.

    Attributes:
        expected: patterns of console messages that this test provokes.
        wrong: what was seen.
    """

    expected: list[str] = field(default_factory=list)
    wrong: list[str] = field(default_factory=list)

    def expect(self, pattern: str) -> None:
        """Let console messages with this pattern pass."""
        self.expected.append(pattern)

    def follow(self, page: Any, base: str) -> None:
        """Hear what the page says, and see what it asks; only ``base`` may be asked."""
        page.on("console", lambda message: self._heard(message.type, message.text))
        page.on("pageerror", lambda error: self.wrong.append(f"not caught: {error}"))
        page.on("request", lambda request: self._asked(request.url, base))
        page.on("websocket", lambda socket: self._asked(socket.url, base))

    def _heard(self, kind: str, text: str) -> None:
        if kind == "error" and not any(re.search(pattern, text) for pattern in self.expected):
            self.wrong.append(f"console: {text}")

    def _asked(self, url: str, base: str) -> None:
        parts = urlsplit(url)
        if parts.scheme in {"blob", "data", "about"}:
            return
        if parts.hostname != "127.0.0.1" or parts.port != urlsplit(base).port:
            self.wrong.append(f"asked {url}")


OpenPage = Callable[..., Any]


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
        context.set_default_timeout(20_000)
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


def grave(page: Any) -> list[str]:
    """What axe-core finds serious or critical on the page.

    The script is handed to the page itself, so that nothing of the page's own policy has to be loosened.
    """
    if not AXE.exists():
        pytest.skip("axe-core is not installed: make web")
    page.evaluate(f"() => {{ {AXE.read_text(encoding='utf-8')}; return true; }}")
    found = page.evaluate("() => axe.run(document, {resultTypes: ['violations']})")
    return [
        f"{wrong['id']}: {wrong['help']}: {[node['target'] for node in wrong['nodes'][:4]]}"
        for wrong in found["violations"]
        if wrong["impact"] in {"serious", "critical"}
    ]


def until(true: Callable[[], bool], what: str, seconds: float = 20.0) -> None:
    """Waits for something outside the page."""
    end = time.monotonic() + seconds
    while not true():
        assert time.monotonic() < end, f"not in time: {what}"
        time.sleep(0.05)
