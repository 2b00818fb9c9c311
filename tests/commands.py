"""A command as a shell runs it, in a process of its own that need not load the libraries again."""

import os
import subprocess
import sys
import tempfile
from collections.abc import Generator
from contextlib import contextmanager
from multiprocessing import forkserver, get_all_start_methods, get_context
from pathlib import Path

ROOT = Path(__file__).parents[1]


def shell(*words: object, cwd: Path = ROOT) -> subprocess.CompletedProcess[str]:
    """The command's ended run in a fresh process, from the start."""
    command = [sys.executable, "-m", "cagewright", *map(str, words)]
    return subprocess.run(command, cwd=cwd, capture_output=True, text=True, timeout=300)


def typed(*words: object, cwd: Path = ROOT) -> subprocess.CompletedProcess[str]:
    """The command's ended run in a fork of a process that has only loaded the program.

    The tests' own process has threads (the typesetter's, a server's), which a fork of it would wait for.
    """
    if "forkserver" not in get_all_start_methods():
        return shell(*words, cwd=cwd)
    context = get_context("forkserver")
    context.set_forkserver_preload(["preloaded"])
    with on_its_path(Path(__file__).parent):
        forkserver.ensure_running()
    with tempfile.TemporaryDirectory() as folder:
        out, err = Path(folder, "out"), Path(folder, "err")
        said = [str(word) for word in words]
        process = context.Process(target=become_command, args=(said, cwd, out, err, dict(os.environ)))
        process.start()
        process.join(300)
        if process.exitcode is None:
            process.kill()
            raise TimeoutError(" ".join(said))
        return subprocess.CompletedProcess(
            said, process.exitcode, out.read_text("utf-8"), err.read_text("utf-8")
        )


@contextmanager
def on_its_path(folder: Path) -> Generator[None]:
    """What starts meanwhile finds its modules: before 3.13 the fork server is not told of ``sys.path``."""
    before = os.environ.get("PYTHONPATH")
    os.environ["PYTHONPATH"] = os.pathsep.join([str(folder), *([before] if before else [])])
    try:
        yield
    finally:
        os.environ.pop("PYTHONPATH") if before is None else os.environ.update(PYTHONPATH=before)


def become_command(words: list[str], cwd: Path, out: Path, err: Path, environ: dict[str, str]) -> None:
    """Run the command as the interpreter would, and end with its exit code."""
    code = 1
    try:
        for number, path in ((1, out), (2, err)):
            os.dup2(os.open(path, os.O_WRONLY | os.O_CREAT), number)
        sys.stdout, sys.stderr = (os.fdopen(n, "w", encoding="utf-8", closefd=False) for n in (1, 2))
        os.environ.update(environ)
        os.chdir(cwd)
        sys.argv = ["cagewright", *words]
        from cagewright.cli.app import main

        main()
    except SystemExit as ended:
        code = ended.code if isinstance(ended.code, int) else int(ended.code is not None)
    except BaseException:
        sys.excepthook(*sys.exc_info())
    finally:
        sys.stdout.flush()
        sys.stderr.flush()
        os._exit(code)


def has_loaded(module: str) -> bool:
    """Whether this process has loaded the module."""
    return module in sys.modules
