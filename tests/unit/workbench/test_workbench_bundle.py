"""The browser side: its lock files, its build, its own tests, and that it agrees with the Python side."""

from __future__ import annotations

import importlib.util
import json
import os
import random
import re
import shutil
import subprocess
import sys
import zipfile
from pathlib import Path
from types import ModuleType

import pytest

from cagewright.base.say import say_length
from cagewright.base.units import QuantityError, parse, to_inches
from cagewright.make.ramp import ramp

ROOT = Path(__file__).resolve().parents[3]
WEB = ROOT / "web"
STATIC = ROOT / "src" / "cagewright" / "workbench" / "static"
PAGES = sorted(page.stem for page in (WEB / "src" / "pages").glob("*.js"))
ADDRESS = re.compile(r"https?://[^\s\"']*(registry|pypi|npmjs|/simple/|/-/)", re.IGNORECASE)


@pytest.fixture(scope="module")
def web() -> ModuleType:
    spec = importlib.util.spec_from_file_location("web_script", ROOT / "scripts" / "web.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


@pytest.fixture(scope="module")
def node(web: ModuleType) -> str:
    wheel = web.npm_in_venv()
    found = shutil.which("node") if web.npm_on_path() else wheel and wheel[0]
    if not found:
        pytest.skip("Node is not installed: the tests of the pages' own modules are left out")
    return str(found)


def run_module(node: str, text: str) -> object:
    """What a module prints as JSON."""
    command = [node, "--input-type=module", "-e", text]
    done = subprocess.run(command, cwd=WEB, capture_output=True, text=True, timeout=120)
    assert done.returncode == 0, done.stderr
    return json.loads(done.stdout)


def test_lock_files_hold_no_registry_address() -> None:
    lock = json.loads((WEB / "package-lock.json").read_text())
    assert not [name for name, entry in lock["packages"].items() if "resolved" in entry]
    for file in (
        WEB / "package-lock.json",
        WEB / ".npmrc",
        WEB / "package.json",
        ROOT / "requirements-node.lock",
    ):
        assert not ADDRESS.search(file.read_text()), file.name


def test_the_search_for_addresses_finds_one() -> None:
    assert ADDRESS.search('"resolved": "https://registry.example/three/-/three-1.tgz"')
    assert not ADDRESS.search('"url": "https://example.org/funding"')


def test_versions_are_exact() -> None:
    package = json.loads((WEB / "package.json").read_text())
    for name, version in (package["dependencies"] | package["devDependencies"]).items():
        assert re.fullmatch(r"\d+\.\d+\.\d+", version), name


def test_own_tests_of_the_browser_side(node: str) -> None:
    files = [str(file) for file in sorted((WEB / "test").glob("*.test.js"))]
    assert files
    if not (WEB / "node_modules" / "three").is_dir():
        pytest.skip("the browser's packages are not installed (make web): its own tests are left out")
    done = subprocess.run([node, "--test", *files], cwd=WEB, capture_output=True, text=True, timeout=300)
    assert done.returncode == 0, done.stdout[-4000:]
    assert re.search(r"pass [1-9]", done.stdout), done.stdout[-2000:]


def test_the_page_and_the_papers_say_the_same_length(node: str) -> None:
    rng = random.Random(7)
    lengths = [round(rng.uniform(-3000.0, 3000.0), 2) for _ in range(400)]
    lengths += [k * 25.4 / 32 for k in range(-40, 41)]
    ways = "[toInches(mm).text, sayLength(mm, 'mm'), sayLength(mm, 'in')]"
    say = f"console.log(JSON.stringify(all.map((mm) => {ways})))"
    text = (
        f"import {{ sayLength, toInches }} from './src/numbers.js'; const all = {json.dumps(lengths)}; {say}"
    )
    for mm, (mark, metric, inches) in zip(lengths, run_module(node, text), strict=True):  # type: ignore[call-overload]
        assert mark == to_inches(mm, denominator=32).text, mm
        # a tenth of a mm at the very edge of rounding may fall either way, and no nought has a sign here
        assert abs(float(metric.split()[0]) - float(say_length(mm, "mm").split()[0])) < 0.11, mm
        assert inches.split(" (")[0] == say_length(mm, "in").split(" (")[0], mm


TYPED = ["518", "45 mm", "20 3/8 in", '20-3/8"', "3/4", "-1/2 in", "1 3/4 in", "2 ft", "51.8 cm", ".5", "0"]
REFUSED = ["", "x", "9/8 in x", "1/3 in", "20 9/8 in", "20 3/8 kg", "12 34", "1e9"]


def test_the_page_reads_what_the_plan_reads(node: str) -> None:
    both = json.dumps([*TYPED, *REFUSED])
    text = (
        "import { parseLength } from './src/numbers.js';"
        f"console.log(JSON.stringify({both}.map((t) => [parseLength(t, 'mm'), parseLength(t, 'in')])))"
    )
    for typed, pair in zip([*TYPED, *REFUSED], run_module(node, text), strict=True):  # type: ignore[call-overload]
        for units, got in zip(("mm", "in"), pair, strict=True):
            assert got == _wanted(typed, units), (typed, units)


def _wanted(typed: str, units: str) -> float | None:
    try:
        return pytest.approx(parse(typed, "length", bare=units), abs=1e-6)
    except QuantityError:
        return None


def test_the_ramp_of_the_page_is_that_of_the_papers() -> None:
    held = re.search(r"\.map\(ramp\), \[([^\]]*)\]", (WEB / "test" / "picture.test.js").read_text())
    assert held is not None
    assert re.findall(r"#[0-9a-f]{6}", held[1]) == [ramp(k / 4) for k in range(5)]


def test_every_page_is_in_the_bundle() -> None:
    if not (STATIC / ".built").exists():
        pytest.skip("the pages are not built (make web): the bundle is not looked at")
    assert [page for page in PAGES if not (STATIC / f"{page}.js").is_file()] == []
    assert (STATIC / "look.css").is_file()
    look = (STATIC / "look.css").read_text()
    assert not re.search(r"url\((?!/static/)", look), "the pages' policy allows only their own files"


def test_without_node_it_says_so_and_goes_on(
    web: ModuleType, monkeypatch: pytest.MonkeyPatch, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(web, "VENV", tmp_path)
    monkeypatch.setattr(web, "STAMP", tmp_path / ".built")
    monkeypatch.setattr(web.shutil, "which", lambda name: None)
    assert web.main([]) == 0
    assert "cannot be had here; the pages of `cagewright open` are not built" in capsys.readouterr().out
    assert web.main(["--check"]) == 0
    assert "are not checked" in capsys.readouterr().out


@pytest.mark.parametrize(
    ("said", "enough"), [("v20.19.0", True), ("v24.1.0", True), ("v20.18.9", False), ("", False)]
)
def test_an_old_node_is_not_used(
    web: ModuleType, monkeypatch: pytest.MonkeyPatch, said: str, enough: bool
) -> None:
    answer = subprocess.CompletedProcess([], 0 if said else 1, stdout=said, stderr="")
    monkeypatch.setattr(web.subprocess, "run", lambda *args, **kinds: answer)
    assert web.new_enough("node") is enough


def test_a_page_changed_after_the_build_asks_for_a_new_one(
    web: ModuleType, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    source, stamp = tmp_path / "web" / "src" / "a.js", tmp_path / ".built"
    source.parent.mkdir(parents=True)
    source.write_text("")
    monkeypatch.setattr(web, "WEB", tmp_path / "web")
    monkeypatch.setattr(web, "STAMP", stamp)
    assert web.is_older()
    stamp.touch()
    later = stamp.stat().st_mtime + 5
    assert not web.is_older()
    os.utime(source, (later, later))
    assert web.is_older()


@pytest.mark.slow
def test_a_wheel_carries_the_bundle(tmp_path: Path) -> None:
    if not (STATIC / ".built").exists():
        pytest.skip("the pages are not built (make web): a wheel would carry none")
    command = [sys.executable, "-m", "hatchling", "build", "-t", "wheel", "-d", str(tmp_path)]
    subprocess.run(command, cwd=ROOT, check=True, capture_output=True)
    with zipfile.ZipFile(next(tmp_path.glob("*.whl"))) as wheel:
        names = set(wheel.namelist())
    wanted = {f"cagewright/workbench/static/{page}.js" for page in PAGES}
    assert (
        wanted | {"cagewright/workbench/static/look.css", "cagewright/workbench/templates/base.html"} <= names
    )
    assert not [name for name in names if "node_modules" in name or name.endswith(".d.ts")]
