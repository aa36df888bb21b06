"""An act as the cells of a table with named columns, and back again.

A column is called as the field that it holds, with its unit. A cell that is
empty stands for what the field is where nothing is said.
"""

import dataclasses
import types
import typing
from collections.abc import Callable, Mapping
from enum import StrEnum
from typing import Any

from cavewatch.core.journal.acts import Act
from cavewatch.core.journal.plain import KINDS, JournalError, from_plain, to_plain

Value = str | float | bool
"""What a cell holds."""

_SIZES = ("diameter", "height", "length", "width")
_SHAPE = ("form", *(f"{size}_cm" for size in _SIZES))
_UNITS = {
    "weight": "g",
    "grams": "g",
    "water": "g",
    "drawn_off": "g",
    "temperature": "degC",
    "strength": "percent",
    "litres": "L",
}
_NAMES = {
    ("assayed", "salt"): "salt_percent",
    ("assayed", "error"): "error_percent",
    ("tended", "salt"): "salt_g",
    ("tended", "calcium"): "calcium_g",
    ("brine", "calcium"): "calcium_percent",
    ("voided", "entry"): "voids",
}
"""Where a field's name alone does not tell its unit, or is a column's already."""
_TIMES = ("made_at", "renneted_at", "moulded_at", "until")
_FREE = ("text", "why", "product")
"""What a person may leave empty though it is asked for."""


def _columns(kind: str, field: str) -> tuple[str, ...]:
    """The columns of a field."""
    if field == "shape":
        return _SHAPE
    unit = _UNITS.get(field)
    return (_NAMES.get((kind, field), f"{field}_{unit}" if unit else field),)


_OF = {
    kind: {field.name: _columns(kind, field.name) for field in dataclasses.fields(act)}
    for kind, act in KINDS.items()
}
COLUMNS: tuple[str, ...] = tuple(
    dict.fromkeys(
        column for fields in _OF.values() for columns in fields.values() for column in columns
    )
)
"""Of the fields of every act, each once."""


def to_cells(act: Act, iso: Callable[[float], str]) -> dict[str, Value]:
    """The cells of an act that are not empty, `kind` left out.

    Args:
        act: what happened.
        iso: writes a time [s since 1970 UTC].
    """
    plain = to_plain(act)
    columns = _OF[plain.pop("kind")]
    cells: dict[str, Value] = {}
    for field, value in plain.items():
        if field == "shape":
            cells["form"] = value["form"]
            cells |= {f"{size}_cm": value[size] for size in _SIZES if size in value}
        elif isinstance(value, list):
            cells[columns[field][0]] = " ".join(map(str, value))
        elif value is not None:
            cells[columns[field][0]] = iso(value) if field in _TIMES else value
    return cells


def from_cells(cells: Mapping[str, str], instant: Callable[[str], float]) -> Act:
    """The act that is in a row's cells.

    Args:
        cells: text by column, `kind` included; any of COLUMNS may be left out.
        instant: reads a time [s since 1970 UTC]; raises CavewatchError for what is none.

    Raises:
        JournalError: naming the column and what it holds, for what is no act.
    """
    kind = cells.get("kind", "").strip()
    if kind not in KINDS:
        raise JournalError(f"'kind' is {kind[:40]!r}; it must be one of {', '.join(KINDS)}")
    hints = typing.get_type_hints(KINDS[kind])
    plain: dict[str, Any] = {"kind": kind}
    own = {"kind"}
    for field in dataclasses.fields(KINDS[kind]):
        columns = _OF[kind][field.name]
        own.update(columns)
        if field.name == "shape":
            if shape := _shape({name: cells.get(name, "").strip() for name in columns}):
                plain["shape"] = shape
            continue
        name, hint = columns[0], _plain_type(hints[field.name])
        text = cells.get(name, "")
        if text if hint is str else text.strip():
            time = field.name in _TIMES
            plain[field.name] = instant(text.strip()) if time else _value(name, text, hint)
        elif field.default is dataclasses.MISSING:
            if field.name not in _FREE:
                raise JournalError(f"{kind}: '{name}' is empty; it must be filled in")
            plain[field.name] = ""
    for name in COLUMNS:
        text = cells.get(name, "").strip()
        if text and name not in own:
            raise JournalError(f"{kind}: '{name}' is {text[:40]!r}; it must be empty there")
    return from_plain(plain)


def _plain_type(hint: Any) -> Any:
    """The type of a field without its None."""
    if isinstance(hint, types.UnionType):
        return next(part for part in typing.get_args(hint) if part is not types.NoneType)
    return hint


def _shape(filled: Mapping[str, str]) -> dict[str, Any]:
    return {
        name.removesuffix("_cm"): text if name == "form" else _number(name, text)
        for name, text in filled.items()
        if text
    }


def _value(name: str, text: str, hint: Any) -> Any:
    """What a cell holds, as JSON types."""
    if hint is str:
        return text
    text = text.strip()
    if hint is float:
        return _number(name, text)
    if hint is bool:
        if text.lower() in ("true", "false"):
            return text.lower() == "true"
        raise JournalError(f"'{name}' is {text[:40]!r}; it must be true or false")
    if isinstance(hint, type) and issubclass(hint, StrEnum):
        return text
    several = typing.get_origin(hint) is tuple
    words = text.split() if several else [text]
    if not all(word.isascii() and word.isdecimal() and len(word) < 12 for word in words):
        kind = "whole numbers such as '14 15 16'" if several else "a whole number"
        raise JournalError(f"'{name}' is {text[:40]!r}; it must be {kind}")
    numbers = [int(word) for word in words]
    return numbers if several else numbers[0]


def _number(name: str, text: str) -> float:
    try:
        return float(text)
    except ValueError:
        raise JournalError(f"'{name}' is {text[:40]!r}; it must be a number") from None
