"""The command line: every command named in one place, its module loaded when it is asked for."""

from __future__ import annotations

import sys
from importlib import import_module

import typer

COMMANDS: dict[str, tuple[str, str]] = {
    "open": ("open", "open_workbench"),
    "build": ("plans", "build_papers"),
    "check": ("plans", "check"),
    "show": ("plans", "show"),
    "cope": ("quick", "cope"),
    "bend": ("quick", "bend"),
    "schema": ("plans", "schema"),
    "book": ("books", "book"),
    "survey": ("layout", "survey"),
    "draft": ("layout", "draft_plan"),
    "fit": ("layout", "fit_plan"),
    "push": ("strength", "push"),
    "compare": ("strength", "compare"),
    "order": ("fitup", "order"),
    "marks": ("fitup", "marks"),
    "square": ("fitup", "square"),
    "pull": ("fitup", "pull"),
    "shrink": ("welding", "shrink"),
    "export-frame": ("strength", "export_frame"),
    "record": ("records", "record"),
    "reading": ("readings", "reading"),
    "warm-up": ("strength", "warm_up"),
}
"""Command: its module here, and the function or group in it. Loading all takes seconds, one less."""
HIDDEN = frozenset({"warm-up"})


def command_line(names: list[str]) -> typer.Typer:
    """The command line with the commands of those names."""
    app = typer.Typer(
        add_completion=False,
        no_args_is_help=True,
        rich_markup_mode=None,
        pretty_exceptions_enable=False,
    )
    app.callback()(_whole)
    for name in names:
        module, function = COMMANDS[name]
        command = getattr(import_module(f"cagewright.cli.{module}"), function)
        if isinstance(command, typer.Typer):
            app.add_typer(command, name=name)
        else:
            app.command(name, hidden=name in HIDDEN)(command)
    return app


def _whole() -> None:
    """From one plain-text plan to a welded roll cage that fits."""


def main() -> None:
    """Run the command line."""
    asked = next((word for word in sys.argv[1:] if not word.startswith("-")), "")
    command_line([asked] if asked in COMMANDS else list(COMMANDS))()
