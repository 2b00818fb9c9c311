"""Quick commands load none of the heavy libraries, and help lists every command without loading it."""

import inspect
import json
import os
import subprocess
import sys

import pytest
import typer

from cagewright.base.sheet import Column, Table
from cagewright.cli.app import COMMANDS, HIDDEN, command_line
from cagewright.cli.output import show_table

HEAVY = {"numba", "scipy", "trimesh", "sqlalchemy", "typst", "ezdxf", "starlette", "alembic", "jinja2"}
LOADED = """
import atexit, json, runpy, sys
atexit.register(lambda: print(json.dumps([m.partition(".")[0] for m in sys.modules]), file=sys.stderr))
runpy.run_module("cagewright", run_name="__main__")
"""
QUICK = {
    "--help": HEAVY | {"numpy", "pydantic", "yaml", "rich"},
    "chek": HEAVY | {"numpy", "yaml"},
    "cope --branch 38x2.5 --main 45 --json": HEAVY | {"yaml"},
    "bend --od 38 --wall 2.5 --clr 114 --angle 90 --json": HEAVY | {"yaml"},
    "schema": HEAVY,
}
"""A command as it is typed, and what it must not load."""


@pytest.mark.parametrize("typed", QUICK)
def test_a_quick_command_loads_nothing_heavy(typed: str):
    ended = subprocess.run(
        [sys.executable, "-c", LOADED, *typed.split()], capture_output=True, text=True, env={**os.environ}
    )
    assert ended.returncode == (2 if typed == "chek" else 0), ended.stderr
    loaded = set(json.loads(ended.stderr.splitlines()[-1]))
    assert "cagewright" in loaded
    assert not loaded & QUICK[typed], f"{typed} loads {', '.join(sorted(loaded & QUICK[typed]))}"


@pytest.mark.parametrize("name", sorted(COMMANDS.keys() - HIDDEN))
def test_the_list_begins_as_the_command_itself_does(name: str):
    """The list is printed without the commands, so their own words must still begin as it says."""
    module, function, line = COMMANDS[name]
    command = getattr(__import__(f"cagewright.cli.{module}", fromlist=[function]), function)
    said = command.info.help if isinstance(command, typer.Typer) else inspect.getdoc(command)
    assert line
    assert " ".join(said.split()).startswith(line), said
    assert len(line) <= 64, "help would cut it short"


def test_a_loaded_command_is_listed_alike():
    for name in COMMANDS:
        made = typer.main.get_command(command_line([name]))
        assert list(made.commands) == [name]
        assert made.commands[name].hidden == (name in HIDDEN)


def test_a_table_without_rows_is_not_printed(capsys: pytest.CaptureFixture[str]):
    heads = (Column(head="what"), Column(head="line"))
    show_table(Table(title="", columns=heads, rows=()))
    assert capsys.readouterr().out == ""
    show_table(Table(title="", columns=heads, rows=(("slip", "4"),)))
    assert "slip" in capsys.readouterr().out
