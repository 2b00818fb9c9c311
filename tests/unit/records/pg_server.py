"""A PostgreSQL server of our own for a test: made in a temporary folder, stopped at the end."""

import os
import pwd
import shutil
import socket
import subprocess
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

USERS = ("postgres", "nobody")
"""Who runs it where the tests run as root, whom PostgreSQL refuses; the first that there is."""


def programs() -> Path | None:
    """The folder of the newest server's programs; None where none is installed."""
    found = sorted(Path("/usr/lib/postgresql").glob("*/bin/initdb"), key=lambda p: int(p.parts[-3]))
    if found:
        return found[-1].parent
    on_path = shutil.which("initdb")
    return Path(on_path).resolve().parent if on_path else None


def free_port() -> int:
    with socket.socket() as held:
        held.bind(("127.0.0.1", 0))
        return held.getsockname()[1]


def someone() -> pwd.struct_passwd | None:
    """The user to run as; None for the one the tests run as."""
    if os.geteuid() != 0:
        return None
    known = {user.pw_name: user for user in pwd.getpwall()}
    return next(known[name] for name in USERS if name in known)


def run(user: pwd.struct_passwd | None, *words: str, cwd: Path) -> None:
    drop = {} if user is None else {"user": user.pw_uid, "group": user.pw_gid, "extra_groups": ()}
    env = {**os.environ, "LC_ALL": "C", "HOME": str(cwd)}
    done = subprocess.run(words, cwd=cwd, env=env, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, **drop)
    if done.returncode:
        raise RuntimeError(done.stderr.decode(errors="replace")[-2000:])


@contextmanager
def serving(folder: Path, bin_folder: Path) -> Iterator[str]:
    """The address of a server that runs in the folder; it listens on the machine's own address only."""
    user = someone()
    if user is not None:
        os.chown(folder, user.pw_uid, user.pw_gid)
    data, port = folder / "data", free_port()
    run(
        user,
        str(bin_folder / "initdb"),
        "-D",
        str(data),
        "-U",
        "bench",
        "-A",
        "trust",
        "-E",
        "UTF8",
        cwd=folder,
    )
    options = f"-p {port} -c listen_addresses=127.0.0.1 -c unix_socket_directories= -c max_connections=20"
    control = str(bin_folder / "pg_ctl")
    run(user, control, "-D", str(data), "-w", "-l", str(folder / "log"), "-o", options, "start", cwd=folder)
    try:
        yield f"postgresql://bench@127.0.0.1:{port}/postgres"
    finally:
        run(user, control, "-D", str(data), "-w", "-m", "immediate", "stop", cwd=folder)
