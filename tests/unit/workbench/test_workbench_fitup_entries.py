"""What is entered at the car: kept once however often it is sent, at the workbench's time."""

import time
import uuid
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from datetime import UTC, datetime
from pathlib import Path

import pytest

from cagewright.records.integrity import health
from cagewright.records.jobs import history
from cagewright.records.opening import opened
from deskside import PLAN, Bench, served

pytestmark = pytest.mark.usefixtures("kept_answers")

AT = "/api/plans/plan/fitup"
JPEG = b"\xff\xd8\xff\xe0" + b"a photo of a tack" + b"\xff\xd9"


@pytest.fixture
def desk(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Bench]:
    monkeypatch.delenv("CAGEWRIGHT_RECORD", raising=False)
    (tmp_path / "plan.yaml").write_text(PLAN)
    with served(tmp_path) as found:
        assert found.post(f"{AT}/jobs", {"name": "hoop 1", "by": "Jo"}).status_code == 201
        yield found


def enter(desk: Bench, entry: str, **more):
    return desk.post(f"{AT}/entries", {"entry": entry, "job": "hoop 1", "by": "Jo", "step": "1", **more})


def read(desk: Bench, says: str, **more):
    ends = {"kind": "tape", "a": "main_hoop.start", "b": "main_hoop.end", "axis": ""}
    return enter(desk, "reading", **ends, says=says, **more)


def lines(desk: Bench):
    with opened(desk.desk.folder / "record.sqlite") as record:
        return history(record, "hoop 1").entries


def step(desk: Bench) -> dict:
    return desk.get(f"{AT}/steps/1", params={"job": "hoop 1"}).json()


def photo(desk: Bench, data: bytes = JPEG, uid: str = "", **more):
    about = {"job": "hoop 1", "by": "Jo", "step": "1", "called": "IMG 1.jpg", "what": "main_hoop", **more}
    return desk.client.put(f"{AT}/photos/{uid or uuid.uuid4().hex}", content=data, params=about)


def test_an_entry_that_is_sent_twice_is_kept_once(desk: Bench):
    name = uuid.uuid4().hex
    sent = [
        lambda: read(desk, "1280", uid=name),
        lambda: enter(desk, "tick", uid="a" * 32, what="main_hoop", done="tack"),
        lambda: enter(desk, "note", uid="b" * 32, says="spatter on the left plate"),
        lambda: enter(desk, "hours", uid="c" * 32, says="1:30"),
        lambda: photo(desk, uid="d" * 32),
        lambda: enter(desk, "sign-off", uid="e" * 32, what="tacked", seen=5),
        lambda: enter(desk, "take back", uid="f" * 32, of=name),
    ]
    for send in sent:
        first, again = send(), send()
        assert (first.status_code, again.status_code) == (201, 201), again.text
        assert first.json()["entry"] == again.json()["entry"]
        assert first.json()["wrong"] == again.json()["wrong"]
    assert [e.kind for e in lines(desk)] == [
        "reading",
        "tick",
        "note",
        "hours",
        "photo",
        "sign-off",
        "reading",
    ]


def test_a_reading_that_cannot_be_used_says_the_same_when_it_is_sent_again(desk: Bench):
    first, again = (read(desk, "a yard", uid="9" * 32).json() for _ in range(2))
    assert first["wrong"]
    assert again == first | {"also": again["also"]}


def test_the_same_name_for_something_else_is_refused(desk: Bench):
    assert read(desk, "1280", uid="1" * 32).status_code == 201
    answer = enter(desk, "note", uid="1" * 32, says="x")
    assert answer.status_code == 422
    assert "another content" in answer.json()["error"]
    assert enter(desk, "note", uid="no name", says="x").status_code == 422
    assert len(lines(desk)) == 1


@pytest.mark.slow
def test_many_pages_at_once_lose_nothing_and_keep_nothing_twice(desk: Bench):
    names = [uuid.uuid4().hex for _ in range(40)]

    def send(n: int) -> int:
        return read(desk, str(1000 + n % 40), by=f"bench {n % 3}", uid=names[n % 40]).status_code

    with ThreadPoolExecutor(6) as pool:
        assert set(pool.map(send, range(120))) == {201}
    assert sorted(e.uid for e in lines(desk)) == sorted(names)


@pytest.mark.slow
def test_two_servers_write_one_record(desk: Bench, tmp_path_factory: pytest.TempPathFactory, monkeypatch):
    """A second bench has its own shop folder, and the record of the first."""
    other = tmp_path_factory.mktemp("second")
    (other / "plan.yaml").write_text(PLAN)
    monkeypatch.setenv("CAGEWRIGHT_RECORD", str(desk.desk.folder / "record.sqlite"))
    with served(other) as second, ThreadPoolExecutor(4) as pool:
        sent = [(bench, n) for n in range(20) for bench in (desk, second)]
        done = pool.map(lambda s: read(s[0], str(1000 + s[1]), uid=uuid.uuid4().hex).status_code, sent)
        assert set(done) == {201}
        assert photo(second).status_code == 201
    assert len(lines(desk)) == 41
    assert len(list((desk.desk.folder / "photos").iterdir())) == 1


def test_what_another_read_is_told_and_the_one_taken_last_counts(desk: Bench):
    assert read(desk, "1283", by="Ann").json()["also"] == ""
    mine = read(desk, "1280").json()
    assert mine["also"] == "Ann read 1283 mm before: the later one counts"
    # entered an hour ago on a phone without network: it comes in last and was read first
    late = read(desk, "1290", by="Bea", age=3600).json()
    assert late["also"] == "Jo read 1280 mm after: that later one counts"
    (row,) = step(desk)["taken"]
    assert row["says"] == "1280 mm"
    assert row["also"].startswith("Ann read 1283 mm before")


def test_the_time_is_the_workbenchs_whatever_the_phones_clock_says(desk: Bench):
    ahead = time.time() + 3.0 * 3600.0
    kept = read(desk, "1280", clock=ahead, age=60).json()
    assert kept["clock"].startswith("This machine's clock is 3.0 h fast")
    taken = datetime.fromisoformat(kept["entry"]["taken"])
    assert 55.0 < (datetime.now(UTC) - taken).total_seconds() < 90.0
    assert read(desk, "1280", clock=time.time() - 2.0).json()["clock"] == ""
    # a clock that was set back in between: never a time to come
    back = read(desk, "1281", age=-86400).json()
    assert datetime.fromisoformat(back["entry"]["taken"]) <= datetime.now(UTC)


def test_what_was_entered_on_an_older_plan_says_so(desk: Bench):
    revision = step(desk)["revision"] if "revision" in step(desk) else desk.state()["revision"]
    assert enter(desk, "note", says="x", revision=revision).json()["entry"]["note"] == ""
    assert (
        "taken on plan 0ldplan" in enter(desk, "note", says="x", revision="0ldplan").json()["entry"]["note"]
    )


def test_a_photo_is_kept_beside_the_record_and_told_by_its_hash(desk: Bench):
    kept = photo(desk, note="left foot").json()["entry"]
    (file,) = (desk.desk.folder / "photos").iterdir()
    assert kept["text"] == f"photos/{file.name}"
    assert file.read_bytes() == JPEG
    shown = desk.get(f"{AT}/{kept['text']}")
    assert (shown.content, shown.headers["content-type"]) == (JPEG, "image/jpeg")
    (row,) = step(desk)["record"]["rows"]
    assert (row["kind"], row["about"], row["note"], row["by"]) == ("photo", "main_hoop", "left foot", "Jo")
    with opened(desk.desk.folder / "record.sqlite") as record:
        assert health(record).faults == ()
        file.write_bytes(JPEG + b" retouched")
        assert "is not as it was taken" in health(record).faults[0]
        file.unlink()
        assert "is not there" in health(record).faults[0]
    assert desk.get(f"{AT}/{kept['text']}").status_code == 404


def test_nothing_else_is_shown_as_a_photo(desk: Bench):
    for name in ("..%2Frecord.sqlite", "x.jpg", "%2e%2e", "%2Fetc%2Fpasswd", "a.svg"):
        assert desk.get(f"{AT}/photos/{name}").status_code in {404, 405}, name


def test_what_is_no_photo_is_refused_in_a_sentence(desk: Bench):
    svg = b"<svg xmlns='http://www.w3.org/2000/svg'/>"
    for data in (b"%PDF-1.7 a letter", b"", b"RIFF\0\0\0\0WAVE", svg):
        answer = photo(desk, data)
        assert answer.status_code == 422
        assert "'IMG 1.jpg' is no photo that can be kept" in answer.json()["error"]
    assert lines(desk) == ()
    assert not (desk.desk.folder / "photos").exists()


def test_a_photo_that_is_too_large_is_refused_in_a_sentence(desk: Bench):
    answer = photo(desk, JPEG + bytes(12_100_000))
    assert answer.status_code == 413
    assert answer.json()["error"] == "More than 12 MB is not taken here."
    assert lines(desk) == ()


def test_an_entry_of_nobody_is_refused(desk: Bench):
    body = {"says": "1", "what": "main_hoop", "done": "tack", "seen": 0}
    for entry in ("note", "hours", "tick", "sign-off"):
        answer = enter(desk, entry, **body, by="  ")
        assert answer.status_code == 422
        assert answer.json()["error"] == "nobody is named; wanted the name of who did it"


def test_hours_are_added_up_by_everybody(desk: Bench):
    for by, says in (("Jo", "1:30"), ("Ann", "45 min"), ("Jo", "2")):
        assert enter(desk, "hours", by=by, says=says, what="main_hoop").status_code == 201
    assert step(desk)["record"]["hours"] == "4.25 h worked on this job (Jo 3.5 h, Ann 0.75 h)."
    answer = enter(desk, "hours", says="all day")
    assert answer.status_code == 422
    assert "is no time worked" in answer.json()["error"]
    assert "one man works in a day" in enter(desk, "hours", says="30").json()["error"]


def test_a_signature_is_for_what_the_signer_saw(desk: Bench):
    enter(desk, "note", says="first")
    assert enter(desk, "sign-off", what="step 1 is tacked", standing="welder", seen=1).status_code == 201
    enter(desk, "note", says="somebody else's", by="Ann")
    late = enter(desk, "sign-off", what="step 1 is welded", seen=2)
    assert late.status_code == 422
    assert "3 lines and 2 of them were seen" in late.json()["error"]
    book = step(desk)["record"]
    signed = next(row for row in book["rows"] if row["kind"] == "sign-off")
    assert (book["count"], signed["said"], signed["as_signed"]) == (3, "welder", True)


def test_hold_points_are_told_and_going_on_takes_a_name_and_a_reason(desk: Bench):
    def acts() -> dict:
        return {one["act"]: one for one in desk.get(f"{AT}/hold", params={"job": "hoop 1"}).json()["acts"]}

    before = acts()
    assert set(before) == {"leave-bench", "weld-solid", "push-up", "close", "paint"}
    asked = [line["what"] for line in before["weld-solid"]["lines"] if line["done"] == "tack"]
    assert enter(desk, "tick", what=asked[0], done="tack").status_code == 201
    left = [line for line in acts()["weld-solid"]["lines"] if line["line"] is None]
    assert len(left) == len(before["weld-solid"]["lines"]) - 1
    assert before["weld-solid"]["against"].startswith("checked against revision")
    act = f"{AT}/hold/weld-solid"
    assert desk.post(act, {"job": "hoop 1", "by": "", "why": "the light goes"}).status_code == 422
    assert desk.post(act, {"job": "hoop 1", "by": "Jo", "why": ""}).status_code == 422
    went = desk.post(act, {"job": "hoop 1", "by": "Jo", "why": "the light goes"})
    assert went.status_code == 201
    assert "the light goes; open: " in went.json()["entry"]["text"]
    assert desk.post(f"{AT}/hold/glue", {"job": "hoop 1", "by": "Jo", "why": "x"}).status_code == 404
    made = desk.get(f"{act}.pdf", params={"job": "hoop 1"})
    assert made.content.startswith(b"%PDF")


def test_a_tick_of_what_the_plan_has_not_is_refused(desk: Bench):
    wrong = enter(desk, "tick", what="main_hop", done="tack")
    assert wrong.status_code == 422
    assert "this plan has no 'main_hop'" in wrong.json()["error"]
    assert "there is no step 99" in enter(desk, "tick", what="step 99", done="check").json()["error"]
    for done in ("pull", "close", "paint", "cut"):
        assert enter(desk, "tick", what="main_hoop", done=done).status_code == 201


def test_what_a_signature_covers_is_told_before_and_kept(desk: Bench):
    enter(desk, "note", says="first")
    told = desk.get(f"{AT}/signing", params={"job": "hoop 1"}).json()
    assert told["covers"][1:] == ["1 note"]
    assert any("not welded" in words for words in told["leaves"])
    signed = enter(desk, "sign-off", what="so far", seen=told["lines"]).json()
    assert (signed["covers"], signed["leaves"]) == (told["covers"], told["leaves"])
    assert "covers plan revision" in step(desk)["record"]["rows"][0]["note"]


def test_nothing_is_kept_of_a_step_that_there_is_not(desk: Bench):
    sent = [
        read(desk, "1280", step="99"),
        enter(desk, "note", says="spatter", step="99"),
        enter(desk, "hours", says="1:30", step="99"),
        photo(desk, step="99"),
    ]
    for answer in sent:
        assert answer.status_code == 422
        assert "there is no step 99" in answer.json()["error"]
    assert lines(desk) == ()
