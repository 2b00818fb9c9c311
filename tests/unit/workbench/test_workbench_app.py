"""What the workbench answers: edits and their revisions, files in and out, errors in words."""

import json
import logging
from pathlib import Path

import pytest
from websockets.sync.client import connect

from cagewright.job.history import effects
from cagewright.plan.text import parse
from cagewright.workbench.requests import edits as editing
from cagewright.workbench.server.errors import log_to
from deskside import PLAN, Bench, raised, served, wait_for

EVIL = "</script><script>alert(1)</script><img src=x onerror=alert(1)>"


def test_an_edit_answers_with_all_it_changes(bench: Bench, folder: Path):
    answer = bench.edit(raised(320)).json()
    assert answer["state"]["number"] == 2
    assert answer["state"]["undo"] == answer["words"]
    assert answer["state"]["saved"] is True
    assert [m["name"] for m in answer["changed"]["members"]] == ["diagonal"]
    assert answer["changed"]["number"] == 2
    assert answer["figures"]["changes"]["mass"]["value"] < 0
    assert "up: 320" in (folder / "plan.yaml").read_text(encoding="utf-8")


def test_a_trial_answers_the_same_and_keeps_nothing(bench: Bench, folder: Path):
    tried = bench.edit({**raised(320), "trial": True}).json()
    assert tried["state"]["number"] == 1
    assert tried["state"]["undo"] is None
    assert (folder / "plan.yaml").read_text(encoding="utf-8") == PLAN
    done = bench.edit(raised(320)).json()
    assert tried["changed"]["members"] == done["changed"]["members"]
    assert tried["words"] == done["words"]


def test_undo_and_redo_answer_like_edits(bench: Bench):
    bench.edit(raised(320))
    undone = bench.post("/api/plans/plan/undo", number=2).json()
    assert (undone["state"]["number"], undone["state"]["undo"]) == (3, None)
    assert undone["state"]["redo"]
    assert [m["name"] for m in undone["changed"]["members"]] == ["diagonal"]
    redone = bench.post("/api/plans/plan/redo", number=3).json()
    assert redone["state"]["number"] == 4
    answer = bench.post("/api/plans/plan/redo", number=4)
    assert answer.status_code == 409
    assert "redo" in answer.json()["error"]


def test_two_tabs_cannot_write_over_each_other(bench: Bench):
    """Both read revision 1; the second to write is told, with the plan as it is now."""
    assert bench.edit(raised(320), number=1).status_code == 200
    late = bench.edit(raised(350), number=1)
    assert late.status_code == 412
    assert late.json()["state"]["number"] == 2
    assert "error" in late.json()
    assert bench.state()["number"] == 2
    for way in ("undo", "redo"):
        assert bench.post(f"/api/plans/plan/{way}", number=1).status_code == 412


@pytest.mark.parametrize("match", [None, "", "*", 'W/"1"', '"one"', '"-1"', '"1", "2"', '"9999999999999999"'])
def test_a_write_has_to_say_for_which_revision(bench: Bench, match: str | None):
    for path in ("edits", "undo", "redo"):
        heads = {} if match is None else {"if-match": match}
        answer = bench.client.post(f"/api/plans/plan/{path}", json=raised(320), headers=heads)
        assert answer.status_code == 428


@pytest.mark.parametrize(
    "body", ["", "no json", "[]", '"text"', '{"do": NaN}', "{" * 5000, '{"a":' * 3000, "\xff"]
)
def test_what_is_no_edit_is_refused_in_words(bench: Bench, body: str):
    answer = bench.client.post(
        "/api/plans/plan/edits", content=body.encode("latin-1"), headers={"if-match": '"1"'}
    )
    assert answer.status_code in {400, 422}
    assert answer.json()["error"]


def test_an_edit_that_cannot_be_is_answered_with_problems(bench: Bench):
    for bad in ({"do": "fly"}, {"move": {"members": "nobody", "places": 1, "up": 3}}, {}, raised(9e9)):
        answer = bench.edit(bad)
        assert answer.status_code == 422
        assert answer.json()["problems"][0]["found"]
    assert bench.state()["number"] == 1


def test_a_mistake_of_the_program_has_a_reference_and_no_traceback(
    bench: Bench, folder: Path, monkeypatch: pytest.MonkeyPatch
):
    def broken(*given: object) -> None:
        raise ZeroDivisionError("the secret word")

    log = folder / ".cagewright" / "workbench.log"
    log_to(log)
    try:
        monkeypatch.setattr(editing, "edited", broken)
        answer = bench.edit(raised(320), number=1)
        assert [bench.state()["number"] for _ in range(3)] == [1, 1, 1]  # on the same line, still open
    finally:
        for name in ("cagewright.workbench", "uvicorn", "uvicorn.error", "asyncio"):
            logging.getLogger(name).handlers.clear()
            logging.getLogger(name).propagate = True
    assert answer.status_code == 500
    told = answer.json()
    assert "secret" not in answer.text
    assert "Traceback" not in answer.text
    assert told["reference"] in told["error"]
    written = log.read_text(encoding="utf-8")
    assert told["reference"] in written
    assert "the secret word" in written
    assert bench.state()["number"] == 1


def test_a_conflict_is_shown_and_decided(bench: Bench, folder: Path, monkeypatch: pytest.MonkeyPatch):
    plan = bench.desk.opened("plan")
    with monkeypatch.context() as unwritable:
        unwritable.setattr(plan._file, "write", lambda data: False)
        assert bench.edit(raised(320)).json()["state"]["saved"] is False
        (folder / "plan.yaml").write_text(PLAN.replace("300", "345"), encoding="utf-8")
        wait_for(lambda: bench.state()["conflict"], "the conflict to be seen")
    assert "keep" in bench.state()["conflict"].lower()
    assert bench.post("/api/plans/plan/conflict", {"keep": "both"}).status_code == 400
    answer = bench.post("/api/plans/plan/conflict", {"keep": "disk"}).json()
    assert answer["state"]["conflict"] is None
    assert answer["state"]["saved"] is True
    assert bench.post("/api/plans/plan/conflict", {"keep": "mine"}).status_code == 409


def test_every_page_of_a_plan_is_told_of_changes_here_and_on_the_disk(folder: Path):
    with served(folder, every=0.05) as bench:
        address = f"ws://127.0.0.1:{bench.port}/live?plan=plan"
        with connect(address, origin=bench.url) as one, connect(address, origin=bench.url) as two:
            for line in (one, two):
                assert json.loads(line.recv(timeout=20))["state"]["number"] == 1
            bench.edit({**raised(350), "trial": True})
            bench.edit(raised(320))
            for line in (one, two):
                assert json.loads(line.recv(timeout=20))["state"]["number"] == 2
            (folder / "plan.yaml").write_text(PLAN.replace("300", "345"), encoding="utf-8")
            for line in (one, two):
                told = json.loads(line.recv(timeout=20))
                assert told["type"] == "state"
                assert told["state"]["number"] == 3
                assert "another program" in told["state"]["undo"]


def test_the_plan_file_is_handed_out_as_it_is(bench: Bench):
    answer = bench.get("/api/plans/plan/text")
    assert answer.text == PLAN
    assert answer.headers["content-disposition"].startswith("attachment")


def test_save_as_makes_another_plan(bench: Bench, folder: Path):
    bench.edit(raised(320))
    made = bench.post("/api/plans/plan/save-as", {"name": "Second try"})
    assert made.status_code == 201
    assert made.json()["id"] == "second-try"
    assert "up: 320" in (folder / "second-try.yaml").read_text(encoding="utf-8")
    assert bench.state("second-try")["undo"] is None
    assert bench.post("/api/plans/plan/save-as", {"name": "Second try"}).json()["id"] == "second-try-2"


@pytest.mark.parametrize(
    "name",
    [
        "../../outside",
        "/etc/outside",
        "..\\outside",
        "a/../../outside",
        ".hidden",
        "outside\0.yaml",
        "con:outside",
    ],
)
def test_no_name_leads_out_of_the_folder(bench: Bench, folder: Path, name: str):
    before = {p for p in folder.parent.rglob("*") if ".cagewright" not in p.parts}
    answer = bench.post("/api/plans/plan/save-as", {"name": name})
    new = {p for p in folder.parent.rglob("*") if ".cagewright" not in p.parts} - before
    assert answer.status_code == 201
    assert [p.parent for p in new] == [folder]
    assert all(p.suffix == ".yaml" and not p.name.startswith(".") for p in new)


@pytest.mark.parametrize("name", ["", " ", "x" * 200, 7, None, ["a"]])
def test_a_name_is_a_name(bench: Bench, name: object):
    assert bench.post("/api/plans/plan/save-as", {"name": name}).status_code == 400


@pytest.mark.parametrize(
    "path",
    [
        "/api/plans/..%2f..%2fsecret", "/api/plans/%2e%2e", "/api/plans/../secret", "/api/plans/secret.yaml",
        "/api/plans/plan.yaml", "/api/plans/%00", "/plans/..%2fsecret/cage", "/plans/plan/..%2f..%2fsecret",
        "/static/..%2fapp.py", "/static/../app.py", "/static/%2e%2e/app.py", "/static//etc/passwd",
        "/api/work/..%2fw1", "/static/..%5capp.py",
    ],
)  # fmt: skip
def test_no_address_leads_out_of_the_folder(bench: Bench, folder: Path, path: str):
    (folder.parent / "secret.yaml").write_text(PLAN.replace("Two tubes", "hush"), encoding="utf-8")
    answer = bench.get(path)
    assert answer.status_code == 404
    assert "hush" not in answer.text
    assert "import" not in answer.text
    assert "root:" not in answer.text


def test_what_is_hidden_or_linked_is_no_plan(bench: Bench, folder: Path):
    outside = folder.parent / "outside"
    outside.mkdir()
    (outside / "theirs.yaml").write_text(PLAN, encoding="utf-8")
    (folder / "linked.yaml").symlink_to(outside / "theirs.yaml")
    (folder / "way").symlink_to(outside)
    (folder / ".git").mkdir()
    (folder / ".git" / "plan.yaml").write_text(PLAN, encoding="utf-8")
    (folder / "deep").mkdir()
    (folder / "deep" / "other.yaml").write_text(PLAN, encoding="utf-8")
    assert [one.id for one in bench.desk.plans()] == ["deep-other", "plan"]


def test_script_in_a_name_is_text(bench: Bench, folder: Path):
    """In a title, a member's name and a note: the page shows it and does not run it."""
    text = PLAN.replace("Two tubes and a hoop", json.dumps(EVIL)).replace("main_hoop", "evil</b>hoop")
    assert parse(text, file="x").readable
    (folder / "evil.yaml").write_text(text, encoding="utf-8")
    for path in ("/", "/plans/evil/cage"):
        answer = bench.get(path)
        assert answer.status_code == 200
        assert "<script>alert" not in answer.text
        assert "<img src=x" not in answer.text
        assert "&lt;script&gt;alert" in answer.text
    state = bench.get("/api/plans/evil")
    assert state.headers["content-type"].startswith("application/json")
    assert state.headers["x-content-type-options"] == "nosniff"
    assert state.json()["title"] == EVIL


def test_what_is_asked_for_is_not_echoed_as_a_page(bench: Bench):
    for path in ("/plans/<script>alert(1)/cage", "/nowhere/<script>alert(1)<%2fscript>"):
        answer = bench.get(path)
        assert answer.status_code == 404
        assert "<script>alert" not in answer.text


def test_a_page_that_is_not_there(bench: Bench):
    assert bench.get("/plans/plan/nothing").status_code == 404
    assert bench.get("/api/nothing").json()["error"]
    assert bench.client.delete("/api/plans/plan").status_code == 405


def test_a_plan_with_problems_stays_open_with_its_text(bench: Bench, folder: Path):
    (folder / "bad.yaml").write_text(PLAN.replace("tube: hoop", "tube: none"), encoding="utf-8")
    state = bench.state("bad")
    assert {p["code"] for p in state["problems"]}
    assert state["problems"][0]["where"]["line"] > 1
    assert state["revision"] is None
    assert bench.get("/plans/bad/cage").status_code == 200
    assert bench.edit(raised(320), plan="bad").status_code == 422
    put_right = bench.edit({"text": PLAN}, plan="bad")
    assert put_right.json()["state"]["problems"] == []


def test_a_plan_of_an_unknown_book_can_still_be_edited(bench: Bench, folder: Path):
    (folder / "book.yaml").write_text(PLAN + "car: {mass: 900 kg, rules: [no-such-book]}\n", encoding="utf-8")
    answer = bench.edit(raised(320), plan="book")
    assert answer.status_code == 200
    assert answer.json()["findings"] is None
    assert "no-such-book" in answer.json()["unjudged"][0]["found"]


def test_one_plan_in_the_folder_is_shown_by_name(bench: Bench):
    page = bench.get("/").text
    assert "Two tubes and a hoop" in page
    assert 'href="/plans/plan/cage"' in page
    assert bench.get("/plans/plan").headers["location"] == "/plans/plan/cage"


def test_an_edit_that_is_kept_is_never_said_not_to_be(bench: Bench, monkeypatch: pytest.MonkeyPatch):
    def broken(*given: object, **more: object) -> None:
        raise ZeroDivisionError("after the edit was kept")

    with monkeypatch.context() as patch:
        patch.setattr(effects, "scene_of", broken)
        answer = bench.edit(raised(320), number=1)
    assert answer.status_code == 200
    told = answer.json()
    assert told["unseen"].startswith("It was done")
    assert told["changed"] is None
    assert told["state"]["number"] == bench.state()["number"] == 2
    assert bench.edit(raised(330), number=2).json()["unseen"] == ""


def test_a_trial_that_falls_over_is_an_error(bench: Bench, monkeypatch: pytest.MonkeyPatch):
    def broken(*given: object, **more: object) -> None:
        raise ZeroDivisionError

    monkeypatch.setattr(effects, "scene_of", broken)
    answer = bench.edit({**raised(320), "trial": True}, number=1)
    assert answer.status_code == 500
    assert "nothing was changed" not in answer.text
