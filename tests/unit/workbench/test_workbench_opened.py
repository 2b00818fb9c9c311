"""An open plan: its text, its log and its file kept in step, whatever happens to any of them."""

import os
from pathlib import Path

import pytest

from cagewright.base.problems import ProblemsFound
from cagewright.job.history import file as plan_file
from cagewright.job.history.open_plan import Edit, EditRefused, OpenPlan, Stale
from cagewright.plan.write import document
from cagewright.workbench.requests.edits import edited
from cagewright.workbench.shopfolder.desk import Desk
from deskside import PLAN, raised, shop_folder


def an(up: float) -> Edit:
    return lambda moment: edited(moment, raised(up))


def text(new: str) -> Edit:
    return lambda moment: (document(new, file=moment.document.source.file), "text")


def height(opened: OpenPlan) -> float:
    return opened.moment.document.source.data["members"]["diagonal"]["path"][0]["up"]


@pytest.fixture
def desk(tmp_path: Path) -> Desk:
    return Desk(shop_folder(tmp_path))


@pytest.fixture
def plan(desk: Desk) -> OpenPlan:
    return desk.opened("plan")


def again(plan: OpenPlan, desk: Desk) -> OpenPlan:
    """The plan after the workbench was ended without a word, and started once more."""
    desk.close()
    return Desk(plan.folder).opened("plan")


def disk(plan: OpenPlan) -> str:
    return plan.path.read_text(encoding="utf-8")


def by_hand(plan: OpenPlan, old: str, new: str) -> None:
    """An editor writes the plan file anew."""
    before = disk(plan)
    assert old in before
    beside = plan.path.with_suffix(".tmp")
    beside.write_text(before.replace(old, new), encoding="utf-8")
    os.replace(beside, plan.path)


def test_an_edit_is_logged_and_saved_with_its_comments(plan: OpenPlan):
    moment = plan.edit(1, an(320))
    assert moment.number == 2
    assert plan.saved
    assert disk(plan) == PLAN.replace("up: 300", "up: 320")
    assert "320" in (plan.undo_words or "")


def test_undo_and_redo_survive_a_restart(plan: OpenPlan, desk: Desk):
    plan.edit(1, an(320))
    plan.edit(2, an(340))
    plan.undo(3)
    assert height(plan) == 320
    plan = again(plan, desk)
    assert plan.moment.number == 4
    assert height(plan) == 320
    plan.redo(4)
    assert height(plan) == 340
    plan.undo(5)
    plan.undo(6)
    assert disk(plan) == PLAN
    assert plan.undo_words is None
    with pytest.raises(EditRefused):
        plan.undo(7)
    assert [plan.redo(n).number for n in (7, 8)] == [8, 9]
    with pytest.raises(EditRefused):
        plan.redo(9)


def test_an_edit_thought_of_earlier_is_not_made(plan: OpenPlan):
    plan.edit(1, an(320))
    for late in (1, 3, 0):
        with pytest.raises(Stale):
            plan.edit(late, an(350))
        with pytest.raises(Stale):
            plan.undo(late)
        with pytest.raises(Stale):
            plan.tried(late, an(350))
    assert height(plan) == 320


def test_a_trial_leaves_nothing_behind(plan: OpenPlan):
    before, after, words = plan.tried(1, an(330))
    assert before.job is not None
    assert after.job is not None
    assert after.job.cage.revision != before.job.cage.revision
    assert "330" in words
    assert plan.moment is before
    assert disk(plan) == PLAN
    assert plan.undo_words is None


def test_an_edit_that_spoils_the_plan_is_not_made(plan: OpenPlan):
    for bad in (text(PLAN.replace("tube: hoop", "tube: none", 1)), text(PLAN + "surprise: 1\n")):
        with pytest.raises(ProblemsFound):
            plan.edit(1, bad)
        with pytest.raises(ProblemsFound):
            plan.tried(1, bad)
    assert plan.moment.number == 1
    assert disk(plan) == PLAN


def test_an_edit_that_changes_nothing_is_no_revision(plan: OpenPlan):
    assert plan.edit(1, text(PLAN)).number == 1


def test_edits_of_one_stroke_are_undone_together(plan: OpenPlan):
    plan.edit(1, an(310))
    for n, up in enumerate((320, 330, 340), start=2):
        plan.edit(n, an(up), stroke="drag 7")
    plan.edit(5, an(350), stroke="drag 8")
    plan.undo(6)
    assert height(plan) == 340
    plan.undo(7)
    assert height(plan) == 310
    plan.redo(8)
    assert height(plan) == 340


def test_a_file_changed_by_another_program_is_taken_up(plan: OpenPlan):
    plan.edit(1, an(320))
    by_hand(plan, "up: 320", "up: 345")
    assert plan.look()
    assert not plan.look()
    assert (plan.moment.number, height(plan)) == (3, 345)
    assert plan.conflict is None
    assert "another program" in (plan.undo_words or "")
    plan.undo(3)
    assert "up: 320" in disk(plan)


def test_it_is_taken_up_before_an_edit_too(plan: OpenPlan):
    by_hand(plan, "up: 300", "up: 345")
    with pytest.raises(Stale):
        plan.edit(1, an(320))
    assert height(plan) == 345
    assert "up: 345" in disk(plan)


def test_a_plan_spoilt_by_hand_stays_open(plan: OpenPlan):
    by_hand(plan, "tube: hoop", "tube: none")
    assert plan.look()
    assert plan.moment.job is None
    assert plan.moment.problems
    assert plan.stood is not None
    with pytest.raises(ProblemsFound):
        plan.edit(2, an(320))
    plan.undo(2)
    assert plan.moment.job is not None
    assert disk(plan) == PLAN


def test_a_spoilt_plan_is_put_right_by_its_text_step_by_step(plan: OpenPlan):
    both = PLAN.replace("tube: hoop", "tube: none")
    plan.path.write_text(both, encoding="utf-8")
    plan.look()
    assert len(plan.moment.problems) == 2
    plan.edit(2, text(both.replace("tube: none", "tube: hoop", 1)))
    assert len(plan.moment.problems) == 1
    plan.edit(3, text(PLAN))
    assert plan.moment.job is not None


def test_what_is_no_yaml_and_no_text_stays_open(plan: OpenPlan):
    for n, spoilt in enumerate((b"members: [", b"\xff\xfe\x00", b""), start=2):
        plan.path.write_bytes(spoilt)
        assert plan.look()
        assert plan.moment.number == n
        assert plan.moment.problems
    plan.undo(4)
    plan.undo(5)
    plan.undo(6)
    assert disk(plan) == PLAN


def test_a_file_written_by_hand_while_closed_is_taken_up(plan: OpenPlan, desk: Desk):
    plan.edit(1, an(320))
    by_hand(plan, "up: 320", "up: 345")
    plan = again(plan, desk)
    assert (plan.moment.number, height(plan), plan.conflict) == (3, 345, None)
    plan.undo(3)
    assert height(plan) == 320


def test_an_older_text_put_back_by_hand_is_a_change_too(plan: OpenPlan, desk: Desk):
    plan.edit(1, an(320))
    plan.path.write_text(PLAN, encoding="utf-8")
    plan = again(plan, desk)
    assert (plan.moment.number, height(plan)) == (3, 300)
    assert disk(plan) == PLAN


def test_ended_between_log_and_file_the_edit_is_kept(
    plan: OpenPlan, desk: Desk, monkeypatch: pytest.MonkeyPatch
):
    """As where the program is killed after the log is on the disk and before the file is replaced."""
    monkeypatch.setattr(plan._file, "write", lambda data: False)
    plan.edit(1, an(320))
    plan.edit(2, an(340))
    assert disk(plan) == PLAN
    plan = again(plan, desk)
    assert (plan.moment.number, height(plan), plan.saved) == (3, 340, True)
    assert "up: 340" in disk(plan)


def test_ended_before_the_note_that_the_file_is_written(
    plan: OpenPlan, desk: Desk, monkeypatch: pytest.MonkeyPatch
):
    monkeypatch.setattr(plan._log, "mark_saved", lambda *a: None)
    plan.edit(1, an(320))
    plan = again(plan, desk)
    assert (plan.moment.number, height(plan), plan.saved, plan.conflict) == (2, 320, True, None)


def test_both_changed_is_a_conflict_and_either_is_kept(tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    for keep, here, there in (("mine", 320, 345), ("disk", 345, 320)):
        home = tmp_path / keep
        home.mkdir()
        desk = Desk(shop_folder(home))
        plan = desk.opened("plan")
        with monkeypatch.context() as unwritable:
            unwritable.setattr(plan._file, "write", lambda data: False)
            plan.edit(1, an(320))
            assert not plan.saved
            by_hand(plan, "up: 300", "up: 345")
            plan.look()
        assert "changed by another program" in (plan.conflict or "")
        assert height(plan) == 320
        assert "up: 345" in disk(plan)
        plan.settle(keep)
        assert plan.conflict is None
        assert plan.saved
        assert height(plan) == here
        assert f"up: {here}" in disk(plan)
        turned = plan.redo if keep == "mine" else plan.undo
        turned(plan.moment.number)
        assert height(plan) == there


def test_edits_go_on_during_a_conflict_and_the_file_is_left_alone(
    plan: OpenPlan, monkeypatch: pytest.MonkeyPatch
):
    with monkeypatch.context() as unwritable:
        unwritable.setattr(plan._file, "write", lambda data: False)
        plan.edit(1, an(320))
        by_hand(plan, "up: 300", "up: 345")
        plan.look()
    plan.edit(2, an(330))
    plan.look()
    assert plan.conflict
    assert "up: 345" in disk(plan)
    by_hand(plan, "up: 345", "up: 346")
    plan.settle("disk")
    assert height(plan) == 346
    plan.undo(4)
    assert height(plan) == 330


def test_a_conflict_after_a_restart(plan: OpenPlan, desk: Desk, monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setattr(plan._file, "write", lambda data: False)
    plan.edit(1, an(320))
    by_hand(plan, "up: 300", "up: 345")
    plan = again(plan, desk)
    assert plan.conflict
    assert height(plan) == 320
    plan.settle("mine")
    assert "up: 320" in disk(plan)


def test_nothing_to_settle(plan: OpenPlan):
    with pytest.raises(EditRefused):
        plan.settle("mine")


def test_a_file_that_is_gone_is_said_and_written_again_when_asked(plan: OpenPlan):
    plan.edit(1, an(320))
    plan.path.unlink()
    assert plan.look()
    assert "no longer" in (plan.conflict or "")
    assert not plan.saved
    plan.edit(2, an(330))
    assert not plan.path.exists()
    with pytest.raises(EditRefused):
        plan.settle("disk")
    plan.settle("mine")
    assert "up: 330" in disk(plan)
    assert plan.saved


def test_a_file_that_comes_back_as_it_was_is_no_conflict(plan: OpenPlan):
    plan.path.rename(plan.path.with_suffix(".away"))
    plan.look()
    assert plan.conflict
    plan.path.with_suffix(".away").rename(plan.path)
    plan.look()
    assert plan.conflict is None
    assert plan.saved


def test_a_folder_that_cannot_be_written_to_is_said_and_tried_again(
    plan: OpenPlan, monkeypatch: pytest.MonkeyPatch
):
    def full(path: Path, data: bytes) -> None:
        raise OSError(28, "No space left on device")

    with monkeypatch.context() as disk_full:
        disk_full.setattr("cagewright.base.files._replace", full)
        plan.edit(1, an(320))
        assert not plan.saved
        assert "No space left" in (plan.trouble or "")
        assert disk(plan) == PLAN
    assert plan.look()
    assert plan.saved
    assert plan.trouble is None
    assert "up: 320" in disk(plan)


def test_a_file_grown_too_large_is_left_alone(plan: OpenPlan, monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setattr(plan_file, "MOST_BYTES", 2000)
    plan.path.write_text("#" * 3000, encoding="utf-8")
    plan.look()
    assert plan.moment.job is not None
    assert "larger" in (plan.trouble or "")
    plan.edit(1, an(320))
    assert disk(plan) == "#" * 3000


def test_a_changed_shop_file_is_a_new_revision(tmp_path: Path):
    folder = shop_folder(tmp_path)
    shop = folder / "shop.yaml"
    shop.write_text("cagewright_shop: 1\nname: One\n", encoding="utf-8")
    (folder / "plan.yaml").write_text(PLAN + "shop: shop.yaml\n", encoding="utf-8")
    plan = Desk(folder).opened("plan")
    assert not plan.look()
    shop.write_text("cagewright_shop: 1\nname: Another\n", encoding="utf-8")
    assert plan.look()
    assert plan.moment.number == 2
    assert plan.moment.job is not None
    assert plan.moment.job.shop.name == "Another"
    assert plan.undo_words is None


@pytest.mark.parametrize(
    "named",
    [
        "shop: ../secret.yaml",
        "shop: way/out.yaml",
        "shop: /etc/passwd",
        "shop: plan.yaml/../../secret.yaml",
        "include: [../secret.yaml]",
        "include: [way/out.yaml]",
        "shell: {scan: {file: ../secret.yaml, units: mm}}",
    ],
)
def test_no_edit_leads_out_of_the_shop_folder(plan: OpenPlan, named: str):
    secret = plan.folder.parent / "secret.yaml"
    secret.write_text("hush: the-word\n", encoding="utf-8")
    (plan.folder / "way").symlink_to(plan.folder.parent)
    (plan.folder.parent / "out.yaml").write_text("hush: the-word\n", encoding="utf-8")
    with pytest.raises(ProblemsFound) as found:
        plan.edit(1, text(PLAN + named + "\n"))
    assert found.value.problems[0].code == "outside"
    assert "hush" not in str(found.value)
    assert disk(plan) == PLAN


def test_a_shop_outside_that_the_builder_named_by_hand_is_read(tmp_path: Path):
    folder = shop_folder(tmp_path)
    (tmp_path / "shop.yaml").write_text("cagewright_shop: 1\nname: Ours\n", encoding="utf-8")
    (folder / "plan.yaml").write_text(PLAN + "shop: ../shop.yaml\n", encoding="utf-8")
    plan = Desk(folder).opened("plan")
    plan.edit(1, an(320))
    assert plan.moment.job is not None
    assert plan.moment.job.shop.name == "Ours"


def test_what_a_kill_left_beside_the_plan_is_taken_away(plan: OpenPlan, desk: Desk):
    left = plan.folder / ".plan.yaml.k1ll3d.part"
    other = plan.folder / ".other.yaml.k1ll3d.part"
    for file in (left, other):
        file.write_text("half a pl", encoding="utf-8")
    again(plan, desk)
    assert not left.exists()
    assert other.exists()


def test_line_ends_and_byte_order_mark_stay(tmp_path: Path):
    folder = shop_folder(tmp_path)
    before = b"\xef\xbb\xbf" + PLAN.replace("\n", "\r\n").encode()
    (folder / "plan.yaml").write_bytes(before)
    plan = Desk(folder).opened("plan")
    plan.edit(1, an(320))
    assert plan.path.read_bytes() == before.replace(b"up: 300", b"up: 320")
    plan.undo(2)
    assert plan.path.read_bytes() == before
