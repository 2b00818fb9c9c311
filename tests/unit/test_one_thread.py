"""However Cagewright is entered, its linear algebra has one thread: the libraries themselves are asked."""

import json
import os
import subprocess
import sys
import sysconfig
from pathlib import Path
from textwrap import indent

import numpy as np
import pytest
import scipy.linalg
from threadpoolctl import threadpool_info

ROOT = Path(__file__).parents[2]
PLAN = ROOT / "examples" / "roll-bar.yaml"
SAID = "the pools: "

TELL = f"""
import json, sys
def tell(pools):
    print({SAID!r} + json.dumps([(p["internal_api"], p["num_threads"]) for p in pools]), flush=True)
"""
AT_THE_END = """
import atexit
from threadpoolctl import threadpool_info
atexit.register(lambda: tell(threadpool_info()))
"""
ENTRIES = {
    "the command": AT_THE_END + f"""
import runpy
sys.argv = ["cagewright", "check", {str(PLAN)!r}]
runpy.run_path({sysconfig.get_path("scripts")!r} + "/cagewright", run_name="__main__")
""",
    "python -m": AT_THE_END + f"""
import runpy
sys.argv = ["cagewright", "check", {str(PLAN)!r}]
runpy.run_module("cagewright", run_name="__main__")
""",
    "a core of a study": """
from cagewright.compare.pool import cores
from workbench_works import pools
with cores(2) as pool:
    tell(pool.submit(pools, None, {}, None).result())
""",
    "a cluster's worker": """
from cagewright.compare.pool import cluster
from workbench_works import pools
with cluster() as pool:
    tell(pool.submit(pools, None, {}, None).result())
""",
    "the workbench's worker": f"""
import time
from pathlib import Path
from cagewright.workbench.longwork.worker import Task, Worker
plan = Path({str(PLAN)!r})
works, task = Worker(lambda name, message: None), Task(plan="plan", number=1, kind="pools")
works.start(task, "workbench_works:pools", plan.read_bytes(), plan, {{}})
while not task.over:
    time.sleep(0.05)
works.close()
tell(json.loads(task.result))
""",
    "the server": """
import os, signal, socket, threading, time
from pathlib import Path
from threadpoolctl import threadpool_info
from cagewright.workbench.server.serve import Asked, serve
def look():
    tell(threadpool_info())
    os.kill(os.getpid(), signal.SIGINT)
folder = Path(sys.argv[1])
serve(Asked(place=folder, port=0, browser=False), lambda words: threading.Timer(0.5, look).start())
""",
}  # fmt: skip


QUICK = {"the command", "the server"}
"""The others start processes of their own, each of which loads the libraries again."""


@pytest.mark.parametrize(
    "entry", [pytest.param(e, marks=() if e in QUICK else pytest.mark.slow) for e in ENTRIES]
)
def test_every_entry_has_one_thread(entry: str, tmp_path: Path):
    free = {k: v for k, v in os.environ.items() if not k.endswith("_NUM_THREADS")}
    free["PYTHONPATH"] = os.pathsep.join([str(ROOT / "tests"), *filter(None, [free.get("PYTHONPATH")])])
    script = tmp_path / "entry.py"
    begun = f'if __name__ == "__main__":\n{indent(ENTRIES[entry], "    ")}'  # workers read the script again
    script.write_text(TELL + begun, encoding="utf-8")
    (tmp_path / "shop").mkdir()
    ended = subprocess.run(
        [sys.executable, script, tmp_path / "shop"], env=free, cwd=tmp_path, capture_output=True, text=True,
        timeout=120,
    )  # fmt: skip
    said = [x.removeprefix(SAID) for x in ended.stdout.splitlines() if x.startswith(SAID)]
    assert len(said) == 1, f"{ended.stdout}\n{ended.stderr}"
    pools = json.loads(said[0])
    assert pools
    assert all(threads == 1 for _, threads in pools), pools


def test_the_tests_have_one_thread():
    assert (np.eye(2) @ scipy.linalg.inv(np.eye(2)) == np.eye(2)).all()
    pools = threadpool_info()
    assert pools
    assert all(p["num_threads"] == 1 for p in pools), pools
