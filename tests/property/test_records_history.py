"""Whatever is entered and corrected, in whatever order: nothing is lost, all of it can be carried away."""

import tempfile
from collections.abc import Callable
from pathlib import Path

from hypothesis import Phase, given, settings
from hypothesis import strategies as st

from cagewright.base.problems import ProblemsFound
from cagewright.records.entries import Hand, add_note, add_reading, correct, sign, still_as_signed, tick
from cagewright.records.exporting import export_job
from cagewright.records.importing import import_job
from cagewright.records.integrity import health
from cagewright.records.jobs import history, new_job
from cagewright.records.judging import judge
from cagewright.records.opening import Record, opened
from cagewright.records.rack import on_hand, put, use_up
from cagewright.records.rescuing import rescue
from cagewright.records.types import StockPiece
from cases import cases

HAND = Hand(by="Ann")
words = st.text(max_size=30)
names = st.sampled_from(["a", "b", "main_hoop.start", ""])
lines = st.integers(min_value=1, max_value=12)
actions = st.one_of(
    st.tuples(st.just("reading"), names, names, words),
    st.tuples(st.just("note"), words),
    st.tuples(st.just("tick"), names),
    st.tuples(st.just("correct"), lines, words, words),
    st.tuples(st.just("withdraw"), lines, words),
    st.tuples(st.just("sign"), words),
)


def done(record: Record, action: tuple[str, ...]) -> None:
    kind, *told = action
    table: dict[str, Callable[..., object]] = {
        "reading": lambda a, b, text: add_reading(record, "J", (a, b), text, hand=HAND),
        "note": lambda text: add_note(record, "J", text, hand=HAND),
        "tick": lambda what: tick(record, "J", what, "tack", hand=HAND),
        "correct": lambda line, why, text: correct(record, "J", line, hand=HAND, why=why, text=text),
        "withdraw": lambda line, why: correct(record, "J", line, hand=HAND, why=why),
        "sign": lambda text: sign(record, "J", text, hand=HAND),
    }
    table[kind](*told)


# finding the smallest failing case of so many files takes minutes: any failing case will do
@settings(max_examples=cases(15), deadline=None, phases=(Phase.explicit, Phase.reuse, Phase.generate))
@given(st.lists(actions, max_size=12))
def test_history_only_grows_and_travels(taken: list[tuple[str, ...]]):
    with tempfile.TemporaryDirectory() as folder:
        path, parcel = Path(folder) / "r.sqlite", Path(folder) / "j.zip"
        with opened(path, create=True) as record:
            new_job(record, "J", by="Ann")
            before = history(record, "J").entries
            for action in taken:
                refused = False
                try:
                    done(record, action)
                except ProblemsFound:
                    refused = True
                after = history(record, "J").entries
                assert after[: len(before)] == before
                assert len(after) == len(before) + (not refused)
                before = after
            told = history(record, "J")
            # each line stands, or exactly one other stands for it
            assert len(told.current) == len(before) - sum(e.corrects_uid is not None for e in before)
            assert all(still_as_signed(record, e) for e in before if e.kind == "sign-off" and e.used)
            assert health(record).faults == ()
            export_job(record, "J", parcel)
        with opened(Path(folder) / "there.sqlite", create=True) as there:
            import_job(there, parcel)
            assert history(there, "J") == told
            assert import_job(there, parcel).added == {"revisions": 0, "entries": 0}
        found = rescue(path)
        assert len(found.rows["entries"]) == found.sealed["entries"] == len(before)


@settings(max_examples=cases(200))
@given(
    text=st.text(max_size=80),
    unit=st.text(max_size=6),
    taken=st.text(max_size=30),
    marks=st.tuples(words, words),
)
def test_any_reading_is_judged_in_words(text: str, unit: str, taken: str, marks: tuple[str, str]):
    found = judge(text, unit, sort="tape", job_units="mm", marks=marks, taken=taken)
    assert all(found.wrong)
    assert found.wrong or (found.value is not None and found.value > 0.0)


@settings(max_examples=cases(20), deadline=None)
@given(st.lists(st.tuples(st.booleans(), st.integers(min_value=-1, max_value=4)), max_size=10))
def test_stock_is_what_came_less_what_went(moves: list[tuple[bool, int]]):
    have = 0
    with tempfile.TemporaryDirectory() as folder, opened(Path(folder) / "r.sqlite", create=True) as record:
        new_job(record, "J", by="Ann")
        for comes, count in moves:
            bars = StockPiece(kind="stock", od=38.0, wall=2.5, steel="E355+N", length=6000.0, count=count)
            possible = count > 0 and (comes or count <= have)
            try:
                _ = put(record, [bars], by="Ann") if comes else use_up(record, "J", [bars], by="Ann")
                assert possible
                have += count if comes else -count
            except ProblemsFound:
                assert not possible
            assert sum(p.count for p in on_hand(record)) == have
