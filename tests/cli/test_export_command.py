"""`cavewatch export`."""

from contextlib import closing
from pathlib import Path

import pytest
from click.testing import CliRunner

from cavewatch.cli.root import main
from cavewatch.core.journal import Noted
from cavewatch.store import Store

CONFIG = """
[dairy]
name = "Test dairy (invented)"
zone = "UTC"
[store]
path = "dairy.sqlite"
[[place]]
name = "cave"
kind = "cave"
"""


@pytest.fixture
def config(tmp_path: Path) -> Path:
    path = tmp_path / "my.toml"
    path.write_text(CONFIG)
    return path


def call(config: Path, *words: str) -> tuple[int, str]:
    result = CliRunner().invoke(main, ["--config", str(config), "export", *words])
    return result.exit_code, result.output


def test_a_copy_of_the_store_opens_like_any_store(config: Path, tmp_path: Path) -> None:
    copy = tmp_path / "copy.sqlite"
    with closing(Store.open(tmp_path / "dairy.sqlite")) as store:
        entry = store.append(1.0, 1.0, "MK", Noted("x"))

        code, said = call(config, "--store", str(copy))

    assert (code, said.startswith(f"{copy}: 0."), "checked and sound" in said) == (0, True, True)
    with closing(Store.open(copy)) as found:
        assert found.entries() == [entry]


def test_nothing_is_overwritten_and_nothing_is_made_where_there_is_no_store(
    config: Path, tmp_path: Path
) -> None:
    copy = tmp_path / "copy.sqlite"
    code, said = call(config, "--store", str(copy))
    assert (code, "there is no store yet" in said) == (1, True)
    assert sorted(p.name for p in tmp_path.iterdir()) == ["my.toml"]

    with closing(Store.open(tmp_path / "dairy.sqlite")):
        copy.write_text("mine")
        code, said = call(config, "--store", str(copy))
    assert (code, "is there already" in said, copy.read_text()) == (1, True, "mine")


def test_one_must_say_what_to_export(config: Path) -> None:
    code, said = call(config)
    assert (code, "cavewatch export --store FILE" in said) == (1, True)
