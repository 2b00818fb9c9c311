"""What a request asks for: which plan, at which revision, with what in its body."""

from __future__ import annotations

import json
import re
from typing import Any, cast

from starlette.exceptions import HTTPException
from starlette.requests import Request

from cagewright.job.history.open_plan import OpenPlan

LONGEST_NAME = 80


def opened_of(request: Request) -> OpenPlan:
    """The open plan that the address names.

    Raises:
        HTTPException: there is no such plan.
    """
    try:
        return request.app.state.desk.opened(request.path_params["id"])
    except KeyError:
        raise HTTPException(404) from None


def number_of(request: Request) -> int:
    """The revision that the request was thought of at.

    Raises:
        HTTPException: it does not say.
    """
    said = request.headers.get("if-match", "")
    found = re.fullmatch(r'"?(\d{1,12})"?', said.strip())
    if found is None:
        raise HTTPException(428, "The request does not say which revision it is for.")
    return int(found[1])


async def body_of(request: Request) -> dict[str, Any]:
    """The JSON object in the body.

    Raises:
        HTTPException: the body is something else.
    """
    try:
        found = json.loads(await request.body(), parse_constant=_not_a_number)
    except (ValueError, RecursionError):
        raise HTTPException(400, "The request cannot be read.") from None
    if not isinstance(found, dict):
        raise HTTPException(400, "The request cannot be read.")
    return cast("dict[str, Any]", found)


def name_of(said: Any) -> str:
    """The name of a file, whatever folder it was said with.

    Raises:
        HTTPException: it is none.
    """
    name = re.split(r"[/\\]", said.strip())[-1] if isinstance(said, str) else ""
    if not name or len(name) > LONGEST_NAME:
        raise HTTPException(400, f"Give the file a name of at most {LONGEST_NAME} letters.")
    return name


def _not_a_number(said: str) -> float:
    raise ValueError(said)
