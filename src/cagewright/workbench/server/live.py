"""The one socket of each page: told at once of changes and progress."""

from __future__ import annotations

import asyncio
from typing import Any

from starlette.websockets import WebSocket, WebSocketDisconnect

from cagewright.base.plain import plain
from cagewright.job.history.state import state_of

WAITING = 200
"""Messages that wait for a page; one that falls further behind is let go, and comes back by itself."""


class Live:
    """The sockets of every page, by plan."""

    def __init__(self) -> None:
        """No sockets."""
        self._loop: asyncio.AbstractEventLoop | None = None
        self._queues: dict[str, set[asyncio.Queue[dict[str, Any] | None]]] = {}

    def start(self) -> None:
        """From now on messages go by the running loop."""
        self._loop = asyncio.get_running_loop()

    def tell(self, plan: str, message: dict[str, Any]) -> None:
        """Tell every page of the plan; from any thread."""
        if self._loop is not None and not self._loop.is_closed():
            self._loop.call_soon_threadsafe(self._put, plan, message)

    def _put(self, plan: str, message: dict[str, Any]) -> None:
        for queue in self._queues.get(plan, ()):
            if queue.qsize() < WAITING:
                queue.put_nowait(message)
            elif queue.qsize() == WAITING:
                queue.put_nowait(None)

    async def serve(self, socket: WebSocket) -> None:
        """Serve one page until it goes."""
        plan = socket.query_params.get("plan", "")
        try:
            opened = await asyncio.to_thread(socket.app.state.desk.opened, plan)
        except KeyError:
            await socket.close(1008)
            return
        await socket.accept()
        queue: asyncio.Queue[dict[str, Any] | None] = asyncio.Queue()
        self._queues.setdefault(plan, set()).add(queue)
        queue.put_nowait({"type": "state", "state": plain(state_of(opened))})
        sender = asyncio.create_task(_send_all(socket, queue))
        try:
            while True:  # nothing is expected from the page: only its going is waited for
                await socket.receive_text()
        except (WebSocketDisconnect, KeyError):
            pass
        finally:
            sender.cancel()
            self._queues[plan].discard(queue)


async def _send_all(socket: WebSocket, queue: asyncio.Queue[dict[str, Any] | None]) -> None:
    while (message := await queue.get()) is not None:
        await socket.send_json(message)
    await socket.close(1013)
