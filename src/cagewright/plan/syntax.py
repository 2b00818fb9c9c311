"""What a YAML parser says about broken text, in the builder's words."""

from __future__ import annotations

import yaml

from cagewright.base.problems import Problem, Where

_UNCLOSED = "found unexpected end of stream"
_WORDS: dict[str, tuple[str, str]] = {
    "mapping values are not allowed in this context": (
        "a ':' where no key can stand",
        "wanted the line above closed, this line indented like its neighbours, or the text in quotes",
    ),
    "did not find expected key": (
        "a line that is no 'key: value' of the mapping it stands in",
        "wanted 'key: value' indented like its neighbours",
    ),
    "did not find expected '-' indicator": (
        "a line that is no item of the list it stands in",
        "wanted '- ' indented like its neighbours",
    ),
    "did not find expected ',' or ']'": ("a list in brackets that does not go on", "wanted ',' or ']'"),
    "did not find expected ',' or '}'": ("a mapping in braces that does not go on", "wanted ',' or '}'"),
    "could not find expected ':'": ("a key without its ':'", "wanted 'key: value'"),
    _UNCLOSED: ("text in quotes that is never closed", "wanted the closing quote"),
    "block sequence entries are not allowed in this context": (
        "a '-' where no list can stand",
        "wanted the list on lines of its own below its key",
    ),
    "did not find expected node content": ("nothing where a value should stand", "wanted a value"),
    "found unknown escape character": (
        "an unknown '\\' sequence in double quotes",
        "wanted '\\\\' for a backslash, or single quotes",
    ),
    "found undefined tag handle": ("a value that begins with '!'", "wanted it in quotes"),
    "did not find expected comment or line break": (
        "a '|' or '>' with more behind it",
        "wanted the text on the lines below, or in quotes",
    ),
    "did not find expected <document start>": (
        "text after the end of the document",
        "wanted one set of 'key: value' lines",
    ),
}
_BEGIN = {"@": "'@'", "`": "a back-quote", "%": "'%'"}


def syntax_problem(wrong: yaml.YAMLError, *, text: str, file: str) -> Problem:
    """The parser's complaint as a located problem."""
    if not isinstance(wrong, yaml.MarkedYAMLError) or wrong.problem_mark is None:
        return Problem(
            code="syntax", where=Where(file=file), found="the text is broken", wanted="wanted a YAML file"
        )
    said = (wrong.problem or "").strip()
    mark = wrong.context_mark if said == _UNCLOSED and wrong.context_mark else wrong.problem_mark
    found, wanted = _WORDS.get(said) or _first_character(text, mark.index) or (said, "wanted YAML")
    start = wrong.context_mark
    if start is not None and start.line != mark.line and "brac" in found:
        found = f"{found} (it opens on line {start.line + 1})"
    where = Where(file=file, line=mark.line + 1, col=mark.column + 1)
    return Problem(code="syntax", where=where, found=found, wanted=wanted)


def _first_character(text: str, at: int) -> tuple[str, str] | None:
    here = text[at : at + 1]
    if here == "\t":
        return "a tab", "wanted spaces: YAML takes no tab before a word"
    if here in _BEGIN:
        return f"a value that begins with {_BEGIN[here]}", "wanted it in quotes"
    return None
