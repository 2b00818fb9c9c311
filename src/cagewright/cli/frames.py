"""How the commands that solve a frame speak of one that cannot stand."""

from __future__ import annotations

from collections.abc import Generator
from contextlib import contextmanager

import typer

from cagewright.cli.output import emit, err, speaking_plainly
from cagewright.job.frame_files import FrameError


@contextmanager
def speaking_of_frames(*, as_json: bool) -> Generator[None]:
    """As every command speaks, and a frame that cannot stand said in words with exit code 1."""
    with speaking_plainly(as_json=as_json):
        try:
            yield
        except FrameError as wrong:
            if as_json:
                emit({"error": "; ".join(wrong.messages)})
            else:
                err.print("\n".join(wrong.messages), markup=False)
            raise typer.Exit(1) from None
