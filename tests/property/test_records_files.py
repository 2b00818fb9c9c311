"""No bytes of a record or a zip get past as anything but a record, a zip or a problem in words."""

import contextlib
import tempfile
from functools import cache
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from cagewright.base.problems import ProblemsFound
from cagewright.records.entries import Hand, add_reading
from cagewright.records.exporting import export_job
from cagewright.records.importing import import_job
from cagewright.records.integrity import health
from cagewright.records.jobs import history, new_job
from cagewright.records.opening import opened
from cagewright.records.rescuing import rescue
from cases import cases


@cache
def sound() -> tuple[bytes, bytes]:
    """A record of 60 readings in one file, and its job's zip."""
    with tempfile.TemporaryDirectory() as folder:
        path, parcel = Path(folder) / "r.sqlite", Path(folder) / "j.zip"
        with opened(path, create=True) as record:
            new_job(record, "J", by="Ann")
            for number in range(60):
                add_reading(record, "J", ("a", f"k{number}"), f"{1000 + number}", hand=Hand(by="Ann"))
            export_job(record, "J", parcel)
        return path.read_bytes(), parcel.read_bytes()


hits = st.lists(
    st.tuples(st.floats(0.0, 0.9999), st.binary(min_size=1, max_size=300)), min_size=1, max_size=4
)


def spoilt(data: bytes, where: list[tuple[float, bytes]]) -> bytes:
    whole = bytearray(data)
    for share, junk in where:
        at = int(share * len(whole))
        whole[at : at + len(junk)] = junk[: len(whole) - at]
    return bytes(whole)


@pytest.mark.slow
@settings(max_examples=cases(40), deadline=None)
@given(hits)
def test_a_spoilt_record_is_refused_or_its_faults_are_told(where: list[tuple[float, bytes]]):
    data = spoilt(sound()[0], where)
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "r.sqlite"
        path.write_bytes(data)
        found = rescue(path)
        assert path.read_bytes() == data
        assert found.sealed["entries"] <= len(found.rows["entries"]) <= 200
        texts = {str(1000 + n) for n in range(60)}
        # a row whose seal fits is one that was entered: damage never makes up a sound row
        assert found.sealed["entries"] <= sum(row["text"] in texts for row in found.rows["entries"])
        with contextlib.suppress(ProblemsFound), opened(path) as record:
            told = history(record, "J").entries
            assert health(record).faults or {e.text for e in told} == texts


@settings(max_examples=cases(40), deadline=None)
@given(hits)
def test_a_spoilt_zip_brings_in_all_of_it_or_nothing(where: list[tuple[float, bytes]]):
    with tempfile.TemporaryDirectory() as folder:
        parcel = Path(folder) / "j.zip"
        parcel.write_bytes(spoilt(sound()[1], where))
        with opened(Path(folder) / "r.sqlite", create=True) as record:
            try:
                import_job(record, parcel)
            except ProblemsFound:
                return
            assert len(history(record, "J").entries) == 60
            assert health(record).faults == ()
