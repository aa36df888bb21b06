"""What-if: a config with some keys changed for one run, and nothing written."""

import json
import tomllib
from collections.abc import Iterable, Mapping
from dataclasses import replace
from typing import Any

from cavewatch.config.faults import ConfigError, near_miss
from cavewatch.core.style import StyleBook
from cavewatch.units import quoted

EXAMPLE = (
    """'tuning."lower cave.humidity".on_delay=40 min', """
    """'place."lower cave".humidity=[85, 95]' or 'style.gouda=tilsit'"""
)


def change(raw: dict[str, Any], changes: Iterable[str]) -> dict[str, str]:
    """Change the values of a config file as KEY=VALUE says, in TOML's way of writing keys.

    A place or a sensor goes by its name; words may stand without quotes. A style
    that is set to another one's id borrows from it: see `lent`.

    Returns:
        Which style borrows from which, by id.

    Raises:
        ConfigError: for what is not of this form or names no place or sensor.
    """
    loans: dict[str, str] = {}
    for text in changes:
        table = _read(text)
        styles = table.get("style")
        if isinstance(styles, dict):
            for style in [style for style, other in styles.items() if isinstance(other, str)]:
                loans[style] = styles.pop(style)
            if not styles:
                del table["style"]
        _merge(raw, table, text)
    return loans


def lent(book: StyleBook, loans: Mapping[str, str]) -> StyleBook:
    """The book with styles that want the stages and the brine's temperature of another.

    Raises:
        ConfigError: for a style that is not in the book.
    """
    found = dict(book)
    for style, other in loans.items():
        for name in (style, other):
            if name not in book:
                raise ConfigError(
                    [f"what if: {quoted(name)} is no style of the book{near_miss(name, book)}"]
                )
        brine, theirs = book[style].brine, book[other].brine
        if brine is not None and theirs is not None:
            brine = replace(brine, temperature=theirs.temperature)
        found[style] = replace(book[style], stages=book[other].stages, brine=brine)
    return found


def _read(text: str) -> dict[str, Any]:
    key, sign, value = text.partition("=")
    for line in (text, f"{key} = {json.dumps(value.strip())}"):
        try:
            if sign and "\n" not in text:
                return tomllib.loads(line)
        except (tomllib.TOMLDecodeError, RecursionError):
            continue
    raise ConfigError([f"what if: {quoted(text)} changes nothing; write {EXAMPLE}"])


def _merge(into: dict[str, Any], table: Mapping[str, Any], text: str) -> None:
    for key, value in table.items():
        there = into.get(key)
        if isinstance(value, dict) and isinstance(there, list):
            named = {t["name"]: t for t in there if isinstance(t, dict) and "name" in t}
            for name in value:
                if name not in named:
                    raise ConfigError(
                        [
                            f"what if: {quoted(text)}: there is no {key} {quoted(name)}"
                            f"{near_miss(name, named)}"
                        ]
                    )
            _merge(named, value, text)
        elif isinstance(value, dict) and isinstance(there, dict):
            _merge(there, value, text)
        else:
            into[key] = value
