"""How diagonals, doorbars and roof bars are laid out: the words, by hand-drawn cages."""

import pytest
from cages import bar, cage

from cagewright.check.measures.layout import crossings_of, layouts_of
from cagewright.shape.types import Cage

APEX_REAR = [((600, -440, 1200), (1590, -20, 1235)), ((600, 440, 1200), (1590, 20, 1235))]
APEX_FRONT = [((600, -20, 1200), (1590, -440, 1235)), ((600, 20, 1200), (1590, 440, 1235))]
CROSS = [
    ((600, -440, 1200), (1600, 440, 1200)),
    ((600, 440, 1200), (1100, 0, 1200)),
    ((1100, 0, 1200), (1600, -440, 1200)),
]
TEE = CROSS[:2]
SIDE_BY_SIDE = [((600, -200, 1200), (1600, -200, 1200)), ((600, 200, 1200), (1600, 200, 1200))]


def roof(lines: list[tuple[tuple[float, ...], ...]]) -> Cage:
    return cage(*(bar(f"m{i}", "roof reinforcement", *line) for i, line in enumerate(lines)))


@pytest.mark.parametrize(
    ("lines", "words"),
    [
        ([], ()),
        (CROSS[:1], ("single",)),
        (CROSS, ("cross",)),
        (TEE, ("two",)),
        (SIDE_BY_SIDE, ("two",)),
        (APEX_REAR, ("V", "V to the rear")),
        (APEX_FRONT, ("V", "V to the front")),
    ],
)
def test_the_words_for_a_layout(lines: list[tuple[tuple[float, ...], ...]], words: tuple[str, ...]):
    one = roof(lines)
    assert layouts_of(one, one.members) == words


def test_two_bent_bars_that_pass_close_are_a_cross_and_two_far_apart_are_not():
    def pair(apart: float) -> Cage:
        first = bar("a", "doorbar", (600, -650, 300), (1100, -650, 520), (1600, -650, 700), clr=100)
        y = -650 + apart
        second = bar("b", "doorbar", (600, y, 700), (1100, y, 480), (1600, y, 300), clr=100)
        return cage(first, second)

    (crossing,) = crossings_of(pair(60.0), pair(60.0).members)
    assert crossing.members == ("a", "b")
    assert crossing.gap == pytest.approx(15.0, abs=0.5)  # 60 mm between the axes less two radii of 22.5
    assert not crossings_of(pair(200.0), pair(200.0).members)
