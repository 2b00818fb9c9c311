"""The cage as it stands is pushed like the plan, and what that changes is said."""

import numpy as np
import pytest
from scipy.spatial.transform import Rotation

from cagewright.fitup.asbuilt import RigidMotion, moved_cage
from cagewright.fitup.asbuilt_push import PushedTwice, pushed_twice
from cagewright.job.opening import open_job
from cagewright.job.square import pushed_words
from fitted import EXAMPLES

PUSH = "main-hoop-down"


@pytest.fixture(scope="module")
def cage():
    return open_job(EXAMPLES / "roll-bar.yaml").cage


def all_moved(cage, motion):
    return moved_cage(cage, {m.name: motion for m in cage.members})


@pytest.mark.slow
def test_a_cage_built_as_planned_pushes_the_same(cage):
    still = RigidMotion(middle=np.zeros(3), turn=Rotation.identity(), move=np.zeros(3))
    (found,) = pushed_twice(cage, all_moved(cage, still), [PUSH])
    assert found.peak[0] == pytest.approx(found.peak[1])
    assert "no difference as built" in pushed_words(found, "mm")


@pytest.mark.slow
def test_a_hoop_that_leans_is_not_the_same_hoop(cage):
    hoop = next(m for m in cage.members if m.role == "main rollbar")
    lean = RigidMotion(
        middle=hoop.path.pieces[0].start, turn=Rotation.from_rotvec([0.0, 0.2, 0.0]), move=np.zeros(3)
    )
    (found,) = pushed_twice(cage, moved_cage(cage, {hoop.name: lean}), [PUSH])
    assert found.peak[0] is not None
    assert found.peak[1] is not None
    assert abs(found.peak[1] - found.peak[0]) > 0.01 * found.peak[0]


def test_words_tell_a_real_change_and_what_cannot_be_told():
    words = pushed_words(
        PushedTwice(push="x", peak=(80_000.0, 72_000.0), energy=(None, 900.0), margin=(31.0, 30.4)), "mm"
    )
    assert words == (
        "x: peak 80.0 kN on the plan, 72.0 kN as built; energy cannot be told; "
        "least gap to the people in it 31 mm on the plan, no difference as built"
    )
