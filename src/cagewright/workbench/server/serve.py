"""Serving the workbench on this machine: which port, to whom, and opening the browser."""

from __future__ import annotations

import os
import secrets
import socket
import threading
import webbrowser
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

import uvicorn

from cagewright.base.problems import Problem, ProblemsFound, Where
from cagewright.workbench.server.app import make_app
from cagewright.workbench.server.errors import log_to
from cagewright.workbench.server.guard import Guard, Rules, hosts_of
from cagewright.workbench.shopfolder.desk import INSIDE, Desk

PORT = 8253
"""The port that is tried first."""
LOOPBACK = frozenset({"127.0.0.1", "localhost", "::1"})


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """What `open` was asked for.

    Attributes:
        place: a plan file or a shop folder.
        host: the address to listen on.
        port: the port; None for the first free one.
        browser: whether to open the browser.
    """

    place: Path
    host: str = "127.0.0.1"
    port: int | None = None
    browser: bool = True


def serve(asked: Asked, say: Callable[[str], None]) -> None:
    """Serve the workbench until it is ended from the keyboard.

    Args:
        asked: what for.
        say: told the address, and whatever the builder has to know.

    Raises:
        ProblemsFound: there is no such place, it cannot be written to, or the port is taken.
    """
    desk = desk_of(asked.place)
    log_to(desk.folder / INSIDE / "workbench.log")
    listening = _listen(asked)
    port = int(listening.getsockname()[1])
    token = None if asked.host in LOOPBACK else secrets.token_urlsafe(24)
    rules = Rules(hosts=hosts_of(_names(asked.host), port), token=token, port=port)
    address = _address(asked, port, token, desk)
    say(f"The workbench is at {address}  (Ctrl-C ends it; every edit is saved)")
    app = Guard(make_app(desk), rules)
    config = uvicorn.Config(
        app,
        log_config=None,
        access_log=False,
        server_header=False,
        timeout_graceful_shutdown=2,
        timeout_keep_alive=60,
        ws_max_size=65_536,
        h11_max_incomplete_event_size=65_536,
        lifespan="on",
    )
    if asked.browser:
        threading.Timer(0.3, webbrowser.open, [address]).start()
    with suppress(KeyboardInterrupt):  # raised again by the server once it has ended well
        uvicorn.Server(config).run(sockets=[listening])


def desk_of(place: Path) -> Desk:
    """The desk of a shop folder, or of the folder that a plan is in.

    Raises:
        ProblemsFound: there is no such place, or it cannot be written to.
    """
    if place.is_dir():
        return Desk(place)
    if place.is_file():
        return Desk(place.resolve().parent, place)
    found, wanted = f"there is no file or folder {place}", "wanted a plan file or a shop folder"
    raise ProblemsFound([Problem(code="no-file", where=Where(file=str(place)), found=found, wanted=wanted)])


def _listen(asked: Asked) -> socket.socket:
    """A listening socket: on the port asked for, else the usual one, else any free one.

    Raises:
        ProblemsFound: none can be had.
    """
    ports = (asked.port,) if asked.port is not None else (PORT, 0)
    wrong: OSError | None = None
    for port in ports:
        try:
            return listen_at(asked.host, port)
        except OSError as refused:
            wrong = refused
    found = f"nothing can listen at {asked.host} port {ports[0]} ({wrong and (wrong.strerror or wrong)})"
    wanted = "wanted a free port: give another with --port"
    raise ProblemsFound([Problem(code="port", where=Where(file=asked.host), found=found, wanted=wanted)])


def listen_at(host: str, port: int) -> socket.socket:
    """A listening socket whose answers go out at once.

    Raises:
        OSError: nothing can listen there.
    """
    family = socket.AF_INET6 if ":" in host else socket.AF_INET
    # with the protocol left at 0 asyncio does not know it for TCP, and each answer waits 40 ms for the next
    listening = socket.socket(family, socket.SOCK_STREAM, socket.IPPROTO_TCP)
    try:
        if os.name == "posix":
            listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        listening.bind((host, port))
        listening.listen(128)
    except OSError:
        listening.close()
        raise
    return listening


def _names(host: str) -> set[str]:
    """The names by which the browser may ask for this machine."""
    if host in LOOPBACK:
        return set(LOOPBACK)
    names = {host, socket.gethostname().lower(), f"{socket.gethostname().lower()}.local"}
    if host in {"0.0.0.0", "::"}:
        names |= LOOPBACK | own_addresses()
    return names


def own_addresses() -> set[str]:
    """This machine's addresses in the shop's network; nothing is sent to find them."""
    found: set[str] = set()
    for family, far in ((socket.AF_INET, "192.0.2.1"), (socket.AF_INET6, "2001:db8::1")):
        try:
            with socket.socket(family, socket.SOCK_DGRAM) as probe:
                probe.connect((far, 9))  # a datagram socket only chooses the way, and sends nothing
                found.add(str(probe.getsockname()[0]))
        except OSError:
            continue
    return found


def _address(asked: Asked, port: int, token: str | None, desk: Desk) -> str:
    host = asked.host
    if host in {"0.0.0.0", "::"}:
        host = min(own_addresses() or {"127.0.0.1"})
    named = f"[{host}]" if ":" in host else host
    path = f"/plans/{desk.first}/cage" if desk.first else "/"
    return f"http://{named}:{port}{path}" + (f"?token={token}" if token else "")
