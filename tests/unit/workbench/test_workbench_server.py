"""The `open` command as it is run: killed at any moment, started twice, on other addresses."""

import contextlib
import os
import random
import re
import signal
import subprocess
import sys
import threading
from collections.abc import Iterator
from pathlib import Path

import httpx
import pytest

from deskside import PLAN, raised, shop_folder, wait_for

pytestmark = pytest.mark.slow


class Running:
    """The command, running, and the address that it printed."""

    def __init__(self, place: Path, *more: str) -> None:
        asked = [sys.executable, "-m", "cagewright", "open", str(place), "--no-browser", "--port", "0", *more]
        self.process = subprocess.Popen(asked, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True)
        assert self.process.stdout is not None
        self.said = self.process.stdout.readline()
        found = re.search(r"http://\S+", self.said)
        assert found is not None, self.said + self.process.stdout.read()
        self.address = found[0]
        self.url = re.match(r"http://[^/]+", self.address)[0]  # type: ignore[index]
        self.client = httpx.Client(base_url=self.url, headers={"x-cagewright": "1"}, timeout=60)

    def kill(self) -> None:
        self.process.send_signal(signal.SIGKILL)
        self.process.wait(20)

    def edit(self, up: float, number: int) -> httpx.Response:
        return self.client.post("/api/plans/plan/edits", json=raised(up), headers={"if-match": f'"{number}"'})

    def turn(self, way: str, number: int) -> httpx.Response:
        return self.client.post(f"/api/plans/plan/{way}", headers={"if-match": f'"{number}"'})

    def state(self) -> dict:
        return self.client.get("/api/plans/plan").json()


@contextlib.contextmanager
def running(place: Path, *more: str) -> Iterator[Running]:
    found = Running(place, *more)
    try:
        yield found
    finally:
        found.client.close()
        if found.process.poll() is None:
            found.kill()


def heights(number: int) -> float:
    """The height that the edit after that revision sets, mm: another each time."""
    return 300 + number % 50


def edit_until_killed(server: Running) -> tuple[int, float]:
    """Edit, undo and redo until the server is gone; the last revision that was answered, and its height."""
    number, height = server.state()["number"], 0.0
    with contextlib.suppress(httpx.HTTPError):
        while True:
            answer = server.turn("undo", number) if number % 7 == 6 else server.edit(heights(number), number)
            if answer.status_code != 200:
                break
            number = answer.json()["state"]["number"]
            height = float(answer.json()["changed"]["members"][0]["places"][0]["value"])
    return number, height


@pytest.mark.parametrize("seed", range(3))
def test_killed_at_any_moment_no_answered_edit_is_lost(tmp_path: Path, seed: int):
    folder = shop_folder(tmp_path)
    with running(folder) as server:
        server.state()
        killer = threading.Timer(random.Random(seed).uniform(0.3, 1.5), server.kill)
        killer.start()
        number, height = edit_until_killed(server)
        killer.join()
    with running(folder) as server:
        state = server.state()
        text = (folder / "plan.yaml").read_text(encoding="utf-8")
        assert state["number"] - number in {0, 1}  # one more: it was logged, and not answered any more
        assert state["saved"] is True
        assert state["conflict"] is None
        assert state["problems"] == []
        if (
            state["number"] == number and height
        ):  # killed before anything was answered, there is nothing to hold
            assert f"up: {height:g}" in text
        assert server.client.get("/api/plans/plan/text").text == text
        assert sorted(p.name for p in folder.iterdir()) == [".cagewright", "plan.yaml"]
        assert "a comment that has to stay" in text


def test_after_a_kill_everything_can_be_undone(tmp_path: Path):
    folder = shop_folder(tmp_path)
    with running(folder) as server:
        for number in range(1, 6):
            assert server.edit(310 + number, number).status_code == 200
        server.kill()
    with running(folder / "plan.yaml") as server:
        assert server.address.endswith("/plans/plan/cage")
        for number in range(6, 11):
            assert server.turn("undo", number).status_code == 200
        assert server.turn("undo", 11).status_code == 409
        assert (folder / "plan.yaml").read_text(encoding="utf-8") == PLAN


@pytest.mark.skipif(not Path("/proc/self/task").is_dir(), reason="looks at the system's list of processes")
def test_the_process_for_long_work_goes_with_the_server(tmp_path: Path):
    with running(shop_folder(tmp_path)) as server:
        wait_for(lambda: _children(server.process.pid), "a child", 120)
        found = _children(server.process.pid)
        server.kill()
        wait_for(lambda: not any(_alive(child) for child in found), "the children to end", 120)


def _children(pid: int) -> set[int]:
    threads = Path(f"/proc/{pid}/task").iterdir()
    return {int(child) for one in threads for child in (one / "children").read_text().split()}


def _alive(pid: int) -> bool:
    try:
        os.kill(pid, 0)
        return Path(f"/proc/{pid}/stat").read_text().split(")")[1].split()[0] != "Z"
    except (OSError, IndexError):
        return False


def ended(*asked: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-m", "cagewright", "open", "--no-browser", *asked],
        capture_output=True,
        text=True,
        check=False,
        timeout=120,
    )


def test_what_it_cannot_do_it_says(tmp_path: Path):
    folder = shop_folder(tmp_path)
    none = ended(str(tmp_path / "nothing"))
    assert none.returncode == 1
    assert "there is no file or folder" in none.stderr
    with running(folder) as server:
        twice = ended(str(folder))
        assert twice.returncode == 1
        assert "another workbench has this folder open" in twice.stderr
        other = tmp_path / "other"
        other.mkdir()
        taken = ended(str(other), "--port", server.url.rsplit(":", 1)[1])
        assert taken.returncode == 1
        assert "--port" in taken.stderr
        assert "Traceback" not in none.stderr + twice.stderr + taken.stderr


def test_beyond_this_machine_it_demands_a_token(tmp_path: Path):
    with running(shop_folder(tmp_path), "--host", "0.0.0.0") as server:
        port = server.url.rsplit(":", 1)[1]
        with httpx.Client(base_url=f"http://127.0.0.1:{port}") as tablet:
            assert tablet.get("/").status_code == 401
            assert tablet.get("/?token=guess").status_code == 401
            token = server.address.partition("token=")[2]
            assert len(token) >= 32
            assert tablet.get(f"/?token={token}").status_code == 303
            assert tablet.get("/").status_code == 200
            assert tablet.get("/", headers={"host": f"evil.example:{port}"}).status_code == 403


def test_ended_from_the_keyboard_it_ends_well(tmp_path: Path):
    with running(shop_folder(tmp_path)) as server:
        server.edit(320, 1) if server.state() else None
        server.process.send_signal(signal.SIGINT)
        said, _ = server.process.communicate(timeout=60)
        assert server.process.returncode == 0
        assert "Traceback" not in said
