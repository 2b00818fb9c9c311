"""The server process, the folders of plans on it, and what is watched of the pages in front of it."""

from __future__ import annotations

import json
import os
import re
import shutil
import signal
import subprocess
import sys
import time
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit
from urllib.request import urlopen

import pytest

ROOT = Path(__file__).resolve().parents[2]
STATIC = ROOT / "src" / "cagewright" / "workbench" / "static"
AXE = ROOT / "web" / "node_modules" / "axe-core" / "axe.min.js"
Size = tuple[int, int]
LAPTOP: Size = (1440, 900)
TABLET: Size = (1024, 768)
OpenPage = Callable[..., Any]
"""See the fixture ``open_page``."""


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


def until(true: Callable[[], bool], what: str, seconds: float = 60.0) -> None:
    """Waits for something outside the page."""
    end = time.monotonic() + seconds
    while not true():
        assert time.monotonic() < end, f"not in time: {what}"
        time.sleep(0.05)
