"""House books: a commented file that a builder fills in for his own series."""

from __future__ import annotations

import json
import re
from pathlib import Path

from cagewright.base.files import write_atomically
from cagewright.base.problems import Problem, ProblemsFound, Where

TEMPLATE = """\
# A house rule book. Lines that start with # are notes; take the # away to use a row.
# One file is one edition. Name it in the plan:  car: {rules: [@FILE@]}
# Every key and every measure is on the page docs/books/writing-a-book.md.

[book]
id = "@ID@"
title = @TITLE@
edition = "say which year or date"
source = "say which book, which page, and who read it"
note = ""
# Only for some cars (any of these words in the plan's car body; weights are without driver):
# applies = { body = ["saloon"], weight_from = "500 kg", weight_to = "1500 kg" }

# A row: what a clause asks, which measure, of which tubes, and the limit with its unit.
# certainty is one of:
#   shop         your own or your series' word: passes and fails
#   read         you read it in the book
#   second-hand  somebody restated it
#   computed     worked out from the book's figures
#   memory       nobody looked it up: it warns, and never passes or fails anything

[[rule]]
id = "bend-radius"
clause = "1"
title = "Bends have a centreline radius of at least three tube diameters"
measure = "bend radius"
members = "cage"
at_least = 3
certainty = "shop"
source = "say where this figure comes from"

# Any of several tube sizes; "cage" is every tube but seat mounts, or list the roles.
# [[rule]]
# id = "main-tube"
# clause = "2"
# title = "The main rollbar is of the least size or larger"
# measure = "tube size"
# members = ["main rollbar"]
# sizes = ["45 x 2.5 mm", "1 3/4 x 0.095 in", { size = "1.75 x 0.083 in", steel = "4130" }]
# certainty = "read"
# source = "say where this figure comes from"

# Tube size by weight, lightest car first; only the last line may leave up_to out.
# [[rule]]
# id = "tube-by-weight"
# clause = "3"
# title = "Tubes are of the least size for the car's weight"
# measure = "tube size by weight"
# members = "cage"
# weight = "without driver"
# table = [
#   { up_to = "1000 kg", sizes = ["38 x 2.5 mm"] },
#   { sizes = ["45 x 2.5 mm"] },
# ]
# certainty = "read"
# source = "say where this figure comes from"

# A plate under each foot.
# [[rule]]
# id = "foot-area"
# clause = "4"
# title = "Plates of the feet are large enough"
# measure = "foot contact area"
# feet_of = ["main rollbar", "backstay"]
# at_least = "60 cm2"
# certainty = "read"
# source = "say where this figure comes from"

# A yes-or-no measure: must_be = "yes" where it is left out.
# [[rule]]
# id = "backstay-straight"
# clause = "5"
# title = "Backstays are straight"
# measure = "straight"
# members = ["backstay"]
# must_be = "yes"
# certainty = "read"
# source = "say where this figure comes from"

# Where an end must be near a foot, or near another joint; allowance is for rounding.
# [[rule]]
# id = "diagonal-top"
# clause = "6"
# title = "The diagonal's upper end is near the joint of a backstay with the main rollbar"
# measure = "end distance"
# members = ["diagonal"]
# joined_to = ["main rollbar"]
# end = "upper"
# near = { joint_of = ["backstay"], on = ["main rollbar"] }
# at_most = "100 mm"
# allowance = "1 mm"
# certainty = "read"
# source = "say where this figure comes from"
"""


def new_book(path: Path, name: str) -> None:
    """A commented house book under ``path``, ready to be filled in; nothing is overwritten.

    Args:
        path: the file to make, ending in ``.toml``.
        name: the book's title; its id is made from it.

    Raises:
        ProblemsFound: no letter or figure in the name; the file exists, is no ``.toml``, cannot be written.
    """
    book_id = re.sub(r"[^a-z0-9]+", "-", name.lower()).strip("-")
    wrong = _refusal(path, book_id)
    if wrong is not None:
        raise ProblemsFound([wrong])
    title = json.dumps(_printable(name), ensure_ascii=False)
    filled = (
        TEMPLATE.replace("@FILE@", _printable(path.name)).replace("@ID@", book_id).replace("@TITLE@", title)
    )
    write_atomically(path, filled.encode("utf-8"))


def _printable(text: str) -> str:
    return "".join(sign if sign.isprintable() else "?" for sign in text)


def _refusal(path: Path, book_id: str) -> Problem | None:
    where = Where(file=str(path))
    if not book_id:
        return Problem(
            code="no-name", where=where, found="the name has no letter or figure", wanted="wanted a name"
        )
    if path.suffix != ".toml":
        return Problem(
            code="not-toml", where=where, found="not a .toml file", wanted="wanted a name ending in .toml"
        )
    if path.exists():
        return Problem(
            code="exists", where=where, found="the file is already there", wanted="wanted a new name"
        )
    return None
