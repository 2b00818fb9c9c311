"""What a page's routes share: what a body holds, and how an answer is given."""

from __future__ import annotations

from typing import Any, cast

from starlette.responses import JSONResponse

from cagewright.base.plain import plain


def answer(data: Any, *, status: int = 200) -> JSONResponse:
    """The answer, or plain data, as JSON that no cache keeps."""
    return JSONResponse(plain(data), status_code=status, headers={"Cache-Control": "no-store"})


def words_in(asked: dict[str, Any], key: str, *, most: int = 200) -> str:
    """The text under that key, cut to ``most`` characters; empty where there is none."""
    value = asked.get(key)
    return value.strip()[:most] if isinstance(value, str) else ""


def names_in(asked: dict[str, Any], key: str, *, most: int = 200) -> list[str]:
    """The list of texts under that key; empty where there is none."""
    value = asked.get(key)
    given = cast("list[Any]", value)[:most] if isinstance(value, list) else []
    return [name for name in given if isinstance(name, str)]
