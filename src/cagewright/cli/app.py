"""The command line: every command registered in one place."""

from __future__ import annotations

import typer

from cagewright.cli import plans, quick

app = typer.Typer(
    add_completion=False,
    no_args_is_help=True,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
    help="From one plain-text plan to a welded roll cage that fits.",
)
app.command("build")(plans.build_papers)
app.command("check")(plans.check)
app.command("show")(plans.show)
app.command("cope")(quick.cope)
app.command("bend")(quick.bend)
app.command("schema")(plans.schema)


@app.callback()
def _whole() -> None:
    """From one plain-text plan to a welded roll cage that fits."""


def main() -> None:
    """Run the command line."""
    app()
