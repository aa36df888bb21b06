"""Single values of a config file: each function checks one and gives what the core wants.

What they raise is a sentence that begins with the value found and ends with
what may be written instead.
"""

import re
from collections.abc import Callable, Sequence
from enum import StrEnum
from pathlib import Path
from typing import Any
from zoneinfo import available_timezones

from cavewatch import clock
from cavewatch.config.faults import found, near_miss
from cavewatch.core.errors import CavewatchError
from cavewatch.core.reading import Channel
from cavewatch.core.sensor import MILLISECONDS
from cavewatch.core.style import Limits

Convert = Callable[[Any], Any]
"""Gives the value that the core wants, or raises CavewatchError."""

PLACE_NAME_LENGTH = 24
"""So that a name fits beside its numbers in a narrow terminal."""


class NotAllowedError(CavewatchError):
    """A value that is not allowed where it stands."""


def text(longest: int = 200) -> Convert:
    """A text without control characters that is neither empty nor too long."""

    def convert(value: Any) -> str:
        if not isinstance(value, str):
            raise NotAllowedError(f"{found(value)} is not a text; write it in quotation marks")
        if not value.strip() or value != value.strip():
            raise NotAllowedError(f"{found(value)} is empty or has blanks at an end; write a word")
        if not value.isprintable():
            raise NotAllowedError(f"{found(value)} has control characters; write plain letters")
        if len(value) > longest:
            raise NotAllowedError(
                f"{found(value)} has {len(value)} characters; write at most {longest}"
            )
        return value

    return convert


def place_name(value: Any) -> str:
    """A name that fits on the screen and can stand before the dot of a channel."""
    name: str = text(PLACE_NAME_LENGTH)(value)
    if "." in name:
        raise NotAllowedError(
            f"{found(value)} has a dot, which ends the name of a place in channels"
        )
    return name


def one_of(options: type[StrEnum] | Sequence[str]) -> Convert:
    """One word of a few."""
    allowed = [str(option) for option in options]
    words = f"{', '.join(allowed[:-1])} or {allowed[-1]}"

    def convert(value: Any) -> Any:
        if value not in allowed:
            near = near_miss(value, allowed) if isinstance(value, str) else ""
            raise NotAllowedError(f"{found(value)} is not known here; write {words}{near}")
        return options(value) if isinstance(options, type) else value

    return convert


def whole(low: int, high: int) -> Convert:
    """A whole number."""

    def convert(value: Any) -> int:
        if not isinstance(value, int) or isinstance(value, bool) or not low <= value <= high:
            raise NotAllowedError(
                f"{found(value)} is not allowed; write a whole number from {low} to {high}"
            )
        return value

    return convert


def yes_or_no(value: Any) -> bool:
    """True or false."""
    if not isinstance(value, bool):
        raise NotAllowedError(f"{found(value)} is neither true nor false; write one of them")
    return value


def amount(parse: Callable[[str], float] | None, low: float, high: float, unit: str) -> Convert:
    """A number in the core's unit, or a text with a unit where `parse` is given."""
    allowed = f"a number from {low:g} to {high:g} ({unit})"
    if parse is not None:
        allowed += " or a text with its unit"

    def convert(value: Any) -> float:
        number = parse(value) if parse is not None and isinstance(value, str) else value
        if isinstance(number, bool) or not isinstance(number, int | float):
            raise NotAllowedError(f"{found(value)} is not an amount; write {allowed}")
        if not low <= number <= high:
            raise NotAllowedError(f"{found(value)} is out of range; write {allowed}")
        return float(number)

    return convert


def limits(edge: Convert, example: str) -> Convert:
    """A list of the lowest and the highest value wanted."""

    def convert(value: Any) -> Limits:
        if not isinstance(value, list) or len(value) != 2:
            raise NotAllowedError(f"{found(value)} is not a range; write such as {example}")
        low, high = (edge(item) for item in value)
        if low >= high:
            raise NotAllowedError(
                f"{found(value[0])} is not below {found(value[1])}; "
                f"write the lowest first, such as {example}"
            )
        return Limits(low, high, "config")

    return convert


def texts(value: Any) -> tuple[str, ...]:
    """A list of texts, none of them twice."""
    if not isinstance(value, list) or not value:
        raise NotAllowedError(f'{found(value)} is not a list of names; write such as ["T", "H"]')
    names: tuple[str, ...] = tuple(text()(item) for item in value)
    for name in names:
        if names.count(name) > 1:
            raise NotAllowedError(f"{found(name)} stands in the list twice; write each name once")
    return names


def zone(value: Any) -> str:
    """Name of a time zone."""
    name: str = text(64)(value)
    try:
        clock.zone(name)
    except clock.TimeError as fault:
        raise NotAllowedError(f"{fault}{near_miss(name, available_timezones())}") from fault
    return name


_DIRECTIVES = set("aAbBcdfGHIjmMpSuUVwWxXyYzZ%")


def time_format(value: Any) -> str:
    """A format for times made of the directives that Python's strptime knows, or 'ms'."""
    pattern: str = text()(value)
    if pattern == MILLISECONDS:
        return pattern
    unknown = [sign for sign in re.findall("%(.?)", pattern) if sign not in _DIRECTIVES]
    if unknown or "%" not in pattern:
        raise NotAllowedError(
            f"{found(value)} is not a format for times; write such as '%d/%m/%Y %H:%M', or 'ms'"
        )
    return pattern


def delimiter(value: Any) -> str:
    """The sign between two columns."""
    if value not in (",", ";", "|", " ", "\t"):
        raise NotAllowedError(
            f"{found(value)} cannot part columns; write ',', ';', '|', ' ' or, for a tab, \"\\t\""
        )
    return str(value)


def channel(value: Any) -> Channel:
    """A place and what is measured there."""
    name: str = text()(value)
    return Channel.named(name)


def path(folder: Path) -> Convert:
    """A path, whatever stands there; a relative one starts from the config's folder."""

    def convert(value: Any) -> Path:
        name: str = text(1000)(value)
        try:
            return folder / Path(name).expanduser()
        except RuntimeError as fault:
            raise NotAllowedError(f"{found(value)} cannot be used as a file: {fault}") from fault

    return convert


def file(folder: Path) -> Convert:
    """A file that is there or can be made; a relative path starts from the config's folder."""

    def convert(value: Any) -> Path:
        named: Path = path(folder)(value)
        try:
            if named.is_dir():
                raise NotAllowedError(f"{found(value)} is a folder; write the name of a file in it")
            if not named.parent.is_dir():
                raise NotAllowedError(
                    f"{found(value)} lies in a folder that is not there; make {named.parent} first"
                )
        except OSError as fault:
            raise NotAllowedError(f"{found(value)} cannot be used as a file: {fault}") from fault
        return named

    return convert


def topic(value: Any) -> str:
    """One MQTT topic or the first part of some: without wildcards."""
    name: str = text(120)(value)
    if "+" in name or "#" in name or name.startswith("$") or name.endswith("/"):
        raise NotAllowedError(
            f"{found(value)} is not one topic; write it without '+' and '#', without '$' before it "
            "and '/' behind it"
        )
    return name
