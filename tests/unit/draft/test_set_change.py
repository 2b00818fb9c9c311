"""Which one size to change: exact against brute force, and on a set that is short in one body."""

import json
from itertools import product

import numpy as np
import pytest

from bodies import BODIES, survey
from bought import set_of
from cagewright.draft.layout import draft
from cagewright.draft.limits import Limits
from cagewright.job.set_change import OneSize, best_sizes, changed_set
from cagewright.job.set_fits import one_size, sets_in_bodies
from cagewright.job.survey import open_survey
from cagewright.plan.survey_text import survey_text
from cagewright.plan.tube_set import read_set_text
from cagewright.shape.resolve import resolve
from cagewright.stock.shop import NO_SHOP


def size(bought: str, n: int, by: float) -> OneSize:
    return OneSize(bought=bought, tube="hoop", straight=n, by=by, now=500.0)


def test_the_search_comes_to_what_trying_everything_does():
    """Up to 3 sets of 4 sizes each against 5 bodies, made-up tables of what serves what."""
    random = np.random.default_rng(14)
    for sets, bodies in product((1, 2, 3), (1, 3, 5)):
        tries = [
            size(f"{s}.yaml", n, float(random.integers(-40, 40))) for s in range(sets) for n in range(1, 5)
        ]
        names = [f"{b}" for b in range(bodies)]
        for share in (0.2, 0.5, 0.9):
            table = {(id(t), b): bool(random.random() < share) for t in tries for b in names}
            now = int(random.integers(0, bodies + 1))
            found, most = best_sizes(tries, names, lambda t, b, table=table: table[id(t), b], now=now)
            counts = [sum(table[id(t), b] for b in names) for t in tries]
            if max(counts) <= now:
                assert (found, most) == ((), now)
            else:
                assert most == max(counts)
                assert {id(t) for t in found} == {
                    id(t) for t, c in zip(tries, counts, strict=True) if c == most
                }
                assert [abs(t.by) for t in found] == sorted(abs(t.by) for t in found)


def test_what_cannot_win_is_not_looked_at_any_further():
    asked: list[str] = []
    tries = [size("a.yaml", 1, 5.0), size("a.yaml", 2, 5.0)]
    good = {(1, b): True for b in "xyz"} | {(2, b): False for b in "xyz"}

    def serves(one: OneSize, body: str) -> bool:
        asked.append(f"{one.straight}{body}")
        return good[one.straight, body]

    assert best_sizes(tries, "xyz", serves, now=0) == ((tries[0],), 3)
    assert asked == ["1x", "1y", "1z", "2x"]


def test_a_changed_size_is_that_size_alone():
    made = set_of(resolve(draft(survey(BODIES["saloon"]), Limits(), NO_SHOP).plan))
    file = read_set_text(json.dumps(made)).file
    after = changed_set(file, OneSize(bought="x", tube="main_hoop", straight=3, by=-7.0, now=0.0))
    a, b = file.tubes["main_hoop"].straights, after.tubes["main_hoop"].straights
    assert [round(y - x, 6) for x, y in zip(a, b, strict=True)] == [0.0, 0.0, -7.0, *[0.0] * (len(a) - 3)]
    assert {n: t for n, t in after.tubes.items() if n != "main_hoop"} == {
        n: t for n, t in file.tubes.items() if n != "main_hoop"
    }


@pytest.mark.slow
def test_a_dash_bar_that_was_cut_short_is_named_with_how_much_longer_it_has_to_be(tmp_path):
    made = set_of(resolve(draft(survey(BODIES["saloon"]), Limits(), NO_SHOP).plan))
    tubes = {n: made["tubes"][n] for n in ("main_hoop", "front_leg_left", "dash_bar")}
    tubes["dash_bar"] = {**tubes["dash_bar"], "straights": [tubes["dash_bar"]["straights"][0] - 90.0]}
    (tmp_path / "own.yaml").write_text(json.dumps({**made, "tubes": tubes}))
    (tmp_path / "car.yaml").write_text(survey_text(survey(BODIES["saloon"])))
    sets, bodies = [tmp_path / "own.yaml"], [open_survey(tmp_path / "car.yaml")]
    answer = sets_in_bodies(sets, bodies)
    assert answer.level == "fail"
    changed = one_size(answer, sets, bodies)
    assert changed.change[0].words.startswith("own.yaml: straight 1 of dash bar")
    assert "then 1 of 1 bodies" in changed.change[0].words
