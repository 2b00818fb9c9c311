"""Included files: merged by name, kept inside the plan's folder, each problem in its own file."""

import os
from pathlib import Path

import pytest
from plans import SOUND, file_problems, only

from cagewright.plan import files
from cagewright.plan.read import read_plan
from cagewright.plan.types import where_of

HEAD = "cagewright: 1\ntitle: Split\ninclude: [body.yaml]\n"
BODY = SOUND.split("\n", 2)[2]


def write(folder: Path, **texts: str) -> Path:
    for name, text in texts.items():
        (folder / f"{name}.yaml").write_text(text, encoding="utf-8")
    return folder / "plan.yaml"


def test_sections_may_stand_in_another_file(tmp_path: Path):
    plan = read_plan(write(tmp_path, plan=HEAD, body=BODY))
    assert list(plan.members) == ["main", "stay"]
    assert plan.include == ("body.yaml",)
    where = where_of(plan, ("members", "stay"))
    assert where.file == (tmp_path / "body.yaml").as_posix()
    assert where.line == BODY.splitlines().index("  stay:") + 1


def test_included_entries_come_before_the_plans_own(tmp_path: Path):
    own = HEAD + "members:\n  last: {role: diagonal, tube: bar, path: [arch, sill]}\n"
    assert list(read_plan(write(tmp_path, plan=own, body=BODY)).members) == ["main", "stay", "last"]


def test_includes_of_includes_and_the_same_file_twice(tmp_path: Path):
    top = HEAD.replace("[body.yaml]", "[body.yaml, sub/tubes.yaml]")
    (tmp_path / "sub").mkdir()
    tubes, rest = BODY[: BODY.index("points:")], BODY[BODY.index("points:") :]
    (tmp_path / "sub" / "tubes.yaml").write_text(f"include: [../more.yaml]\n{tubes}", encoding="utf-8")
    path = write(
        tmp_path, plan=top, body=f"include: [sub/tubes.yaml]\n{rest}", more="note: from the bottom\n"
    )
    plan = read_plan(path)
    assert (plan.note, len(plan.tubes), len(plan.members)) == ("from the bottom", 2, 2)


@pytest.mark.parametrize(
    ("plan_units", "body_units", "od"),
    [("mm", "", 45.0), ("in", "", 1143.0), ("mm", "units: in\n", 1143.0), ("in", "units: mm\n", 45.0)],
)
def test_each_file_has_its_units_or_the_plans(tmp_path: Path, plan_units: str, body_units: str, od: float):
    plan = read_plan(write(tmp_path, plan=f"{HEAD}units: {plan_units}\n", body=body_units + BODY))
    assert plan.tubes["hoop"].od == od
    assert plan.units == plan_units


def test_a_problem_in_an_included_file_is_located_there(tmp_path: Path):
    (problem,) = file_problems(write(tmp_path, plan=HEAD, body=BODY.replace("on: main", "on: mian")))
    assert problem.where.file == (tmp_path / "body.yaml").as_posix()
    assert problem.where.line == BODY[: BODY.index("on: main")].count("\n") + 1


def test_a_name_in_two_files_names_both_places(tmp_path: Path):
    own = HEAD + "tubes:\n  bar: {od: 40, wall: 2, steel: E355+N}\n"
    (problem,) = file_problems(write(tmp_path, plan=own, body=BODY))
    assert problem.code == "defined-twice"
    assert problem.where.line == 5
    assert f"{(tmp_path / 'body.yaml').as_posix()}:3:3" in problem.found


def test_an_undivided_section_in_two_files(tmp_path: Path):
    path = write(tmp_path, plan=HEAD + "note: here\n", body=BODY + "note: there\n")
    (problem,) = file_problems(path)
    assert (problem.code, problem.where.line) == ("defined-twice", 4)


@pytest.mark.parametrize(
    "name", ["missing.yaml", "x" * 300, "a\\b.yaml", "/etc/hostname", "../body.yaml", "sub", ".", "C:\\x", ""]
)
def test_a_file_that_cannot_be_included_is_the_mistake_of_the_line_that_names_it(tmp_path: Path, name: str):
    (tmp_path / "job" / "sub").mkdir(parents=True)
    write(tmp_path, body=BODY)
    path = write(tmp_path / "job", plan=HEAD.replace("body.yaml", f"'{name}'"))
    (problem,) = file_problems(path)
    assert problem.code in {"no-file", "outside"}
    assert (problem.where.line, problem.where.file) == (3, path.as_posix())


def test_a_link_out_of_the_folder_is_refused(tmp_path: Path):
    (tmp_path / "job").mkdir()
    write(tmp_path, body=BODY)
    os.symlink(tmp_path / "body.yaml", tmp_path / "job" / "body.yaml")
    assert [p.code for p in file_problems(write(tmp_path / "job", plan=HEAD))] == ["outside"]


def test_a_loop_of_includes_is_named(tmp_path: Path):
    path = write(tmp_path, plan=HEAD, body="include: [c.yaml]\n" + BODY, c="include: [plan.yaml]\n")
    (problem,) = file_problems(path)
    assert problem.code == "include-loop"
    assert "plan.yaml -> body.yaml -> c.yaml -> plan.yaml" in problem.found
    assert problem.where.file.endswith("c.yaml")


def test_an_included_file_is_no_plan(tmp_path: Path):
    path = write(tmp_path, plan=HEAD, body="cagewright: 1\ntitle: Body\n" + BODY)
    assert [(p.code, p.where.line) for p in file_problems(path)] == [("not-here", 1), ("not-here", 2)]


def test_broken_yaml_in_an_included_file_hides_no_other_problem_and_makes_none_up(tmp_path: Path):
    path = write(tmp_path, plan=HEAD + "colour: red\n", body=BODY + "x: [\n")
    assert sorted(p.code for p in file_problems(path)) == ["syntax", "unknown-key"]


def test_too_many_files(tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setattr(files, "MOST_FILES", 3)
    chain = {f"f{i}": f"include: [f{i + 1}.yaml]\n" for i in range(6)}
    path = write(tmp_path, plan=HEAD.replace("body", "f0"), f6=BODY, **chain)
    assert [p.code for p in file_problems(path)] == ["too-big"]


def test_values_of_all_files_count_together(tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setattr(files, "MOST_VALUES", 200)
    rows = "".join(f"  p{i}: [1, 2, 3]\n" for i in range(30))
    path = write(
        tmp_path,
        plan=HEAD.replace("body", "a").replace("a.yaml", "a.yaml, b.yaml"),
        a="points:\n" + rows,
        b=BODY,
    )
    assert "too-big" in {p.code for p in file_problems(path)}


def test_text_without_a_folder_includes_nothing():
    assert only(HEAD).code == "no-file"


def test_a_plan_that_is_not_there(tmp_path: Path):
    (problem,) = file_problems(tmp_path / "none.yaml")
    assert problem.code == "no-file"
    assert [p.code for p in file_problems(tmp_path)] == ["no-file"]
    (tmp_path / "big.yaml").write_bytes(b"x" * 10_000_000)
    assert [p.code for p in file_problems(tmp_path / "big.yaml")] == ["too-big"]


def test_members_may_be_missing_only_where_files_bring_them(tmp_path: Path):
    path = write(tmp_path, plan=HEAD, body="tubes: {bar: {od: 38, wall: 2.5, steel: E355+N}}\n")
    assert [(p.code, p.found) for p in file_problems(path)] == [("missing-key", "the plan has no 'members'")]
