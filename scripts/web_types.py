"""Write the browser's types and words from the program: web/src/types.d.ts and web/src/vocabulary.js.

``--check`` says, by exit code 1, that one of them is stale.
"""

from __future__ import annotations

import argparse
import json
import sys
import types
from dataclasses import fields, is_dataclass
from importlib import import_module
from pathlib import Path
from typing import Annotated, Any, Literal, Union, get_args, get_origin, get_type_hints

import numpy as np

from cagewright.job.answers import ANSWERS
from cagewright.plan.load_types import Facing
from cagewright.plan.types import GussetKind, Role, Seat

WEB = Path(__file__).resolve().parent.parent / "web" / "src"
HEAD = "// Made by scripts/web_types.py from the program's answers; a test says when it is stale.\n"
POINT = tuple[float, float, float]
PLAIN: dict[Any, str] = {
    str: "string", int: "number", float: "number", bool: "boolean", type(None): "null", Any: "any",
    object: "unknown", np.ndarray: "number[]",
}  # fmt: skip


class Types:
    """The interfaces met so far, by name, in the order they are met."""

    def __init__(self) -> None:
        self.made: dict[str, str] = {}
        self.classes: dict[str, type] = {}

    def of(self, hint: Any) -> str:
        """The hint in TypeScript."""
        if isinstance(hint, type) and is_dataclass(hint):
            return self.interface(hint)
        if hint in PLAIN:
            return PLAIN[hint]
        if hint == POINT:
            return "Vec3"
        origin, parts = get_origin(hint), get_args(hint)
        if origin is Annotated:
            return next((m for m in parts[1:] if isinstance(m, str)), self.of(parts[0]))
        if origin is Literal:
            return " | ".join(json.dumps(word) for word in parts)
        if origin in (Union, types.UnionType):
            return " | ".join(dict.fromkeys(self.of(part) for part in parts))
        if origin is np.ndarray:
            return "number[]"
        if origin in (list, tuple, frozenset):
            return self.row(parts)
        if origin is dict:
            key = self.of(parts[0])
            record = f"Record<{key}, {self.of(parts[1])}>"
            return f"Partial<{record}>" if "|" in key else record
        raise TypeError(f"no type for the browser is known for {hint!r}")

    def row(self, parts: tuple[Any, ...]) -> str:
        """A list, or a tuple of so many."""
        if len(parts) == 1 or parts[1:] == (Ellipsis,):
            inside = self.of(parts[0])
            return f"({inside})[]" if "|" in inside else f"{inside}[]"
        return f"[{', '.join(self.of(part) for part in parts)}]"

    def interface(self, kind: type) -> str:
        """The name of the answer's interface, which is made now if it was not met yet."""
        name = kind.__name__
        if self.classes.setdefault(name, kind) is not kind:
            where = f"{self.classes[name].__module__} and {kind.__module__}"
            raise TypeError(f"two answers are called {name}: {where}")
        if name not in self.made:
            self.made[name] = ""
            hints = get_type_hints(kind, include_extras=True)
            rows = "".join(f"  {f.name}: {self.of(hints[f.name])};\n" for f in fields(kind))
            summary = " ".join((kind.__doc__ or "").split("\n\n")[0].split()).replace("``", "`")
            self.made[name] = f"/** {summary} */\nexport interface {name} {{\n{rows}}}\n"
        return name


def types_text() -> str:
    """What types.d.ts holds."""
    found = Types()
    for name in ANSWERS:
        module, _, kind = name.partition(":")
        found.interface(getattr(import_module(module), kind))
    rows = [found.made[name] for name in sorted(found.made)]
    return "\n".join([HEAD, "export type Vec3 = [number, number, number];\n", *rows])


def words_text() -> str:
    """What vocabulary.js holds."""
    lists = {
        "ROLES": ("Roles of members, as a plan names them.", Role),
        "SEATS": ("What a foot stands on.", Seat),
        "FACINGS": ("Parts of a weld that can be left open, by where they face.", Facing),
        "GUSSET_KINDS": ("How a gusset is made.", GussetKind),
    }
    made = (
        f"/** {about} */\nexport const {name} = {listed(get_args(of))};\n"
        for name, (about, of) in lists.items()
    )
    return "\n".join((HEAD, *made))


def listed(words: tuple[str, ...]) -> str:
    """The words as a list of JavaScript."""
    return "[\n" + "".join(f"  '{word}',\n" for word in words) + "]"


FILES = {WEB / "types.d.ts": types_text, WEB / "vocabulary.js": words_text}


def stale() -> list[Path]:
    """The files that do not hold what they would be written with now."""
    return [p for p, made in FILES.items() if not p.is_file() or p.read_text(encoding="utf-8") != made()]


def main() -> int:
    ask = argparse.ArgumentParser(description=__doc__)
    ask.add_argument("--check", action="store_true")
    old = stale()
    if ask.parse_args().check:
        print(*(f"{p.name} is stale: run scripts/web_types.py" for p in old), sep="\n")
        return int(bool(old))
    for path in old:
        path.write_text(FILES[path](), encoding="utf-8")
    return 0


if __name__ == "__main__":
    sys.exit(main())
