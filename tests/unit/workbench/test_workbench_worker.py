"""Long work: told of, ended at any moment, and no fall of it takes the workbench along."""

import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from cagewright.workbench import pages
from cagewright.workbench.longwork import worker
from cagewright.workbench.longwork.worker import Busy, Task, Worker
from cagewright.workbench.requests import work as work_routes
from deskside import Bench, raised, wait_for

HERE = "workbench_works"


TOLD: list[dict] = []


@pytest.fixture(scope="module")
def works() -> Iterator[Worker]:
    """One process for all tests here: starting it takes seconds."""
    found = Worker(lambda plan, message: TOLD.append({"plan": plan, **message}))
    yield found
    found.close()


@pytest.fixture
def told() -> list[dict]:
    TOLD.clear()
    return TOLD


def put_on(works: Worker, folder: Path, name: str, **asked: object) -> Task:
    task = Task(plan="plan", number=1, kind=name)
    path = folder / "plan.yaml"
    works.start(task, f"{HERE}:{name}", path.read_bytes(), path, asked)
    return task


def over(task: Task) -> None:
    wait_for(lambda: task.over, f"{task.kind} to be over", 120)


def test_work_is_done_and_told_of(works: Worker, folder: Path, told: list[dict]):
    task = put_on(works, folder, "counted", to=3)
    over(task)
    assert (task.status, task.result) == ("done", '{"members": 2, "counted": 3}')
    assert works.task(task.id) is task
    assert told[0] | {"doing": ""} == {
        "plan": "plan", "type": "progress", "work": task.id, "kind": "counted", "doing": "", "share": 0.0
    }  # fmt: skip
    assert told[-1] == {
        "plan": "plan", "type": "ended", "work": task.id, "kind": "counted", "status": "done", "number": 1
    }  # fmt: skip


@pytest.mark.slow
def test_work_is_ended_at_once_and_the_next_is_done(works: Worker, folder: Path, told: list[dict]):
    endless, waiting, last = (put_on(works, folder, n) for n in ("endless", "endless", "counted"))
    wait_for(lambda: endless.doing, "the endless work to begin", 120)
    began = time.monotonic()
    works.cancel(waiting.id)
    works.cancel(endless.id)
    assert time.monotonic() - began < 10.0
    assert (endless.status, waiting.status) == ("cancelled", "cancelled")
    over(last)
    assert last.status == "done"
    assert works.cancel(last.id).status == "done"
    assert [m["status"] for m in told if m["type"] == "ended"] == ["cancelled", "cancelled", "done"]


@pytest.mark.slow
def test_work_that_falls_over_is_told_in_words(works: Worker, folder: Path):
    fallen, wrong, mistaken, last = (
        put_on(works, folder, n) for n in ("fallen", "wrong", "mistaken", "counted")
    )
    for task in (fallen, wrong, mistaken, last):
        over(task)
    assert fallen.status == "failed"
    assert "stopped by itself" in (fallen.error or "")
    assert wrong.status == "failed"
    assert "Reference" in (wrong.error or "")
    assert "the secret word" not in (wrong.error or "")
    assert mistaken.problems == [
        {
            "code": "made-up",
            "where": {"file": "x", "line": 1, "col": 2},
            "found": "this",
            "wanted": "that",
            "nearest": None,
            "point": None,
        }
    ]
    assert last.status == "done"


def test_a_result_that_json_cannot_hold_is_a_mistake_of_the_program(works: Worker, folder: Path):
    task = put_on(works, folder, "no_number")
    over(task)
    assert task.status == "failed"
    assert task.result is None


def test_stages_are_kept_for_the_next_work_on_the_same_text(works: Worker, folder: Path):
    first, second = put_on(works, folder, "staged"), put_on(works, folder, "staged")
    over(second)
    assert (first.result, second.result) == ('{"made": true}', '{"made": false}')


def test_what_is_remembered_is_bounded(folder: Path, monkeypatch: pytest.MonkeyPatch):
    works = Worker(lambda plan, message: None)
    monkeypatch.setattr(works, "warm", lambda: None)
    monkeypatch.setattr(worker, "MOST_TASKS", 5)
    monkeypatch.setattr(worker, "MOST_BYTES", 1000)
    tasks = []
    for n in range(12):
        tasks.append(put_on(works, folder, "counted"))
        works._heard(tasks[-1], "done", "x" * 300)
        assert len(works._tasks) <= 5
        assert sum(len(t.result or "") for t in works._tasks.values()) <= 1000, n
    assert works.task(tasks[-1].id) is tasks[-1]
    with pytest.raises(KeyError):
        works.task(tasks[0].id)


def test_no_more_may_wait_than_can_be_done(folder: Path, monkeypatch: pytest.MonkeyPatch):
    works = Worker(lambda plan, message: None)
    monkeypatch.setattr(works, "warm", lambda: None)
    for _ in range(worker.MOST_WAITING):
        put_on(works, folder, "counted")
    with pytest.raises(Busy):
        put_on(works, folder, "counted")


@pytest.mark.slow
def test_work_by_the_pages_table(bench: Bench, monkeypatch: pytest.MonkeyPatch):
    page = pages.Page(
        name="x",
        title="X",
        template="x.html",
        work={"count": f"{HERE}:counted", "endless": f"{HERE}:endless"},
    )
    monkeypatch.setattr(work_routes, "all_pages", lambda: (page,))
    bench.edit(raised(320))
    put = bench.post("/api/plans/plan/work", {"kind": "count", "to": 2})
    assert put.status_code == 202
    address = f"/api/work/{put.json()['work']}"
    wait_for(lambda: bench.get(address).json()["status"] == "done", "the work", 120)
    done = bench.get(address).json()
    assert (done["number"], done["result"]) == (2, {"members": 2, "counted": 2})
    endless = bench.post("/api/plans/plan/work", {"kind": "endless"}).json()["work"]
    wait_for(lambda: bench.get(f"/api/work/{endless}").json()["status"] == "running", "the work", 120)
    assert bench.client.delete(f"/api/work/{endless}").json()["status"] == "cancelled"
    for kind in ("unknown", None, ["count"], "os:system"):
        assert bench.post("/api/plans/plan/work", {"kind": kind}).status_code == 400
    assert bench.get("/api/work/w0").status_code == 404
    assert bench.client.delete("/api/work/w0").status_code == 404
