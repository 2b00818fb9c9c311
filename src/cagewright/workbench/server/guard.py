"""What stands before every request: who may ask, from where, how much; and what every answer carries."""

from __future__ import annotations

import hmac
import json
import logging
import re
from collections.abc import Awaitable, Callable, Iterable, MutableMapping
from dataclasses import dataclass
from http.cookies import CookieError, SimpleCookie
from typing import Any
from urllib.parse import parse_qs, quote, urlencode

from starlette.exceptions import HTTPException

Scope = MutableMapping[str, Any]
Message = MutableMapping[str, Any]
Receive = Callable[[], Awaitable[Message]]
Send = Callable[[Message], Awaitable[None]]
App = Callable[[Scope, Receive, Send], Awaitable[None]]

LOG = logging.getLogger("cagewright.workbench")
MARK = b"x-cagewright"
"""A write without an Origin, from a program that is no browser, has to carry this header; a page of another
site cannot send it without asking first, and is refused then."""
READS = frozenset({"GET", "HEAD"})
MOST_BODY = 1_100_000
"""Largest body of a request, bytes: a plan's text as JSON."""
MOST_SCAN = 256_000_000
"""Largest scan sent to the workbench, bytes."""
MOST_PHOTO = 12_000_000
"""Largest photo sent to the workbench, bytes; the page makes a phone's photo smaller first."""
_LARGER = {
    r"/api/plans/[^/]+/scan": MOST_SCAN,
    r"/api/plans/[^/]+/fitup/photos/[^/]+": MOST_PHOTO,
}
POLICY = "; ".join((
    "default-src 'self'",
    "object-src 'none'",
    "base-uri 'none'",
    "form-action 'self'",
    "frame-ancestors 'none'",
))
HEADERS = (
    (b"content-security-policy", POLICY.encode()),
    (b"x-content-type-options", b"nosniff"),
    (b"referrer-policy", b"no-referrer"),
    (b"cross-origin-opener-policy", b"same-origin"),
    (b"cross-origin-resource-policy", b"same-origin"),
    (b"permissions-policy", b"camera=(), microphone=(), geolocation=(), payment=(), usb=()"),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Rules:
    """Who may ask.

    Attributes:
        hosts: the values of Host that are answered, each with its port where that is not 80.
        token: what has to be shown; None where the workbench listens on this machine only.
        port: where it listens.
    """

    hosts: frozenset[str]
    token: str | None = None
    port: int = 0

    @property
    def cookie(self) -> str:
        """The name of the cookie that holds the token: servers on one machine share their cookies."""
        return f"cagewright_{self.port}" if self.port else "cagewright"


def hosts_of(names: Iterable[str], port: int) -> frozenset[str]:
    """The values of Host by which a server of those names and that port is asked."""
    said = {f"[{name}]" if ":" in name else name.lower() for name in names}
    return frozenset({f"{name}:{port}" for name in said} | (said if port == 80 else set[str]()))


class Guard:
    """The app behind its guard."""

    def __init__(self, app: App, rules: Rules) -> None:
        """The app, reached by the rules only."""
        self._app, self._rules = app, rules

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer, or refuse."""
        if scope["type"] == "http":
            await self._http(scope, receive, send)
        elif scope["type"] == "websocket":
            await self._socket(scope, receive, send)
        else:
            await self._app(scope, receive, send)

    async def _http(self, scope: Scope, receive: Receive, send: Send) -> None:
        heads = Heads(scope)
        guarded = _with_headers(scope, send)
        shown = _shown(scope)
        why = _host_wrong(heads, self._rules) or _origin_wrong(heads, self._rules, scope["method"])
        if why is not None:
            await _refuse(guarded, scope, 403, why, close=scope["method"] not in READS)
        elif self._rules.token and shown is not None and _same(shown, self._rules.token):
            await _let_in(guarded, scope, self._rules)
        elif not _known(heads, self._rules):
            words = "Open the link that the workbench printed at its start."
            await _refuse(guarded, scope, 401, words, close=scope["method"] not in READS)
        else:
            await self._measured(scope, heads, receive, guarded)

    async def _measured(self, scope: Scope, heads: Heads, receive: Receive, send: Send) -> None:
        most = _limit(scope["path"])
        declared = heads.one(b"content-length")
        if declared is not None and (not declared.isdigit() or int(declared) > most):
            await _refuse(send, scope, 413, _too_much(most), close=True)
        else:
            await self._answered(scope, _measuring(receive, most), send)

    async def _answered(self, scope: Scope, receive: Receive, send: Send) -> None:
        """The app's answer; a mistake of the program that is answered in words already ends here.

        Passed on, it would close the line under the page's next request.
        """
        told = False

        async def watched(message: Message) -> None:
            nonlocal told
            await send(message)
            told = message["type"] == "http.response.body" and not message.get("more_body", False)

        try:
            await self._app(scope, receive, watched)
        except Exception as wrong:
            if not told:
                raise
            LOG.error("after the answer to %s", scope["path"], exc_info=wrong)

    async def _socket(self, scope: Scope, receive: Receive, send: Send) -> None:
        heads = Heads(scope)
        wrong = _host_wrong(heads, self._rules) or _origin_wrong(heads, self._rules, "WEBSOCKET")
        if wrong is None and _known(heads, self._rules):
            await self._app(scope, receive, send)
        else:
            await receive()
            await send({"type": "websocket.close", "code": 1008, "reason": "refused"})


class Heads:
    """The headers of a request."""

    def __init__(self, scope: Scope) -> None:
        """Its headers."""
        self._all: list[tuple[bytes, bytes]] = scope["headers"]

    def one(self, name: bytes) -> str | None:
        """The header's value; None where it is not there, empty where it is there twice."""
        found = [value for key, value in self._all if key == name]
        return None if not found else found[0].decode("latin-1") if len(found) == 1 else ""

    def every(self, name: bytes) -> list[str]:
        """Every value of the header."""
        return [value.decode("latin-1") for key, value in self._all if key == name]


def _host_wrong(heads: Heads, rules: Rules) -> str | None:
    host = heads.one(b"host")
    if host is None or host.lower() not in rules.hosts:
        return "The workbench does not answer to that name; open the address it printed."
    return None


def _origin_wrong(heads: Heads, rules: Rules, method: str) -> str | None:
    """Why a write, or a socket, does not come from the workbench's own pages."""
    if method in READS:
        return None
    origin, site = heads.one(b"origin"), heads.one(b"sec-fetch-site")
    if site not in {None, "same-origin"}:
        return "Only the workbench's own pages may change a plan."
    if origin is None:
        own = heads.one(MARK) is not None and method != "WEBSOCKET"
        return None if own else "A program that is no browser has to say X-Cagewright: 1."
    if origin.lower() not in {f"http://{host}" for host in rules.hosts}:
        return "Only the workbench's own pages may change a plan."
    return None


def _known(heads: Heads, rules: Rules) -> bool:
    if rules.token is None:
        return True
    for said in heads.every(b"cookie"):
        try:
            held = SimpleCookie(said).get(rules.cookie)
        except CookieError:
            continue
        if held is not None and _same(held.value, rules.token):
            return True
    return False


def _same(shown: str, token: str) -> bool:
    return hmac.compare_digest(shown.encode(), token.encode())


def _shown(scope: Scope) -> str | None:
    """The token in the address."""
    asked = parse_qs(scope.get("query_string", b"").decode("latin-1"))
    return asked["token"][0] if scope["method"] == "GET" and "token" in asked else None


async def _let_in(send: Send, scope: Scope, rules: Rules) -> None:
    """Keep the token in a cookie, and the address without it."""
    asked = parse_qs(scope["query_string"].decode("latin-1"))
    rest = urlencode({k: v for k, v in asked.items() if k != "token"}, doseq=True)
    path = quote("/" + scope["path"].lstrip("/\\"))
    cookie = f"{rules.cookie}={rules.token}; HttpOnly; SameSite=Strict; Path=/; Max-Age=2592000"
    headers = [
        (b"location", (path + (f"?{rest}" if rest else "")).encode()),
        (b"set-cookie", cookie.encode()),
        (b"cache-control", b"no-store"),
    ]
    await send({"type": "http.response.start", "status": 303, "headers": headers})
    await send({"type": "http.response.body", "body": b""})


def _limit(path: str) -> int:
    """The largest body at that address, bytes."""
    return next((most for at, most in _LARGER.items() if re.fullmatch(at, path)), MOST_BODY)


def _too_much(most: int) -> str:
    return f"More than {most // 1_000_000} MB is not taken here."


def _measuring(receive: Receive, most: int) -> Receive:
    """``receive``, stopped where more comes than may."""
    taken = 0

    async def measured() -> Message:
        nonlocal taken
        message = await receive()
        taken += len(message.get("body", b""))
        if taken > most:
            raise HTTPException(413, _too_much(most), {"connection": "close"})
        return message

    return measured


def _with_headers(scope: Scope, send: Send) -> Send:
    """``send``, each answer with the headers that keep it safe."""

    async def guarded(message: Message) -> None:
        if message["type"] == "http.response.start":
            held = list(message.get("headers", []))
            names = {name.lower() for name, _ in held}
            held += [(name, value) for name, value in HEADERS if name not in names]
            if b"cache-control" not in names:
                stays = b"no-cache" if scope["path"].startswith("/static/") else b"no-store"
                held.append((b"cache-control", stays))
            message = {**message, "headers": held}
        await send(message)

    return guarded


async def _refuse(send: Send, scope: Scope, status: int, words: str, *, close: bool = False) -> None:
    """Words, as data where data was asked for; the line is closed where a body may still be on it."""
    as_data = scope["path"].startswith("/api/")
    kind = b"application/json" if as_data else b"text/plain; charset=utf-8"
    words = json.dumps({"error": words}) if as_data else words
    headers = [(b"content-type", kind)]
    if close:
        headers.append((b"connection", b"close"))
    await send({"type": "http.response.start", "status": status, "headers": headers})
    await send({"type": "http.response.body", "body": words.encode()})
