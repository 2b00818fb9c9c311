"""The `open` command: the workbench on this machine."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from cagewright.cli.output import out, speaking_plainly

Place = Annotated[
    Path,
    typer.Argument(
        metavar="[PLAN|FOLDER]", help="A plan file, or a shop folder with plans.", show_default=False
    ),
]


def open_workbench(
    place: Place = Path("."),
    host: Annotated[
        str, typer.Option(help="Address to listen on; any but this machine's own then demands a token.")
    ] = "127.0.0.1",
    port: Annotated[
        int | None, typer.Option(help="Port; else the first free one.", show_default=False)
    ] = None,
    browser: Annotated[bool, typer.Option(help="Open the browser.")] = True,
) -> None:
    """Open the workbench: the whole job on local pages in your browser, until Ctrl-C."""
    from cagewright.workbench.server.serve import Asked, serve

    with speaking_plainly(as_json=False):
        asked = Asked(place=place, host=host, port=port, browser=browser)
        serve(asked, lambda words: out.print(words, markup=False))
