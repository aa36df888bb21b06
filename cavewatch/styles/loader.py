"""The style book from its files, with what a config says laid over it."""

import re
import tomllib
from collections.abc import Mapping
from functools import cache
from pathlib import Path
from types import MappingProxyType
from typing import Any

from cavewatch.core.style import StyleBook
from cavewatch.styles import parse
from cavewatch.styles.sheet import Fault, StyleError, is_number, meant, shown

Table = Mapping[str, Any]

EVERY = "every"
"""Stem of the file with what holds for every style unless it says otherwise."""
LIKE = "like"
"""The key by which a style starts from another one."""
NEEDED = ("moisture", "salt", "methods", "proportions", "weight")
"""What a new style must give if it is not like another."""


def load(overrides: Table = MappingProxyType({}), origin: str = "config") -> StyleBook:
    """The style book.

    Args:
        overrides: tables by style id. Each is laid key by key over the book's
            style of that id, or makes a new style, which may start from one of
            the book or one above it: `like = "gouda"`. Here a figure may be a
            bare number (the range under it then stays, stretched to hold it) or
            [low, value, high], and limits [low, high]; what is stated without a
            source is 'set in the config'.
        origin: where the overrides come from, for sources and messages.

    Raises:
        StyleError: with all that is wrong in the overrides; where a list stood
            for a figure, the path goes on to 'low', 'value' or 'high'.
    """
    every, tables, book = _book()
    if not overrides:
        return dict(book)
    tables, styles = {**tables}, {**book}
    faults: list[Fault] = []
    broken: set[str] = set()
    for name, own in overrides.items():
        found = _misplaced(name, own, tables, broken)
        if not found and own.get(LIKE) not in broken:
            found = _lay(name, own, every, tables, styles, f"set in the {origin}")
        if found or own.get(LIKE) in broken:
            broken.add(name)
        faults.extend(found)
    if faults:
        raise StyleError(origin, faults)
    return styles


@cache
def _book() -> tuple[Table, dict[str, Table], StyleBook]:
    """What holds for every style, the whole table of each, and the styles themselves."""
    files = {
        file.stem: tomllib.loads(file.read_text(encoding="utf-8"))
        for file in Path(__file__).parent.glob("*.toml")
    }
    every = files.pop(EVERY)
    tables: dict[str, Table] = {}
    styles: StyleBook = {}
    faults: list[Fault] = []
    for _, file in sorted(files.items()):
        family = file.pop("family")
        for name, own in file.items():
            faults += _lay(name, {"family": family, **own}, every, tables, styles, None)
    if faults:
        raise StyleError("style book", faults)
    return every, tables, styles


def _lay(
    name: str,
    own: Table,
    every: Table,
    tables: dict[str, Table],
    styles: StyleBook,
    said: str | None,
) -> list[Fault]:
    """Add or change one style in `tables` and `styles`; return what is wrong with it."""
    base = tables.get(name, every)
    if LIKE in own:
        base = {key: value for key, value in tables[own[LIKE]].items() if key != "name"}
    whole = _merged(base, {key: value for key, value in own.items() if key != LIKE}, said)
    style, faults = parse.style(name, whole, said)
    if not faults:
        tables[name], styles[name] = whole, style
    return faults


def _merged(base: Table, own: Table, said: str | None) -> Table:
    """One table laid over another key by key, at every depth."""
    whole = {**base}
    for key, value in own.items():
        under = base.get(key)
        if isinstance(under, Mapping) and "source" in under:
            whole[key] = _restated(under, value, said)
        elif isinstance(under, Mapping) and isinstance(value, Mapping):
            whole[key] = _merged(under, value, said)
        else:
            whole[key] = value
    return whole


def _restated(under: Table, value: Any, said: str | None) -> Any:
    """A figure or limits said anew: a source goes with the numbers that it was given for.

    So do the edges for another state of the place: what a maker says holds in every state.
    """
    if isinstance(value, Mapping):
        kept = {key: part for key, part in under.items() if key != "when"}
        return {**kept, "source": said, **value}
    if is_number(value) and "value" in under:
        low, high = min(under["low"], value), max(under["high"], value)
        return {"value": value, "low": low, "high": high, "source": said}
    return value


def _misplaced(
    name: str, own: object, tables: Mapping[str, Table], broken: set[str]
) -> list[Fault]:
    """What forbids taking an override as a style, before its figures are looked at."""
    if not isinstance(own, Mapping):
        return [((name,), f"style {shown(name)} is {shown(own)}; write a table of keys")]
    if LIKE in own:
        like = own[LIKE]
        if not isinstance(like, str) or like not in {*tables, *broken} or like == name:
            near = meant(like, tables) if isinstance(like, str) else ""
            wanted = f"write the id of a style of the book or of one above it{near}"
            return [((name, LIKE), f"{LIKE} of style {shown(name)} is {shown(like)}; {wanted}")]
    if name in tables:
        return []
    if not re.fullmatch(r"[a-z0-9][a-z0-9-]*", name):
        wanted = "write small letters, digits and '-'"
        return [((name,), f"style {shown(name)} has no proper id; {wanted}")]
    missing = [key for key in NEEDED if key not in own]
    if LIKE in own or not missing:
        return []
    wanted = f"a new style says {LIKE} = 'ID' or gives {', '.join(missing)} as well"
    near = meant(name, tables) or ";"
    return [((name,), f"style {shown(name)} is not in the style book{near} {wanted}")]
