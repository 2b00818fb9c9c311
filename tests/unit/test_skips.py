"""No skip is silent: one that tests/allowed_skips.toml does not allow fails the run."""

import subprocess
import sys
from pathlib import Path

import pytest

from skips import ALLOWED, allowed

TESTS = Path(__file__).parents[1]


@pytest.mark.parametrize(
    "text",
    [
        "import pytest\ndef test_it():\n    pytest.skip('no time today')\n",
        "import pytest\npytest.importorskip('no_such_module')\ndef test_it(): pass\n",
        "import pytest\n@pytest.fixture\ndef it():\n    pytest.skip('none')\ndef test_it(it): pass\n",
    ],
    ids=["in a test", "of a module", "in a fixture"],
)
def test_a_skip_without_a_reason_on_the_list_fails_the_run(text: str, tmp_path: Path):
    (tmp_path / "test_skips.py").write_text(text, encoding="utf-8")
    plain = ["-p", "no:cacheprovider", "-p", "no:xdist", "-c", TESTS.parent / "pyproject.toml"]
    ended = subprocess.run(
        [sys.executable, "-m", "pytest", *plain, "-p", "conftest", tmp_path],
        cwd=TESTS, capture_output=True, text=True,
    )  # fmt: skip
    assert ended.returncode in {1, 2}, ended.stdout + ended.stderr
    assert "not a skip that tests/allowed_skips.toml allows" in ended.stdout


def test_the_list_allows_what_it_says_and_no_more():
    assert allowed("tests/unit/test_job.py::test_a", "Skipped: permissions do not bind here", ci=True)
    assert not allowed("tests/unit/test_job.py::test_a", "no time", ci=True)
    assert allowed("tests/browser/test_a.py::test_b", "there is no Chromium here (on Debian)", ci=False)
    assert not allowed("tests/browser/test_a.py::test_b", "there is no Chromium here (on Debian)", ci=True)


def test_every_entry_says_why_and_its_test_is_there():
    for row in ALLOWED:
        assert row["why"]
        assert list(TESTS.parent.glob(row["test"].partition("::")[0])), row["test"]
