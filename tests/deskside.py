"""A workbench for the tests: a shop folder with one small plan, served on this machine."""

import contextlib
import json
import threading
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import httpx
import uvicorn

from cagewright.workbench.server.app import make_app
from cagewright.workbench.server.guard import Guard, Rules, hosts_of
from cagewright.workbench.server.serve import listen_at
from cagewright.workbench.shopfolder.desk import Desk

PLAN = """\
cagewright: 1
title: Two tubes and a hoop   # a comment that has to stay
tubes:
  hoop: {od: 45, wall: 2.5, steel: E355+N, clr: 135}
members:
  main_hoop:
    role: main rollbar
    tube: hoop
    path: [{foot: left}, [0, -640, 700], [0, -500, 1240], [0, 500, 1240], [0, 640, 700], {foot: right}]
  diagonal:
    role: diagonal
    tube: hoop
    path: [{on: main_hoop, side: right, up: 300}, {on: main_hoop, across: -360}]   # measured twice
feet:
  left: {at: [0, -640, 200], on: sill, plate: [130, 110, 3], mirror: right}
"""


def raised(up: float) -> dict[str, Any]:
    """The edit that puts the diagonal's foot end at that height, mm."""
    return {"move": {"members": "diagonal", "places": 1, "up": up}}


class Bench:
    """A served workbench and a client of it."""

    def __init__(self, desk: Desk, port: int) -> None:
        self.desk, self.port = desk, port
        self.url = f"http://127.0.0.1:{port}"
        self.client = httpx.Client(base_url=self.url, headers={"origin": self.url}, timeout=60)

    def get(self, path: str, **more: Any) -> httpx.Response:
        return self.client.get(path, **more)

    def state(self, plan: str = "plan") -> dict[str, Any]:
        return self.get(f"/api/plans/{plan}").json()

    def post(self, path: str, body: Any = None, number: int | None = None, **more: Any) -> httpx.Response:
        heads = {} if number is None else {"if-match": f'"{number}"'}
        return self.client.post(path, content=json.dumps(body or {}), headers=heads, **more)

    def edit(self, edit: dict[str, Any], number: int | None = None, plan: str = "plan") -> httpx.Response:
        now = self.state(plan)["number"] if number is None else number
        return self.post(f"/api/plans/{plan}/edits", edit, now)


def shop_folder(place: Path) -> Path:
    """A new shop folder with ``plan.yaml`` in it."""
    folder = place / "shop"
    folder.mkdir()
    (folder / "plan.yaml").write_text(PLAN, encoding="utf-8")
    return folder


@contextlib.contextmanager
def served(folder: Path, *, token: str | None = None, **given: Any) -> Iterator[Bench]:
    """A workbench of that folder, served until left."""
    desk = Desk(folder)
    listening = listen_at("127.0.0.1", 0)
    port = listening.getsockname()[1]
    rules = Rules(hosts=hosts_of(("127.0.0.1", "localhost"), port), token=token, port=port)
    app = make_app(desk, warm=False, **given)
    config = uvicorn.Config(
        Guard(app, rules), log_config=None, server_header=False, timeout_graceful_shutdown=2
    )
    server = uvicorn.Server(config)
    thread = threading.Thread(target=server.run, kwargs={"sockets": [listening]}, daemon=True)
    thread.start()
    bench = Bench(desk, port)
    try:
        wait_for(lambda: server.started, "the server")
        yield bench
    finally:
        bench.client.close()
        server.should_exit = True
        thread.join(10)
        listening.close()


def wait_for(ready: Any, what: str, seconds: float = 30.0) -> None:
    """Wait until ``ready()`` is true."""
    until = time.monotonic() + seconds
    while not ready():
        assert time.monotonic() < until, f"waited {seconds} s for {what}"
        time.sleep(0.02)


def changed(before, difference):
    """The scene, as the page has it, after the difference: what web/src/delta.js does with it."""
    members = {m["name"]: m for m in before["members"] if m["name"] not in difference["gone"]}
    members |= {m["name"]: m for m in difference["members"]}
    order = difference["order"] or list(members)
    said = {key: difference[key] for key in ("number", "revision")}
    return {**before, **difference["rest"], **said, "members": [members[name] for name in order]}
