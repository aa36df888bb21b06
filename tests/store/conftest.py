"""Stores for the tests of this directory."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from cavewatch.store import Store


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "dairy.sqlite"


@pytest.fixture
def store(path: Path) -> Iterator[Store]:
    store = Store.open(path)
    yield store
    store.close()
