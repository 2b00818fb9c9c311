"""The command line: every command named in one place, its module loaded when it is asked for."""

from __future__ import annotations

import io
import os
import sys
from importlib import import_module
from pathlib import Path

import typer

COMMANDS: dict[str, tuple[str, str, str]] = {
    "open": ("open", "open_workbench", "Open the workbench: the whole job on local pages"),
    "build": ("plans", "build_papers", "Write every paper of a plan into a folder"),
    "check": ("books", "check", "Check a plan and say what to do, the costliest first"),
    "summary": ("books", "summary", "Say in one line of figures what else to decide by"),
    "inspect": ("inspect", "inspect", "Write an inspection sheet of a rule book"),
    "show": ("plans", "show", "Say what is in a plan: members, joints, feet"),
    "cope": ("quick", "cope", "Print one cope: cut distance from the main's axis"),
    "bend": ("quick", "bend", "Print what one bend takes: arc, set-back, springback, walls"),
    "schema": ("quick", "schema", "Print the JSON Schema of plan files, for editors"),
    "book": ("books", "book", "Rule books: list, new, check"),
    "survey": ("layout", "survey", "Measure a stripped shell"),
    "draft": ("layout", "draft_plan", "Draft a first plan from a survey"),
    "set": ("sets", "set_app", "Tubes that were bought bent"),
    "notches": ("sets", "notches", "Say how each notch that was there before stands off its tube"),
    "fit": ("layout", "fit_plan", "Move a plan's bend points until its tubes lie at the wanted gap"),
    "push": ("strength", "push", "Push a cage and say what gives, how much it carries"),
    "drop": ("drop", "drop", "Let the car fall on its cage, upside down unless rolled further"),
    "compare": ("strength", "compare", "Push a plan and its alternatives side by side"),
    "obstacles": ("obstacles", "obstacles", "Say what stands in a tube's way"),
    "drivers": ("drivers", "drivers", "Say how belts, helmet and sight stand over everybody who drives"),
    "bench-first": ("bench_first", "bench_first", "Say which tubes to join on the bench, how they go in"),
    "order": ("order", "order", "Say in which order to tack and weld"),
    "marks": ("fitup", "marks", "List the marks to punch at a step"),
    "square": ("fitup", "square", "Say where each tube really is, which readings do not fit"),
    "pull": ("fitup", "pull", "Say what to pull, which way, how far"),
    "shrink": ("fitup", "shrink", "Say what a step's welds pull, in which order to weld"),
    "export-frame": ("strength", "export_frame", "Write one push as a neutral frame file"),
    "quote": ("quote", "quote", "Say what a cage costs to build"),
    "record": ("records", "record", "The shop's record"),
    "reading": ("readings", "reading", "Readings: add, list, write"),
    "tube": ("tube", "tube", "A tube as it is: read, undo, schema"),
    "warm-up": ("strength", "warm_up", ""),
}
"""Command: its module here, the function or group in it, and how its help begins.

The list of commands is printed from here: to load every command takes two seconds, one seldom half of one.
"""
HIDDEN = frozenset({"warm-up"})
OURS = 70
"""Exit code of a mistake of the program's own; source: EX_SOFTWARE of sysexits.h."""


def command_line(names: list[str]) -> typer.Typer:
    """The command line with the commands of those names, loaded."""
    app = _empty()
    for name in names:
        module, function, line = COMMANDS[name]
        command = getattr(import_module(f"cagewright.cli.{module}"), function)
        if isinstance(command, typer.Typer):
            app.add_typer(command, name=name, short_help=line)
        else:
            app.command(name, short_help=line, hidden=name in HIDDEN)(command)
    return app


def overview() -> typer.Typer:
    """The command line with every command listed and none loaded: for its help and for a mistyped name."""
    app = _empty()
    for name, (_, _, line) in COMMANDS.items():
        app.command(name, help=line, hidden=name in HIDDEN)(lambda: None)
    return app


def _empty() -> typer.Typer:
    app = typer.Typer(
        add_completion=False, no_args_is_help=True, rich_markup_mode=None, pretty_exceptions_enable=False
    )
    app.callback(help="From one plain-text plan to a welded roll cage that fits.")(lambda: None)
    return app


def main() -> None:
    """Run the command line.

    Raises:
        SystemExit: as the command ends; 70 after a mistake of the program's own.
    """
    _with_streams()
    asked = next((word for word in sys.argv[1:] if word != "--"), "")
    try:
        (command_line([asked]) if asked in COMMANDS else overview())()
    except Exception as ours:
        sys.stderr.write(_noted(ours))
        raise SystemExit(OURS) from None


def _with_streams() -> None:
    """Give a closed output a place to go, and have one that lacks a letter print another."""
    for name in ("stdout", "stderr"):
        stream = getattr(sys, name)
        if stream is None:
            setattr(sys, name, Path(os.devnull).open("w", encoding="utf-8"))  # noqa: SIM115
        elif isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="replace")


def _noted(ours: Exception) -> str:
    """What the builder is told; the traceback stands in a file, under a reference."""
    import secrets
    import tempfile
    import traceback

    reference = secrets.token_hex(4)
    note = Path(tempfile.gettempdir(), f"cagewright-{reference}.log")
    said = f"Something went wrong in Cagewright, not in your files. Reference {reference}"
    try:
        note.write_text(f"{sys.argv}\n{''.join(traceback.format_exception(ours))}", encoding="utf-8")
    except OSError:
        said += "; what happened could not be written down"
    else:
        said += f"; what happened is written in {note}"
    return f"{said}. Look at what is there now before you do it again.\n"
