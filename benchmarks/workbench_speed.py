"""A drag in the workbench: the server's round trip beside a bare route, memory over 500 edits, a large plan.

Run: ``python benchmarks/workbench_speed.py [--quick]``. The workbench is the command as it is run, asked over
one kept connection as the page asks. The peer is a Starlette route, behind the same guard, that answers with
the same bytes: what is left is Cagewright's own work. The machine may be shared, so the processor time that
the server took for each answer stands beside the clock's. Budget: 30 ms at the 95th percentile on the demo.
"""

from __future__ import annotations

import http.client
import json
import os
import re
import shutil
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

ROOT = Path(__file__).parents[1]
sys.path.insert(0, str(ROOT / "tests"))
BUDGET = 30.0
FIRST_PAGE = 2.0
WARM = 5
TICK = os.sysconf("SC_CLK_TCK")


class Line:
    """One kept connection to a server."""

    def __init__(self, port: int) -> None:
        """To that port of this machine."""
        self._line = http.client.HTTPConnection("127.0.0.1", port, timeout=120)

    def ask(self, method: str, path: str, body: Any = None, number: int | None = None) -> bytes:
        """The answer's bytes, for the revision of that number.

        Raises:
            RuntimeError: it is refused.
        """
        heads = {"X-Cagewright": "1"} | ({} if number is None else {"If-Match": f'"{number}"'})
        self._line.request(method, path, None if body is None else json.dumps(body), heads)
        answer = self._line.getresponse()
        data = answer.read()
        if answer.status >= 400:
            raise RuntimeError(f"{method} {path}: {answer.status} {data[:300]!r}")
        return data

    def state(self, plan: str) -> dict[str, Any]:
        """The plan's state."""
        return json.loads(self.ask("GET", f"/api/plans/{plan}"))


@contextmanager
def run(*asked: str) -> Iterator[tuple[int, int]]:
    """The server's process and port, once it has said where it listens."""
    server = subprocess.Popen([sys.executable, *asked], stdout=subprocess.PIPE, text=True)
    try:
        assert server.stdout is not None
        found = re.search(r"http://127\.0\.0\.1:(\d+)", server.stdout.readline())
        assert found is not None
        yield server.pid, int(found[1])
    finally:
        server.kill()
        server.wait()


@contextmanager
def workbench(folder: Path) -> Iterator[tuple[int, Line]]:
    with run("-m", "cagewright", "open", str(folder), "--no-browser", "--port", "0") as (pid, port):
        yield pid, Line(port)


def processor(pid: int) -> float:
    """The processor time the process has taken, s."""
    words = Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()
    return (int(words[11]) + int(words[12])) / TICK


def memory(pid: int) -> float:
    """The memory the process holds, MB."""
    found = re.search(r"VmRSS:\s+(\d+)", Path(f"/proc/{pid}/status").read_text())
    return int(found[1]) / 1024 if found else 0.0


def timed(pid: int, work: Callable[[int], object], times: int) -> tuple[float, float, float]:
    """Median and 95th percentile by the clock, and processor time of the server for each, ms."""
    for n in range(WARM):
        work(n)
    spent, began = [], processor(pid)
    for n in range(WARM, WARM + times):
        start = time.perf_counter()
        work(n)
        spent.append(1e3 * (time.perf_counter() - start))
    cpu = 1e3 * (processor(pid) - began) / times
    return statistics.median(spent), statistics.quantiles(spent, n=20)[-1], cpu


def drag(line: Line, plan: str, move: Callable[[int], dict[str, Any]]) -> Callable[[int], bytes]:
    """A trial as the page asks for one at each move of the pointer."""
    number = line.state(plan)["number"]
    path = f"/api/plans/{plan}/edits"
    return lambda n: line.ask("POST", path, {**move(n), "trial": True}, number)


def doorbar(n: int) -> dict[str, Any]:
    return {"move": {"members": "doorbar_top_left", "places": 1, "up": round(600 + 0.1 * n, 1)}}


def bend(n: int) -> dict[str, Any]:
    """A bend of the main rollbar: everything that rests on it moves too."""
    return {"move": {"members": "main_hoop", "places": 3, "by": [round(0.1 * n, 1), 0, 0]}}


def say(words: str, times: tuple[float, float, float], peer: float | None = None) -> None:
    ratio = "" if peer is None else f"{times[0] / peer:8.1f} x"
    print(f"{words:42} {times[0]:8.1f} {times[1]:8.1f} {times[2]:10.1f}{ratio}")


def demo(folder: Path, times: int) -> float:
    """The demo: first page, drags, edits; the 95th percentile of a drag, ms."""
    for name in ("brackwater.yaml", "brackwater.shop.yaml"):
        shutil.copy(ROOT / "examples" / name, folder)
    began = time.perf_counter()
    with workbench(folder) as (pid, line):
        line.ask("GET", "/")
        page = time.perf_counter() - began
        line.ask("GET", "/plans/brackwater/cage")
        line.ask("GET", "/api/plans/brackwater/scene")
        scene = time.perf_counter() - began
        print(f"from the command to the folder's page {page:.2f} s, to the demo's scene {scene:.2f} s")
        begun = time.perf_counter()
        line.ask("GET", "/plans/brackwater/cage")
        line.ask("GET", "/api/plans/brackwater/scene")
        warm = time.perf_counter() - begun
        print(f"page and scene of the demo once it runs {warm:.2f} s (budget {FIRST_PAGE:g} s)")
        time.sleep(8.0)  # the process for long work is loading meanwhile
        print(f"\n{'':42} {'p50 ms':>8} {'p95 ms':>8} {'processor':>10} {'beside peer':>10}")
        answer = drag(line, "brackwater", doorbar)(0)
        p50, _, _ = bare = peer(folder, answer, times)
        say(f"bare route, the same {len(answer) / 1e3:.0f} kB", bare)
        dragged = timed(pid, drag(line, "brackwater", doorbar), times)
        say("drag a doorbar's end", dragged, p50)
        say("drag a bend of the main rollbar", timed(pid, drag(line, "brackwater", bend), times), p50)
        say("drag and let go (two answers, one saved)", timed(pid, released(line), min(times, 100)), p50)
        growth(pid, line, 500 if times > 50 else 100)
    return dragged[1]


def edits(line: Line) -> Callable[[int], bytes]:
    """A logged edit, each from the revision before."""
    number = [line.state("brackwater")["number"]]

    def once(n: int) -> bytes:
        data = line.ask("POST", "/api/plans/brackwater/edits", doorbar(number[0] % 400), number[0])
        number[0] = json.loads(data)["state"]["number"]
        return data

    return once


def released(line: Line) -> Callable[[int], bytes]:
    """The last trial of a drag, and the edit that makes it so."""
    number = [line.state("brackwater")["number"]]
    path = "/api/plans/brackwater/edits"

    def once(n: int) -> bytes:
        move = doorbar(number[0] % 400)
        line.ask("POST", path, {**move, "trial": True}, number[0])
        data = line.ask("POST", path, move, number[0])
        number[0] = json.loads(data)["state"]["number"]
        return data

    return once


def growth(pid: int, line: Line, count: int) -> None:
    """Memory over that many logged edits."""
    one = edits(line)
    held = [memory(pid)]
    for _ in range(5):
        for _ in range(count // 5):
            one(0)
        held.append(memory(pid))
    print(f"\nmemory over {count} edits, MB: " + ", ".join(f"{mb:.0f}" for mb in held))


def peer(folder: Path, answer: bytes, times: int) -> tuple[float, float, float]:
    """A bare route behind the same guard that answers with the same bytes."""
    file = folder / "answer"
    file.write_bytes(answer)
    with run(__file__, "--peer", str(file)) as (pid, port):
        line = Line(port)
        return timed(pid, lambda n: line.ask("POST", "/", doorbar(n), n), times)


def serve_peer(file: Path) -> None:
    import uvicorn
    from starlette.applications import Starlette
    from starlette.requests import Request
    from starlette.responses import Response
    from starlette.routing import Route

    from cagewright.workbench.server.guard import Guard, Rules, hosts_of
    from cagewright.workbench.server.serve import listen_at

    data = file.read_bytes()

    async def same(request: Request) -> Response:
        await request.body()
        return Response(data, media_type="application/json")

    listening = listen_at("127.0.0.1", 0)
    port = listening.getsockname()[1]
    bare = Starlette(routes=[Route("/", same, methods=["POST"])])
    guarded = Guard(bare, Rules(hosts=hosts_of({"127.0.0.1"}, port)))
    print(f"http://127.0.0.1:{port}", flush=True)
    uvicorn.Server(uvicorn.Config(guarded, log_config=None)).run(sockets=[listening])


def large(folder: Path, times: int) -> None:
    """160 members in a shell of 200 000 triangles."""
    from shape_speed import long_car

    from cagewright.plan.emit import plan_text
    from saloon import saloon, stl

    stl(folder / "shell.stl", *saloon(200_000))
    scan = "shell: {scan: {file: shell.stl, units: mm}}"
    (folder / "large.yaml").write_text(f"{plan_text(long_car(160))}\n{scan}\n", encoding="utf-8")
    with workbench(folder) as (pid, line):
        began = time.perf_counter()
        scene = json.loads(line.ask("GET", "/api/plans/large/scene"))
        shown = time.perf_counter() - began
        began = time.perf_counter()
        mesh = line.ask("GET", "/api/plans/large/scan.bin")
        drawn = time.perf_counter() - began
        member = next(m for m in scene["members"] for p in m["places"] if p["kind"] == "coordinates")
        place = next(p["index"] for p in member["places"] if p["kind"] == "coordinates")
        took = f"first scene {shown:.2f} s, scan for the picture {drawn:.2f} s ({len(mesh) / 1e6:.1f} MB)"
        print(f"\n{len(scene['members'])} members: {took}")

        def move(n: int) -> dict[str, Any]:
            step = [round(0.1 * n + 0.1, 1), 0, 0]
            return {"move": {"members": member["name"], "places": place + 1, "by": step}}

        say("drag a place of it", timed(pid, drag(line, "large", move), max(times // 4, 10)))
        print(f"memory {memory(pid):.0f} MB")


def main(quick: bool) -> int:
    times = 40 if quick else 200
    with tempfile.TemporaryDirectory() as one, tempfile.TemporaryDirectory() as two:
        worst = demo(Path(one), times)
        large(Path(two), times)
    print(f"\n95th percentile of a drag {worst:.1f} ms; budget {BUDGET:g} ms")
    return 0 if worst <= BUDGET else 1


if __name__ == "__main__":
    if "--peer" in sys.argv:
        serve_peer(Path(sys.argv[-1]))
    else:
        raise SystemExit(main("--quick" in sys.argv))
