"""Styles that are made here are marked, and come first where wheels are entered."""

from pathlib import Path

import pytest

from cavewatch.config import ConfigError, parse

DAIRY = '[dairy]\nname = "Test"\nzone = "UTC"\n{more}\n[[place]]\nname = "cave"\nkind = "cave"\n'


def read(more: str = "", below: str = "") -> set[str]:
    config = parse(DAIRY.format(more=more) + below, Path("c.toml"))
    return {id for id, style in config.styles.items() if style.made_here}


def test_without_the_key_none_is_marked() -> None:
    assert read() == set()


def test_those_named_are_marked_the_makers_own_too() -> None:
    own = '[style.farmhouse]\nlike = "gouda"\nname = "Our farmhouse wheel"\n'
    assert read('styles = ["edam", "farmhouse"]', own) == {"edam", "farmhouse"}


def test_an_unknown_style_is_told_with_the_one_that_may_be_meant() -> None:
    with pytest.raises(ConfigError, match=r"'guoda' is no style; did you mean 'gouda'\?"):
        read('styles = ["guoda"]')
