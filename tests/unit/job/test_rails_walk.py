"""Every command and page over the example that has rails: it answers, or says why it cannot."""

import re
import shutil
from dataclasses import replace
from pathlib import Path

import pytest

from cagewright.check.bench import NOT_MEASURED
from cagewright.check.judge import judge
from cagewright.check.library import book_ids, built_in
from cagewright.check.measures.tube import RAIL_WORDS
from cagewright.job.buying import planned_of
from cagewright.job.opening import Job, open_job
from cagewright.job.rack import stock_cut
from cagewright.records.jobs import new_job
from cagewright.records.opening import opened
from cagewright.stock.sections import Section
from cagewright.workbench.pages import all_pages
from commands import typed
from deskside import served

EXAMPLES = Path(__file__).parents[3] / "examples" / "rails"
PLAN = EXAMPLES / "sill-rails.yaml"

QUICK = [
    (("show", PLAN), 0), (("check", PLAN), 1), (("order", PLAN), 0), (("marks", PLAN, "--step", 1), 0),
    (("export-frame", PLAN, "--case", "roof-left"), 1), (("inspect", "fia-253-2009", PLAN), 1),
]  # fmt: skip
SLOW = [
    (("shrink", PLAN, "--step", 1), 0), (("push", PLAN, "--case", "roof-left"), 0),
    (("drop", PLAN, "--height", "200 mm"), 0), (("build", PLAN, "-o", "out"), 1),
]  # fmt: skip


@pytest.fixture(scope="module")
def job() -> Job:
    return open_job(PLAN)


def walked(words: tuple, code: int, folder: Path) -> str:
    ended = typed(*words, cwd=folder)
    said = ended.stdout + ended.stderr
    assert "Traceback" not in said, said[-2000:]
    assert ended.returncode == code, said[-2000:]
    return said


@pytest.mark.slow
@pytest.mark.parametrize(("words", "code"), QUICK, ids=[w[0][0] for w in QUICK])
def test_a_command_answers(words, code, tmp_path):
    walked(words, code, tmp_path)


@pytest.mark.slow
@pytest.mark.parametrize("words", [("check",), ("order",), ("push", "--case", "side-left")])
def test_a_roof_loop_cage_stands_on_rails_in_inches(words, tmp_path):
    said = walked(
        (words[0], EXAMPLES / "marlbeck-rails.yaml", *words[1:]), int(words[0] == "check"), tmp_path
    )
    assert '"' in said


@pytest.mark.slow
@pytest.mark.parametrize(("words", "code"), SLOW, ids=[w[0][0] for w in SLOW])
def test_a_long_command_answers(words, code, tmp_path):
    walked(words, code, tmp_path)


def test_what_a_frame_file_cannot_say_is_said(tmp_path):
    said = walked(("export-frame", PLAN, "--case", "roof-left"), 1, tmp_path)
    assert "rail_left is a rail" in " ".join(said.split())


@pytest.mark.slow
def test_every_page_answers(tmp_path):
    for name in ("sill-rails.yaml", "sill-rails.shop.yaml"):
        shutil.copy(EXAMPLES / name, tmp_path / name)
    with served(tmp_path) as bench:
        for page in all_pages():
            for route in page.routes:
                if "GET" in (route.methods or ()) and not re.search(r"\{(?!id\})", route.path):
                    path = route.path.replace("{id}", "sill-rails")
                    assert bench.get(path).status_code < 500, path


ROUND = (
    "outside diameter", "wall", "wall gauged", "section area", "section inertia", "tube size",
    "tube size by weight", "tube size by code",
)  # fmt: skip


@pytest.mark.parametrize("number", [0, 1])
def test_no_row_that_asks_for_round_tube_passes_on_a_rail(job: Job, number):
    """Every built-in row that reads a tube's size, with a rail as large as a main rollbar made one."""
    rail = job.cage.members[number]
    huge = replace(rail.tube, section=Section(shape="square", width=90.0, depth=90.0, wall=9.0))
    roles = {r for b in map(built_in, book_ids()) for rule in b.rules for r in rule.members}
    asked, told = 0, []
    for role in sorted(roles):
        cage = replace(job.cage, car=None, members=(replace(rail, tube=huge, role=role),), joints=())
        for book in map(built_in, book_ids()):
            for rule in book.rules:
                if rule.measure in ROUND:
                    found = judge(cage, book, rule, NOT_MEASURED)
                    asked += sum(f.verdict != "does not apply" for f in found)
                    told += [(book.id, rule.id) for f in found if f.verdict in {"pass", "looks kept"}]
    assert asked > 50
    assert told == []


def test_rails_are_bought_by_their_section(job: Job):
    found = planned_of(job)
    said = [t.tube for t in found.tubes]
    assert "60 x 40 x 5 mm angle S235JR" in said
    assert "50 x 30 x 3 mm rectangular S355J2H" in said
    assert found.price.value is not None


def test_the_record_takes_the_round_tube_and_says_which_rails_it_left_out(tmp_path):
    where = str(tmp_path / "record.sqlite")
    with opened(where, create=True) as record:
        new_job(record, "marlfield", by="A")
    found = stock_cut(where, "marlfield", PLAN, by="A", bought=True)
    assert "60 x 40 x 5 mm angle" in found.headline
    assert {p.od for p in found.pieces} == {45.0, 38.0}


def test_every_shape_has_its_words():
    assert set(RAIL_WORDS) == {"square", "rectangle", "angle", "flat"}
