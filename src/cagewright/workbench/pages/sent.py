"""Papers on their way to the browser: made ones by one or all in one zip, and a PDF just made."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from pathlib import PurePosixPath
from typing import IO, TYPE_CHECKING
from urllib.parse import quote

from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.responses import FileResponse, Response, StreamingResponse

from cagewright.workbench.pages.made import KINDS, file_of, zipped

if TYPE_CHECKING:
    from starlette.requests import Request

    from cagewright.base.made import Made

PIECE = 1 << 16


def sent_file(request: Request, made: Made | None, name: str) -> Response:
    """The file, to be shown; with ``keep`` in the address, to be kept.

    Raises:
        HTTPException: the folder's contents list has no such file.
    """
    try:
        path = file_of(made, name)
    except KeyError:
        raise HTTPException(404) from None
    headers = {"cache-control": "no-cache"}
    if "keep" in request.query_params:
        plain = "-".join(PurePosixPath(name).parts)
        headers["content-disposition"] = f"attachment; filename*=UTF-8''{quote(plain)}"
    kind = KINDS.get(path.suffix, "application/octet-stream")
    return FileResponse(path, media_type=kind, headers=headers)


def sent_pdf(made: bytes, name: str) -> Response:
    """A PDF made for this request alone, to be shown; kept it is called so (ASCII, without its ending)."""
    headers = {"content-disposition": f'inline; filename="{name}.pdf"'}
    return Response(made, media_type="application/pdf", headers=headers)


async def sent_zip(made: Made | None, names: Iterable[str], top: str) -> Response:
    """The files in one zip.

    Raises:
        HTTPException: nothing is made.
    """
    if made is None:
        raise HTTPException(404)
    packed = await run_in_threadpool(zipped, made, list(names), top)
    headers = {"content-disposition": f"attachment; filename*=UTF-8''{quote(top)}.zip"}
    return StreamingResponse(_pieces(packed), media_type="application/zip", headers=headers)


def _pieces(packed: IO[bytes]) -> Iterator[bytes]:
    with packed:
        while piece := packed.read(PIECE):
            yield piece
