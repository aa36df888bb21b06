"""The one rule by which the config, and so the record, is found."""

from pathlib import Path

import pytest

from cavewatch.config import default_path, parse, reader

DAIRY = '[dairy]\nname = "Test"\nzone = "UTC"\n[[place]]\nname = "cave"\nkind = "cave"\n'


@pytest.fixture
def own(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Where the maker's own config would be."""
    monkeypatch.delenv("CAVEWATCH_CONFIG", raising=False)
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path))
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))
    path = tmp_path / "cavewatch" / "config.toml"
    path.parent.mkdir()
    return path


@pytest.fixture
def served(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Where the service's config would be."""
    path = tmp_path / "etc.toml"
    monkeypatch.setattr(reader, "SERVICE_CONFIG", path)
    return path


def test_what_the_environment_names_comes_first(
    own: Path, served: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    own.touch()
    served.touch()
    monkeypatch.setenv("CAVEWATCH_CONFIG", "/some/other.toml")
    assert default_path() == Path("/some/other.toml")


def test_the_makers_own_comes_before_the_services(own: Path, served: Path) -> None:
    served.touch()
    assert default_path() == served
    own.touch()
    assert default_path() == own


@pytest.mark.usefixtures("served")
def test_where_there_is_none_the_makers_own_is_asked_for(own: Path) -> None:
    assert default_path() == own


def test_the_services_record_is_where_everybody_finds_it(own: Path, served: Path) -> None:
    assert parse(DAIRY, served).store_path == Path("/var/lib/cavewatch/cavewatch.sqlite")
    data = own.parents[1] / "data" / "cavewatch" / "cavewatch.sqlite"
    assert parse(DAIRY, own).store_path == data
    named = DAIRY + f'[store]\npath = "{own.parent}/d.sqlite"\n'
    assert parse(named, served).store_path == own.parent / "d.sqlite"
