"""The compiled code itself: no read or write outside an array, and no stale kernel from an older run."""

from __future__ import annotations

import os
import pickle
import subprocess
import sys
from copy import copy
from pathlib import Path

import pytest

from cagewright.frame import kernels_beam, kernels_compile, kernels_section
from cagewright.frame.warm import warm_up

BOUNDS = """
import sys
sys.path.insert(0, {tests!r})
import numpy as np
from frame_cases import model_of, portal_data
from test_ties import jointed
from test_contact import posts, flat_platen
from test_fall import arch, platen
from test_ties import on_turning_springs
from cagewright.frame.continuation import Steps
from cagewright.frame.travel import push_point
from cagewright.frame.linear import solve_linear
from cagewright.frame.contact import push_with
model = model_of(portal_data())
assert push_point(model, node=22, direction=np.array([0, -1.0, 0]), target=60.0).reached
joint = jointed(capacity=(1e5, 4e5, 3e5))
assert push_point(joint, node=2, direction=np.array([0, 0, -1.0]), target=5.0).reached
assert push_with(posts()[0], press=flat_platen(), target=5.0, steps=Steps(size=1.0)).reached
assert push_with(arch(1e5), press=platen(), target=70.0, steps=Steps(size=3.0, smallest=1e-4)).reached
assert push_point(on_turning_springs(), node=2, direction=np.array([0, 1.0, -1.0]), target=5.0).reached
print("within bounds")
"""


@pytest.mark.slow
def test_small_frames_run_with_bounds_checked(tmp_path):
    here = str(Path(__file__).parent)
    env = {**os.environ, "NUMBA_BOUNDSCHECK": "1", "NUMBA_CACHE_DIR": str(tmp_path)}
    done = subprocess.run(
        [sys.executable, "-c", BOUNDS.format(tests=here)],
        env=env,
        capture_output=True,
        text=True,
        timeout=600,
        check=False,
    )
    assert "within bounds" in done.stdout, done.stderr


def test_every_kernel_cache_is_stamped_with_all_kernel_files():
    names = {name for name, *_ in kernels_compile.STAMP}
    assert {"kernels_beam.py", "kernels_section.py", "kernels_ldl.py"} <= names
    for kernel in (kernels_beam.beams_pass, kernels_section.two_line_ring):
        assert kernel._cache._cache_file._version[1] == kernels_compile.STAMP


def test_an_older_cache_that_names_classes_which_are_gone_is_not_read(tmp_path):
    store = kernels_beam.beams_pass._cache._cache_file
    index = tmp_path / "old.nbi"
    gone = b"cno_such_module\nGone\n."
    index.write_bytes(pickle.dumps(("other", store._version[1])) + gone)
    older = copy(store)
    older._index_path = str(index)
    assert older._load_index() == {}
    index.write_bytes(pickle.dumps(store._version) + gone)
    with pytest.raises(ModuleNotFoundError):
        older._load_index()


def test_warm_up_tells_how_far_it_is():
    told: list[tuple[int, int, str]] = []
    warm_up(lambda done, whole, what: told.append((done, whole, what)))
    assert told[0][0] == 0
    assert told[-1][0] == told[-1][1]
    assert all(words for *_, words in told)
