"""docs/theory/belts.md tells every measure, standard and switch of the belts' and practice checks."""

from pathlib import Path

import pytest

from cagewright.check.belts.limits import standards
from cagewright.check.belts.measures import MEASURES
from cagewright.check.practice import PRACTICES

PAGE = (Path(__file__).parents[2] / "docs" / "theory" / "belts.md").read_text(encoding="utf-8")


@pytest.mark.parametrize("name", [*MEASURES, *standards(), *PRACTICES])
def test_every_check_is_told(name: str):
    assert f"`{name}`" in PAGE


def test_one_that_is_not_told_is_missed():
    assert "`lap twist`" not in PAGE
