"""A record of the shop for each test, made up."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from cagewright.records.jobs import new_job
from cagewright.records.opening import Record, opened


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "record.sqlite"


@pytest.fixture
def record(path: Path) -> Iterator[Record]:
    """A new record with one job, BW1, on a tape in mm."""
    with opened(path, create=True) as found:
        new_job(found, "BW1", by="Ann", customer="Reed", reference="R7")
        yield found
