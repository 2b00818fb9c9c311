"""Who may ask, from where and how much: each door shut, and one case that goes through beside it."""

import socket
from collections.abc import Iterator
from pathlib import Path

import httpx
import pytest
import websockets
from websockets.sync.client import connect

from cagewright.workbench.server import guard
from cagewright.workbench.server.guard import POLICY, hosts_of
from deskside import Bench, raised, served


@pytest.fixture
def locked(folder: Path) -> Iterator[Bench]:
    with served(folder, token="open-sesame-42") as found:
        yield found


def test_the_pages_are_answered_by_this_machines_names(bench: Bench):
    for name in ("127.0.0.1", "localhost", "LOCALHOST"):
        assert bench.get("/api/plans/plan", headers={"host": f"{name}:{bench.port}"}).status_code == 200


@pytest.mark.parametrize(
    "host",
    ["evil.example", "evil.example:{port}", "127.0.0.1", "localhost:1", "127.0.0.1.evil.example:{port}", ""],
)
def test_a_foreign_host_is_refused(bench: Bench, host: str):
    for path in ("/", "/api/plans/plan", "/static/look.css"):
        answer = bench.get(path, headers={"host": host.format(port=bench.port)})
        assert answer.status_code == 403
        words = answer.json()["error"] if path.startswith("/api/") else answer.text
        assert "address" in words


def test_two_hosts_are_refused(bench: Bench):
    lines = (
        f"GET /api/plans/plan HTTP/1.1\r\nHost: 127.0.0.1:{bench.port}\r\nHost: 127.0.0.1:{bench.port}\r\n"
        "Connection: close\r\n\r\n"
    )
    with socket.create_connection(("127.0.0.1", bench.port)) as line:
        line.sendall(lines.encode())
        assert line.recv(65536).split(b" ")[1] in {b"400", b"403"}


@pytest.mark.parametrize(
    "origin",
    [
        "http://evil.example",
        "null",
        "https://127.0.0.1:{port}",
        "http://127.0.0.1:1",
        "http://127.0.0.1:{port}.evil.example",
        "",
    ],
)
def test_a_write_from_a_foreign_origin_is_refused(bench: Bench, folder: Path, origin: str):
    before = (folder / "plan.yaml").read_bytes()
    heads = {"origin": origin.format(port=bench.port), "if-match": '"1"'}
    answer = bench.client.post("/api/plans/plan/edits", json=raised(320), headers=heads)
    assert answer.status_code == 403
    assert (folder / "plan.yaml").read_bytes() == before


@pytest.mark.parametrize("method", ["POST", "PUT", "DELETE", "PATCH", "OPTIONS"])
def test_every_way_of_writing_needs_an_origin(bench: Bench, method: str):
    with httpx.Client(base_url=bench.url) as plain:
        assert plain.request(method, "/api/plans/plan/edits").status_code == 403


def test_a_program_that_says_so_may_write(bench: Bench):
    with httpx.Client(base_url=bench.url, headers={"x-cagewright": "1", "if-match": '"1"'}) as plain:
        assert bench.state()["number"] == 1
        assert plain.post("/api/plans/plan/edits", json=raised(320)).status_code == 200


def test_a_browser_on_another_site_may_not_write_even_with_the_mark(bench: Bench):
    heads = {"x-cagewright": "1", "sec-fetch-site": "cross-site", "if-match": '"1"'}
    with httpx.Client(base_url=bench.url, headers=heads) as plain:
        assert plain.post("/api/plans/plan/edits", json=raised(320)).status_code == 403


def test_the_socket_is_for_own_pages_only(bench: Bench):
    address = f"ws://127.0.0.1:{bench.port}/live?plan=plan"
    with connect(address, origin=bench.url) as line:
        assert '"type":"state"' in str(line.recv(timeout=20)).replace(" ", "")
    for wrong in ({"origin": "http://evil.example"}, {}, {"origin": "null"}):
        with pytest.raises(websockets.InvalidStatus) as refused:
            connect(address, **wrong)
        assert refused.value.response.status_code == 403
    with pytest.raises(websockets.InvalidStatus):
        connect(address, additional_headers={"x-cagewright": "1"})


def test_the_socket_of_no_plan_is_closed(bench: Bench):
    with pytest.raises(websockets.InvalidStatus):
        connect(f"ws://127.0.0.1:{bench.port}/live?plan=none", origin=bench.url)


def test_the_token_opens_and_nothing_else_does(locked: Bench):
    for path in ("/", "/api/plans/plan", "/static/look.css"):
        assert locked.get(path).status_code == 401
        assert (
            locked.get(path, headers={"cookie": f"cagewright_{locked.port}=open-sesame-43"}).status_code
            == 401
        )
        assert locked.get(f"{path}?token=open-sesame-4").status_code == 401
    with pytest.raises(websockets.InvalidStatus):
        connect(f"ws://127.0.0.1:{locked.port}/live?plan=plan", origin=locked.url)
    answer = locked.get("/api/plans/plan?token=open-sesame-42&x=1")
    assert answer.status_code == 303
    assert answer.headers["location"] == "/api/plans/plan?x=1"
    cookie = answer.headers["set-cookie"]
    assert "HttpOnly" in cookie
    assert "SameSite=Strict" in cookie
    assert locked.get("/api/plans/plan").status_code == 200
    held = {"cookie": f"cagewright_{locked.port}=open-sesame-42"}
    with connect(f"ws://127.0.0.1:{locked.port}/live?plan=plan", origin=locked.url, additional_headers=held):
        pass


def test_the_token_does_not_open_from_a_foreign_host(locked: Bench):
    answer = locked.get("/?token=open-sesame-42", headers={"host": "evil.example"})
    assert answer.status_code == 403
    assert "set-cookie" not in answer.headers


def test_a_link_does_not_lead_elsewhere(locked: Bench):
    for path in (b"//evil.example/", b"/%5cevil.example/", b"/%2f%5C/evil.example/"):
        with socket.create_connection(("127.0.0.1", locked.port)) as line:
            line.sendall(
                b"GET " + path + b"?token=open-sesame-42 HTTP/1.1\r\n"
                + f"Host: 127.0.0.1:{locked.port}\r\nConnection: close\r\n\r\n".encode()
            )  # fmt: skip
            said = _all_of(line).decode()
        assert "location: /evil.example/" in said.lower(), path


def test_who_is_not_let_in_sends_nothing(locked: Bench):
    """The line is closed after the refusal, so that a body of any size ends there."""
    with socket.create_connection(("127.0.0.1", locked.port)) as line:
        line.sendall(
            b"PUT /api/plans/plan/scan?name=x.stl HTTP/1.1\r\nX-Cagewright: 1\r\n"
            + f"Host: 127.0.0.1:{locked.port}\r\nContent-Length: 200000000\r\n\r\n".encode()
        )
        said = _all_of(line).decode()
    assert " 401 " in said.splitlines()[0]
    assert "connection: close" in said.lower()


def test_too_much_is_refused_before_it_is_read(bench: Bench):
    """Declared: the answer comes although not one byte of the body was sent."""
    with socket.create_connection(("127.0.0.1", bench.port)) as line:
        line.settimeout(20)
        line.sendall(_head(bench, f"Content-Length: {guard.MOST_BODY + 1}"))
        said = _all_of(line)
        assert b" 413 " in said.split(b"\r\n")[0]
        assert b'{"error"' in said


def test_too_much_in_pieces_is_refused(bench: Bench):
    """Chunked: the answer comes soon after the limit, and the line is closed."""
    piece = b"10000\r\n" + b"x" * 0x10000 + b"\r\n"
    sent = 0
    with socket.create_connection(("127.0.0.1", bench.port)) as line:
        line.settimeout(20)
        line.sendall(_head(bench, "Transfer-Encoding: chunked"))
        try:
            while sent < 40 * guard.MOST_BODY:
                line.sendall(piece)
                sent += 0x10000
        except OSError:  # the server has closed the line
            pass
        try:
            said = line.recv(65536)
        except ConnectionResetError:
            said = b""
    assert sent < 40 * guard.MOST_BODY
    assert not said or b" 413 " in said.split(b"\r\n")[0]


def test_just_too_much_in_pieces_is_told(bench: Bench):
    pieces = (b"x" * 0x8000 for _ in range(guard.MOST_BODY // 0x8000 + 2))
    answer = bench.client.post("/api/plans/plan/edits", content=pieces, headers={"if-match": '"1"'})
    assert answer.status_code == 413
    assert "error" in answer.json()


def test_only_a_scan_may_be_large(bench: Bench):
    for path in ("/api/plans/plan/shell/scan", "/api/plans/a/b/scan", "/scan", "/api/plans/scan"):
        with socket.create_connection(("127.0.0.1", bench.port)) as line:
            line.settimeout(20)
            line.sendall(_head(bench, f"Content-Length: {guard.MOST_BODY + 1}", path))
            assert b" 413 " in line.recv(65536).split(b"\r\n")[0]


def test_a_body_just_within_the_limit_is_read(bench: Bench):
    body = b'{"do": "no-such", "x": "' + b"x" * 900_000 + b'"}'
    answer = bench.client.post("/api/plans/plan/edits", content=body, headers={"if-match": '"1"'})
    assert answer.status_code == 422


def _all_of(line: socket.socket) -> bytes:
    """Everything that comes until the other side closes the line."""
    said = b""
    while piece := line.recv(65536):
        said += piece
    return said


def _head(bench: Bench, length: str, path: str = "/api/plans/plan/edits") -> bytes:
    return (
        f"POST {path} HTTP/1.1\r\nHost: 127.0.0.1:{bench.port}\r\nOrigin: {bench.url}\r\n"
        f'If-Match: "1"\r\n{length}\r\n\r\n'
    ).encode()


def test_every_answer_is_kept_safe(bench: Bench):
    for path in ("/", "/api/plans/plan", "/static/none.js", "/nowhere", "/api/nowhere"):
        heads = bench.get(path).headers
        assert heads["content-security-policy"] == POLICY
        assert heads["x-content-type-options"] == "nosniff"
        assert heads["referrer-policy"] == "no-referrer"
        assert "server" not in heads
        assert "access-control-allow-origin" not in heads
    assert bench.get("/api/plans/plan").headers["cache-control"] == "no-store"


def test_the_policy_lets_no_other_origin_in():
    rules = dict(part.strip().split(" ", 1) for part in POLICY.split(";"))
    assert rules["default-src"] == "'self'"
    assert rules["frame-ancestors"] == "'none'"
    assert rules["object-src"] == "'none'"
    assert rules["base-uri"] == "'none'"
    assert not any(word in POLICY for word in ("unsafe", "*", "http:", "https:"))
    assert "script-src" not in rules
    assert "style-src" not in rules


def test_names_with_their_port():
    assert hosts_of(("localhost", "::1"), 8253) == {"localhost:8253", "[::1]:8253"}
    assert "localhost" in hosts_of(("localhost",), 80)
