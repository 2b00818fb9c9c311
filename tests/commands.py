"""A command as a shell runs it, in a process of its own that need not load the libraries again."""

import os
import subprocess
import sys
import tempfile
from pathlib import Path

from cagewright.cli.app import main

ROOT = Path(__file__).parents[1]


def shell(*words: object, cwd: Path = ROOT) -> subprocess.CompletedProcess[str]:
    """The command's ended run in a fresh process, from the start."""
    command = [sys.executable, "-m", "cagewright", *map(str, words)]
    return subprocess.run(command, cwd=cwd, capture_output=True, text=True, timeout=300)


def typed(*words: object, cwd: Path = ROOT) -> subprocess.CompletedProcess[str]:
    """The command's ended run in a copy of this process: its own exit code and output, sooner."""
    if not hasattr(os, "fork"):
        return shell(*words, cwd=cwd)
    with tempfile.TemporaryFile() as out, tempfile.TemporaryFile() as err:
        sys.stdout.flush()
        process = os.fork()
        if not process:
            _become_command([str(word) for word in words], cwd, out.fileno(), err.fileno())
        _, status = os.waitpid(process, 0)
        said = [_read(file) for file in (out, err)]
    return subprocess.CompletedProcess(list(words), os.waitstatus_to_exitcode(status), *said)


def _become_command(words: list[str], cwd: Path, out: int, err: int) -> None:
    """Run the command as the interpreter would, and end with its exit code."""
    code = 1
    try:
        os.dup2(out, 1)
        os.dup2(err, 2)
        sys.stdout, sys.stderr = (os.fdopen(n, "w", encoding="utf-8", closefd=False) for n in (1, 2))
        os.chdir(cwd)
        sys.argv = ["cagewright", *words]
        main()
    except SystemExit as ended:
        code = ended.code if isinstance(ended.code, int) else int(ended.code is not None)
    except BaseException:
        sys.excepthook(*sys.exc_info())
    finally:
        sys.stdout.flush()
        sys.stderr.flush()
        os._exit(code)


def _read(file) -> str:
    file.seek(0)
    return file.read().decode("utf-8")
