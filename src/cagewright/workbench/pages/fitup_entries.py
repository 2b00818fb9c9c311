"""What is entered at the car: readings, ticks, notes, hours, photos, signatures, and taking one back.

An entry brings its own name, 32 hexadecimal digits that the page made up. A page that did not hear whether an
entry arrived sends it again, and it is kept once.
"""

from __future__ import annotations

import time
from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.responses import FileResponse
from starlette.routing import BaseRoute, Route

from cagewright.base.plain import plain
from cagewright.workbench.pages.asked_for import answer, words_in
from cagewright.workbench.pages.fitup_at import standing
from cagewright.workbench.requests.recording import alone, bench_of, folder_of, record_of
from cagewright.workbench.server.request import body_of, opened_of

if TYPE_CHECKING:
    from starlette.requests import Request
    from starlette.responses import JSONResponse, Response

    from cagewright.job.record import Hand, LineAnswer

WRONG_BY = 300.0
"""A clock that is further from the workbench's than this is told, s."""


async def add_entry(request: Request) -> JSONResponse:
    """Keep what was entered; say what is wrong with a reading that cannot be used.

    Raises:
        HTTPException: there is no such kind of entry.
    """
    asked = await body_of(request)
    return await run_in_threadpool(_add_entry, request, asked)


def _add_entry(request: Request, asked: dict[str, Any]) -> JSONResponse:
    enter = ENTERING.get(words_in(asked, "entry"))
    if enter is None:
        raise HTTPException(400, f"An entry is one of {', '.join(ENTERING)}.")
    kept = enter(request, asked, _hand(request, asked))
    return answer({**plain(kept), "clock": clock_words(asked.get("clock"))}, status=201)


def _hand(request: Request, asked: Mapping[str, Any]) -> Hand:
    """Who, at which step, when: so many seconds ago, whatever clock the phone has."""
    from cagewright.job import record

    words = {key: words_in(dict(asked), key) for key in ("by", "step", "uid", "revision")}
    note = words_in(dict(asked), "note", most=record.MOST_NOTE)
    job, age = opened_of(request).moment.job, _seconds(asked.get("age"))
    now = job.cage.revision if job else ""
    if words["revision"] and words["revision"] != now:
        note = f"{note} (taken on plan {words['revision']})".strip()
    taken = record.ago(age) if age else ""
    return record.Hand(by=words["by"], step=words["step"], uid=words["uid"], note=note, taken=taken)


def _seconds(said: Any) -> float:
    """The number that was said; 0 for none."""
    try:
        found = float(said)
    except (TypeError, ValueError):
        return 0.0
    return found if abs(found) < 1e12 else 0.0


def clock_words(said: Any) -> str:
    """What to say of a clock (seconds since 1970) that is wrong; empty where it is right."""
    ahead = _seconds(said) - time.time() if _seconds(said) else 0.0
    if abs(ahead) <= WRONG_BY:
        return ""
    size = f"{abs(ahead) / 3600.0:.1f} h" if abs(ahead) >= 3600.0 else f"{abs(ahead) / 60.0:.0f} min"
    way = "fast" if ahead > 0.0 else "slow"
    return f"This machine's clock is {size} {way}: what is entered is given the workbench's time instead."


def _reading(request: Request, asked: dict[str, Any], hand: Hand) -> LineAnswer:
    from cagewright.job import record

    given: dict[str, Any] = {
        key: words_in(asked, key) for key in ("job", "kind", "a", "b", "axis", "says", "unit")
    }
    if given["kind"] not in record.SORTS:
        raise HTTPException(400, f"A reading is one of {', '.join(record.SORTS)}.")
    stood = standing(opened_of(request))
    return alone(
        record.keep_reading, record_of(request), given["job"], (given["a"], given["b"]), given["says"],
        hand=hand, unit=given["unit"], sort=given["kind"], axis=given["axis"],
        known=record.known_marks(stood), bench=bench_of(request),
    )  # fmt: skip


def _tick(request: Request, asked: dict[str, Any], hand: Hand) -> LineAnswer:
    from cagewright.job import record

    done = next((t for t in record.TICKS if t == asked.get("done")), None)
    if done is None:
        raise HTTPException(400, f"A tick is one of {', '.join(record.TICKS)}.")
    job, what = words_in(asked, "job"), words_in(asked, "what")
    return alone(
        record.keep_tick, record_of(request), job, what, done, hand=hand, bench=bench_of(request)
    )  # fmt: skip


def _note(request: Request, asked: dict[str, Any], hand: Hand) -> LineAnswer:
    from cagewright.job import record

    job, says = words_in(asked, "job"), words_in(asked, "says", most=record.MOST_NOTE)
    return alone(
        record.keep_note, record_of(request), job, says, hand=hand, of=words_in(asked, "what"),
        bench=bench_of(request),
    )  # fmt: skip


def _hours(request: Request, asked: dict[str, Any], hand: Hand) -> LineAnswer:
    from cagewright.job import record

    job, says = words_in(asked, "job"), words_in(asked, "says")
    return alone(
        record.keep_hours, record_of(request), job, says, hand=hand, of=words_in(asked, "what"),
        bench=bench_of(request),
    )  # fmt: skip


def _signature(request: Request, asked: dict[str, Any], hand: Hand) -> LineAnswer:
    from cagewright.job import record

    seen = asked.get("seen")
    if not isinstance(seen, int) or isinstance(seen, bool):
        raise HTTPException(400, "The request does not say how many lines were seen.")
    return alone(
        record.sign_off, record_of(request), words_in(asked, "job"), words_in(asked, "what"), hand=hand,
        standing=words_in(asked, "standing"), seen=seen, bench=bench_of(request),
    )  # fmt: skip


def _back(request: Request, asked: dict[str, Any], hand: Hand) -> LineAnswer:
    """The line taken back, by its name; the record keeps both."""
    from cagewright.job import record

    opened_of(request)
    why = words_in(asked, "why") or "taken back"
    return alone(
        record.correct_line, record_of(request), words_in(asked, "job"), words_in(asked, "of"), hand=hand,
        why=why,
    )  # fmt: skip


ENTERING = {
    "reading": _reading, "tick": _tick, "note": _note, "hours": _hours, "sign-off": _signature,
    "take back": _back,
}  # fmt: skip
"""What each sort of entry does."""


# --- photos


async def add_photo(request: Request) -> JSONResponse:
    """Keep the photo in the body; what is said of it stands in the address.

    Raises:
        HTTPException: it is packed on its way.
    """
    if request.headers.get("content-encoding", "identity") != "identity":
        raise HTTPException(415, "Send the photo as it is, not packed.")
    data = await request.body()
    return await run_in_threadpool(_add_photo, request, data)


def _add_photo(request: Request, data: bytes) -> JSONResponse:
    from cagewright.job import record

    asked: dict[str, Any] = {**request.query_params, "uid": request.path_params["uid"]}
    kept = alone(
        record.keep_photo_sent, record_of(request), words_in(asked, "job"), data,
        words_in(asked, "called") or "the photo", folder=folder_of(request), hand=_hand(request, asked),
        of=words_in(asked, "what"), bench=bench_of(request),
    )  # fmt: skip
    return answer({**plain(kept), "clock": clock_words(asked.get("clock"))}, status=201)


def photo(request: Request) -> Response:
    """A photo that is kept here.

    Raises:
        HTTPException: there is none of that name.
    """
    from cagewright.job.record import photo_file

    opened_of(request)
    file = photo_file(folder_of(request), f"photos/{request.path_params['name']}")
    if file is None or not file.is_file():
        raise HTTPException(404, "There is no such photo.")
    return FileResponse(file, headers={"cache-control": "private, max-age=31536000, immutable"})


AT = "/api/plans/{id}/fitup"
ROUTES: tuple[BaseRoute, ...] = (
    Route(f"{AT}/entries", add_entry, methods=["POST"]),
    Route(f"{AT}/photos/{{uid}}", add_photo, methods=["PUT"]),
    Route(f"{AT}/photos/{{name}}", photo),
)
