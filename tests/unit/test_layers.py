"""Imports only go down the list of stages; type-only and in-function imports count."""

import ast
from pathlib import Path

import pytest

SRC = Path(__file__).parents[2] / "src" / "cagewright"
ORDER = [
    "base", "stock", "plan", "shape", "change", "draft", "frame", "make", "check", "fitup", "compare",
    "records", "job", "book", "workbench", "cli", "__main__",
]  # fmt: skip
LIMITED = {
    "numba": {"frame"},
    "ezdxf": {"make"},
    "trimesh": {"shape"},
    "fcl": {"shape"},
    "typst": {"book"},
    "pikepdf": {"book"},
    "ruamel": {"plan"},
    "yaml": {"plan"},
    "pydantic": {"plan", "check", "fitup"},
    "pydantic_core": {"plan", "check", "fitup"},
    "typer": {"cli"},
    "rich": {"cli"},
    "sqlalchemy": {"records"},
    "alembic": {"records"},
    "dask": {"compare"},
    "starlette": {"workbench"},
}


def imports(text: str) -> list[str]:
    """Every module that the source text imports, anywhere in it."""
    found: list[str] = []
    for node in ast.walk(ast.parse(text)):
        if isinstance(node, ast.Import):
            found += [name.name for name in node.names]
        elif isinstance(node, ast.ImportFrom):
            if node.level:
                found.append("a relative import")
            elif node.module == "cagewright":
                found += [f"cagewright.{name.name}" for name in node.names]
            else:
                found.append(node.module or "")
    return found


def faults(stage: str, text: str) -> list[str]:
    """What in the source text of a stage breaks the order or a third party's limit."""
    wrong: list[str] = []
    for module in imports(text):
        parts = module.split(".")
        if parts[0] == "a relative import":
            wrong.append(module)
        if parts[0] == "cagewright" and len(parts) > 1 and parts[1] in ORDER:
            if ORDER.index(parts[1]) > ORDER.index(stage):
                wrong.append(f"{stage} imports {module}")
        elif stage not in LIMITED.get(parts[0], {stage}):
            wrong.append(f"{stage} imports {parts[0]}")
    return wrong


LAID_OUT = {
    "book": {"base", "job", "book"},
    "workbench": {"base", "job", "book", "workbench"},
    "cli": {"base", "job", "book", "workbench", "cli"},
}
"""What lays answers out, and all of ours that it may import: no stage that ``job`` composes."""


def composes(stage: str, text: str) -> list[str]:
    """The stages that a page, command or paper imports past ``job``."""
    parts = (module.split(".") for module in imports(text))
    named = {p[1] for p in parts if p[0] == "cagewright" and len(p) > 1 and p[1] in ORDER}
    return sorted(named - LAID_OUT[stage]) if stage in LAID_OUT else []


FILES = sorted(p for p in SRC.rglob("*.py") if p != SRC / "__init__.py")


@pytest.mark.parametrize("path", FILES, ids=[str(p.relative_to(SRC)) for p in FILES])
def test_imports_go_down(path: Path):
    stage = path.relative_to(SRC).parts[0].removesuffix(".py")
    assert stage in ORDER
    assert faults(stage, path.read_text(encoding="utf-8")) == []


@pytest.mark.parametrize("path", FILES, ids=[str(p.relative_to(SRC)) for p in FILES])
def test_only_job_composes(path: Path):
    stage = path.relative_to(SRC).parts[0].removesuffix(".py")
    assert composes(stage, path.read_text(encoding="utf-8")) == []


def test_a_page_that_composes_is_seen():
    assert composes("workbench", "from cagewright.check import judge") == ["check"]
    assert composes("cli", "def f():\n    from cagewright.make.work import Work") == ["make"]
    assert composes("book", "from cagewright.job.papers import sheets_of") == []


@pytest.mark.parametrize(
    ("stage", "text"),
    [
        ("base", "from cagewright.plan import types"),
        ("shape", "def f():\n    import cagewright.make.sheets"),
        ("plan", "from typing import TYPE_CHECKING\nif TYPE_CHECKING:\n    from cagewright import job"),
        ("make", "import numba"),
        ("stock", "from . import tubes"),
    ],
)
def test_a_breach_is_seen(stage: str, text: str):
    assert faults(stage, text)
