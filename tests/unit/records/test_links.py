"""The text of the square code of a step."""

import pytest

from cagewright.records.links import step_target


def test_the_target_names_job_and_step():
    assert (
        step_target("BW1", "3", address="http://192.0.2.1:8000/") == "http://192.0.2.1:8000/jobs/BW1/steps/3"
    )
    assert step_target("BW1", "3") == "cagewright:jobs/BW1/steps/3"


def test_odd_names_stay_one_part_each():
    assert step_target("a/b ?", "ä#1", address="http://x") == "http://x/jobs/a%2Fb%20%3F/steps/%C3%A4%231"


@pytest.mark.parametrize(("job", "step"), [("", "3"), ("BW1", "")])
def test_a_target_needs_both(job: str, step: str):
    with pytest.raises(ValueError):
        step_target(job, step)
