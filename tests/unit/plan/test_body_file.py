"""A body measured once: two jobs on one body, today's surveys unchanged, located mistakes in either file."""

from pathlib import Path

import pytest
import yaml

from bodies import BODIES, survey
from cagewright.base.problems import ProblemsFound
from cagewright.job.survey import open_survey, tried, with_reading
from cagewright.plan.survey import OF_THE_BODY, read_survey, read_survey_text, where_read
from cagewright.plan.survey_text import survey_text
from cagewright.plan.write import set_value


def split(folder: Path, **job) -> Path:
    """The saloon's survey in two files: the body, and a job on it."""
    whole = yaml.safe_load(survey_text(survey(BODIES["saloon"])))
    body = {key: whole[key] for key in OF_THE_BODY if key in whole}
    head = {"cagewright_body": 1, "title": "shell 3", "units": whole.get("units", "mm")}
    (folder / "saloon.body.yaml").write_text(yaml.safe_dump({**head, **body}, sort_keys=False))
    mine = {key: value for key, value in whole.items() if key not in OF_THE_BODY} | job
    (folder / "job.survey.yaml").write_text(yaml.safe_dump({**mine, "body": "saloon.body.yaml"}))
    return folder / "job.survey.yaml"


def problem(folder: Path, path: Path):
    with pytest.raises(ProblemsFound) as found:
        read_survey(path)
    return found.value.problems[0]


def test_a_job_on_a_body_reads_as_the_whole_survey_did(tmp_path: Path):
    whole = read_survey_text(survey_text(survey(BODIES["saloon"]))).file
    read = read_survey(split(tmp_path))
    assert read.file.model_copy(update={"body": ""}) == whole
    assert where_read(read, "sill_height").file == "saloon.body.yaml"


def test_two_jobs_on_one_body_have_their_own_wishes(tmp_path: Path):
    one = open_survey(split(tmp_path, wishes={"gap": 10}))
    (tmp_path / "job.survey.yaml").rename(tmp_path / "first.survey.yaml")
    two = open_survey(split(tmp_path, wishes={"gap": 25}))
    assert one.survey is not None
    assert two.survey is not None
    assert one.survey.file.readings == two.survey.file.readings
    assert (one.survey.file.wishes.gap, two.survey.file.wishes.gap) == (10.0, 25.0)


def test_mistakes_are_told_with_the_file_they_stand_in(tmp_path: Path):
    path, body = split(tmp_path), tmp_path / "saloon.body.yaml"
    sound = body.read_text()
    body.write_text(sound.replace("sill_height:", "sil_height:"))
    assert problem(tmp_path, path).where.file == "saloon.body.yaml"
    assert problem(tmp_path, path).where.line > 1
    body.write_text("cagewright_body: [\n")
    assert problem(tmp_path, path).where.file == "saloon.body.yaml"
    body.unlink()
    assert problem(tmp_path, path).where.file == "saloon.body.yaml"
    body.write_text(sound)
    split(tmp_path, obstacles={})
    assert problem(tmp_path, path).code == "body-and-own"


@pytest.mark.parametrize("name", ["../saloon.body.yaml", "/etc/passwd", "a/b.yaml"])
def test_a_body_stands_beside_its_survey(tmp_path: Path, name: str):
    path = split(tmp_path)
    path.write_text(path.read_text().replace("saloon.body.yaml", name))
    assert problem(tmp_path, path).code == "body-file"


def test_a_reading_of_the_body_is_not_written_into_the_survey(tmp_path: Path):
    path = split(tmp_path)
    before = path.read_text()
    one = open_survey(path)
    with pytest.raises(ProblemsFound, match="the body's file has it"):
        tried(one, lambda doc: with_reading(doc, "sill_height", "front", ["200"], "mm"))
    assert path.read_text() == before
    assert tried(one, lambda doc: set_value(doc, ("wishes", "gap"), "12 mm")).survey is not None
