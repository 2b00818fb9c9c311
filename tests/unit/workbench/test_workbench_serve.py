"""Where the workbench listens, and by what names it may be asked."""

import socket
from pathlib import Path

import pytest

from cagewright.base.problems import ProblemsFound
from cagewright.workbench.server import serve
from cagewright.workbench.server.serve import Asked, desk_of, listen_at
from deskside import Bench, shop_folder


def test_answers_are_not_held_back(bench: Bench):
    """asyncio sets TCP_NODELAY only on sockets that it knows for TCP; without it each answer takes 40 ms."""
    with listen_at("127.0.0.1", 0) as listening, socket.create_connection(listening.getsockname()):
        accepted, _ = listening.accept()
        with accepted:
            assert accepted.proto == socket.IPPROTO_TCP


def test_the_usual_port_or_the_next_free_one(monkeypatch: pytest.MonkeyPatch):
    with listen_at("127.0.0.1", 0) as taken:
        port = taken.getsockname()[1]
        monkeypatch.setattr(serve, "PORT", port)
        with serve._listen(Asked(place=Path())) as other:
            assert other.getsockname()[1] != port
        with pytest.raises(ProblemsFound) as found:
            serve._listen(Asked(place=Path(), port=port))
        assert "--port" in found.value.problems[0].wanted


def test_an_address_that_is_none_is_said_so():
    with pytest.raises(ProblemsFound):
        serve._listen(Asked(place=Path(), host="192.0.2.77", port=0))


def test_a_plan_or_its_folder_is_opened(tmp_path: Path):
    folder = shop_folder(tmp_path)
    (folder / "odd name.txt").write_bytes((folder / "plan.yaml").read_bytes())
    by_folder = desk_of(folder)
    assert by_folder.first is None
    by_folder.close()
    by_plan = desk_of(folder / "plan.yaml")
    assert by_plan.first == "plan"
    by_plan.close()
    by_name = desk_of(folder / "odd name.txt")
    assert by_name.first == "odd-name"
    assert by_name.opened("odd-name").moment.job is not None
    by_name.close()
    with pytest.raises(ProblemsFound):
        desk_of(tmp_path / "nothing")


def test_own_names_only():
    assert serve._names("127.0.0.1") == {"127.0.0.1", "localhost", "::1"}
    assert "192.0.2.5" in serve._names("192.0.2.5")
    assert "localhost" in serve._names("0.0.0.0")
    assert "0.0.0.0" in serve._names("0.0.0.0")
