from collections.abc import Iterator
from pathlib import Path

import pytest

from deskside import Bench, served, shop_folder


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return shop_folder(tmp_path)


@pytest.fixture
def bench(folder: Path) -> Iterator[Bench]:
    with served(folder) as found:
        yield found
