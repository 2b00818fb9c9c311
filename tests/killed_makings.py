"""Papers put in place again and again by processes that are killed: one whole set must stand after each."""

import random
import signal
import subprocess
import sys
import time
from pathlib import Path

from cagewright.base.made import made_in

MAKE = """
import sys
from pathlib import Path
from cagewright.base.made import put_together
number = 0
while True:
    number += 1
    said = str(number)
    put_together(Path(sys.argv[1]), {f"{i % 3}/{i}.txt": said.encode() for i in range(60)}, said)
    print(number, flush=True)
"""


def whole_set(folder: Path) -> bool:
    """Whether every file in the folder is of the revision that its list names."""
    made = made_in(folder)
    return (
        made is not None
        and len(made.files) == 60
        and {(folder / name).read_text() for name in made.files} == {made.revision}
    )


def kills(folder: Path, *, times: int, seed: int) -> int:
    """How many makings were killed while they wrote.

    Raises:
        AssertionError: a mixture stood after one.
    """
    chance, killed = random.Random(seed), 0
    for _ in range(times):
        process = subprocess.Popen([sys.executable, "-c", MAKE, folder], stdout=subprocess.PIPE, text=True)
        assert process.stdout
        process.stdout.readline()
        time.sleep(chance.uniform(0.0, 0.1))
        process.kill()
        killed += process.wait() == -signal.SIGKILL
        process.stdout.close()
        assert whole_set(folder), "files of two revisions under one list"
    return killed
