import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest

from deskside import Bench, served, shop_folder

EXAMPLES = Path(__file__).parents[3] / "examples"


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return shop_folder(tmp_path)


@pytest.fixture
def bench(folder: Path) -> Iterator[Bench]:
    with served(folder) as found:
        yield found


@pytest.fixture
def shop(tmp_path: Path) -> Path:
    """A folder with the first demo alone."""
    for name in ("brackwater.yaml", "brackwater.shop.yaml"):
        shutil.copy(EXAMPLES / name, tmp_path / name)
    return tmp_path


@pytest.fixture
def desk(shop: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Bench]:
    """The first demo served, its record in its own folder."""
    monkeypatch.delenv("CAGEWRIGHT_RECORD", raising=False)
    with served(shop) as found:
        yield found
