"""What the types say about a wrong value, as located problems in the builder's words."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from typing import Annotated, Any, TypeVar, cast, get_args, get_origin

from pydantic import BaseModel, Tag, ValidationError
from pydantic_core import ErrorDetails

from cagewright.base.problems import Problem, ProblemsFound
from cagewright.plan.quantities import Place3
from cagewright.plan.report import MOST, more_problems, near
from cagewright.plan.source import Keys, label_at, where_at
from cagewright.plan.text import Source, say

_NAME_RULE = "wanted a name: a letter, then letters, digits and underlines, 60 at most"
_QUOTED = re.compile(r"'([^']*)'")
_COORDINATES = ("back", "across", "up")
Entry = TypeVar("Entry", bound=BaseModel)
Words = tuple[str, str, str, str | None]
"""Code, found, wanted, nearest."""


def entry_of(
    source: Source,
    model: type[Entry],
    *,
    data: Mapping[str, Any] | None = None,
    problems: Sequence[Problem] = (),
    **context: object,
) -> Entry:
    """The file as the model says; its bare lengths are in its own ``units``.

    Args:
        source: the file.
        model: what it has to be.
        data: instead of all that the file says.
        problems: found in it already.
        context: more for the model's validators.

    Raises:
        ProblemsFound: every problem of the text, those found already, and the model's.
    """
    if not source.readable:
        raise ProblemsFound(source.problems)
    found = [*source.problems, *problems]
    try:
        entry = model.model_validate(
            source.data if data is None else data, context={"units": source.units, **context}
        )
    except ValidationError as wrong:
        raise ProblemsFound([*found, *problems_of(wrong, source, model)]) from None
    if found:
        raise ProblemsFound(found)
    return entry


def problems_of(
    wrong: ValidationError, source: Source, model: type[BaseModel], *, under: Keys = ()
) -> list[Problem]:
    """The validation errors as problems of the file, those that only follow from another left out.

    ``under`` leads from the top of the file to the value that was validated, where that is a part.
    """
    found = (cast("ErrorDetails", {**e, "loc": (*under, *e["loc"])}) for e in wrong.errors(include_url=False))
    errors = [e for e in found if _is_news(e)]
    problems = [_problem(e, source, model) for e in errors[:MOST]]
    meant = {
        (e["loc"][:-1], p.nearest) for e, p in zip(errors, problems, strict=False) if p.code == "unknown-key"
    }
    kept = [
        p
        for e, p in zip(errors, problems, strict=False)
        if not (p.code == "missing-key" and (e["loc"][:-1], e["loc"][-1]) in meant)
    ]
    return [*kept, more_problems(len(errors) - MOST, where_at(source, ()))] if len(errors) > MOST else kept


def _is_news(error: ErrorDetails) -> bool:
    value: Any = error["input"]
    if value is None:
        return False  # the reader has already said that the key has no value
    if error["type"] in {"too_short", "too_long"} and isinstance(value, Sequence | Mapping):
        context = error.get("ctx", {})
        size = len(value)  # of what was written, not of what was left of it after other mistakes
        return size < context.get("min_length", 0) or size > context.get("max_length", size)
    return True


def _problem(error: ErrorDetails, source: Source, model: type[BaseModel]) -> Problem:
    keys = error["loc"]
    code, found, wanted, nearest = _words(error, source, model)
    of_key = code == "unknown-key" or keys[-1:] == ("[key]",)
    where = where_at(source, keys, point="key" if of_key else "value")
    return Problem(code=code, where=where, found=found, wanted=wanted, nearest=nearest)


def _words(error: ErrorDetails, source: Source, model: type[BaseModel]) -> Words:
    writer = _WRITERS.get(error["type"])
    if writer is not None:
        return writer(error, source, model)
    context = error.get("ctx", {})
    label = label_at(source, error["loc"])
    if "wanted" in context or error["type"] == "not-a-place":
        found = f"{label} {context['found']}" if "found" in context else _is(error, source)
        nearest = near(*context["like"]) if "like" in context else None
        return error["type"], found, context.get("wanted", error["msg"]), nearest
    return "bad-value", _is(error, source), f"wanted {error['msg'].lower()}", None


def _is(error: ErrorDetails, source: Source) -> str:
    return f"{label_at(source, error['loc'])} is {say(error['input'])}"


def _missing(error: ErrorDetails, source: Source, model: type[BaseModel]) -> Words:
    *before, key = error["loc"]
    label = label_at(source, tuple(before))
    if isinstance(key, int):
        value = error["input"]
        return "wrong-count", f"{label} is {say(value)}", f"wanted {_how_many(tuple(before), model)}", None
    here = f"{label} has" if label else "the file has"
    return "missing-key", f"{here} no '{key}'", f"wanted '{key}: ...'", None


def _how_many(keys: Keys, model: type[BaseModel]) -> str | None:
    """What a list of fixed length holds, or None for one of any length."""
    kind = _plain(annotation_at(keys, model))
    items = get_args(kind)
    if get_origin(kind) is not tuple or Ellipsis in items:
        return None
    return "[back, across, up]" if kind == Place3 else f"{len(items)} values"


def _unknown_key(error: ErrorDetails, source: Source, model: type[BaseModel]) -> Words:
    *before, key = error["loc"]
    known = keys_at(tuple(before), model)
    label = label_at(source, tuple(before))
    here = f"{label} has" if label else "the file has"
    return (
        "unknown-key",
        f"{here} the key {say(key)}",
        f"wanted one of {', '.join(known)}",
        near(str(key), known),
    )


def _unknown_word(error: ErrorDetails, source: Source, _model: type[BaseModel]) -> Words:
    expected = str(error.get("ctx", {}).get("expected", ""))
    words = _QUOTED.findall(expected)
    wanted = f"wanted {'one of ' + ', '.join(words) if len(words) > 1 else expected}"
    return "unknown-word", _is(error, source), wanted, near(str(error["input"]), words)


def _bad_name(error: ErrorDetails, source: Source, _model: type[BaseModel]) -> Words:
    text = str(error["input"])
    fit = re.sub(r"[^A-Za-z0-9_]+", "_", text).strip("_")[:60]
    better = fit if re.match(r"[A-Za-z]", fit) else None
    label = label_at(source, error["loc"])
    found = (
        f"{label.rpartition('.')[0]} has the name {say(text)}"
        if error["loc"][-1:] == ("[key]",)
        else _is(error, source)
    )
    return "bad-name", found, _NAME_RULE, better


def _count(error: ErrorDetails, source: Source, model: type[BaseModel]) -> Words:
    context = error.get("ctx", {})
    limits = [f"at least {context['min_length']}"] if "min_length" in context else []
    limits += [f"at most {context['max_length']}"] if "max_length" in context else []
    wanted = _how_many(error["loc"], model) or " and ".join(limits)
    return "wrong-count", _is(error, source), f"wanted {wanted}", None


def _range(words: str, key: str) -> Callable[[ErrorDetails, Source, type[BaseModel]], Words]:
    def write(error: ErrorDetails, source: Source, _model: type[BaseModel]) -> Words:
        return "out-of-range", _is(error, source), f"wanted {words} {error.get('ctx', {})[key]:g}", None

    return write


def _type(wanted: str) -> Callable[[ErrorDetails, Source, type[BaseModel]], Words]:
    def write(error: ErrorDetails, source: Source, _model: type[BaseModel]) -> Words:
        return "wrong-type", _is(error, source), wanted, None

    return write


def _long_text(error: ErrorDetails, source: Source, _model: type[BaseModel]) -> Words:
    limit = error.get("ctx", {})["max_length"]
    return (
        "too-long",
        f"{label_at(source, error['loc'])} is {len(str(error['input']))} characters",
        f"wanted at most {limit}",
        None,
    )


_MAPPING = _type("wanted 'key: value' lines or {key: value, ...}")
_LIST = _type("wanted a list such as [a, b]")
_WRITERS: dict[str, Callable[[ErrorDetails, Source, type[BaseModel]], Words]] = {
    "missing": _missing,
    "extra_forbidden": _unknown_key,
    "literal_error": _unknown_word,
    "string_pattern_mismatch": _bad_name,
    "string_type": _type("wanted a word or a line of text"),
    "string_too_long": _long_text,
    "tuple_type": _LIST,
    "list_type": _LIST,
    "model_type": _MAPPING,
    "model_attributes_type": _MAPPING,
    "dict_type": _MAPPING,
    "too_short": _count,
    "too_long": _count,
    "greater_than": _range("more than", "gt"),
    "greater_than_equal": _range("at least", "ge"),
    "less_than_equal": _range("at most", "le"),
}


def keys_at(keys: Keys, model: type[BaseModel]) -> list[str]:
    """The keys that may stand where ``keys`` lead."""
    found = _plain(annotation_at(keys, model))
    if not (isinstance(found, type) and issubclass(found, BaseModel)):
        return []
    return [field.alias or name for name, field in found.model_fields.items()]


def annotation_at(keys: Keys, model: type[BaseModel]) -> Any:
    """The type of the value that ``keys`` lead to, by the models' annotations."""
    here: Any = model
    for key in keys:
        here = _step(_plain(here), key)
    return here


def _step(here: Any, key: str | int) -> Any:
    if isinstance(here, type) and issubclass(here, BaseModel):
        field = here.model_fields.get(str(key))
        return field.annotation if field is not None else here
    origin, args = get_origin(here), get_args(here)
    if origin is dict:
        return args[1]
    if origin is tuple and isinstance(key, int):
        return args[0] if args[-1:] == (Ellipsis,) else args[min(key, len(args) - 1)]
    tagged = [arm for arm in args if str(key) in {m.tag for m in _marks(arm) if isinstance(m, Tag)}]
    return tagged[0] if tagged else here


def _plain(here: Any) -> Any:
    """The type inside Annotated and ``| None``."""
    while True:
        if get_origin(here) is Annotated:
            here = get_args(here)[0]
            continue
        arms = [arm for arm in get_args(here) if arm is not type(None)]
        if len(arms) == 1 and type(None) in get_args(here):
            here = arms[0]
            continue
        return here


def _marks(arm: Any) -> tuple[Any, ...]:
    return tuple(getattr(arm, "__metadata__", ()))
