"""The plain form of an act: JSON types, used alike by the store, by files and in the record."""

import dataclasses
import types
import typing
from enum import StrEnum
from typing import Any

from cavewatch.core.errors import CavewatchError
from cavewatch.core.journal.acts import (
    Acidity,
    Acknowledged,
    Act,
    Assayed,
    BackInService,
    BrineMeasured,
    Corrected,
    Ended,
    Lifted,
    Made,
    Milk,
    Moved,
    Noted,
    OutOfService,
    Reset,
    Salted,
    SensorChecked,
    Shelved,
    Suppressed,
    Tended,
    Testing,
    Turned,
    Unshelved,
    Voided,
    Washed,
    Weighed,
)
from cavewatch.core.shape import Cuboid, Cylinder, Form, Shape, Sphere


class JournalError(CavewatchError):
    """An entry that cannot be read or does not fit what is known."""


KINDS: dict[str, type[Act]] = {
    "made": Made,
    "turned": Turned,
    "washed": Washed,
    "salted": Salted,
    "lifted": Lifted,
    "moved": Moved,
    "ended": Ended,
    "assayed": Assayed,
    "weighed": Weighed,
    "brine": BrineMeasured,
    "tended": Tended,
    "note": Noted,
    "milk": Milk,
    "ph": Acidity,
    "acknowledged": Acknowledged,
    "shelved": Shelved,
    "unshelved": Unshelved,
    "out of service": OutOfService,
    "back in service": BackInService,
    "reset": Reset,
    "corrected": Corrected,
    "suppressed": Suppressed,
    "sensor checked": SensorChecked,
    "testing": Testing,
    "voided": Voided,
}
"""Act by the name that stands for it in the store and in files."""

_NAMES = {act: name for name, act in KINDS.items()}
_FORMS: dict[Form, type[Shape]] = {
    Form.WHEEL: Cylinder,
    Form.BLOCK: Cuboid,
    Form.BALL: Sphere,
}


def kind_of(act: Act) -> str:
    """The name of the act's kind, as in KINDS."""
    return _NAMES[type(act)]


def to_plain(act: Act) -> dict[str, Any]:
    """The act as JSON types, `kind` first; fields at their default are left out."""
    plain: dict[str, Any] = {"kind": kind_of(act)}
    for field in dataclasses.fields(act):
        value = getattr(act, field.name)
        if value == field.default:
            continue
        if isinstance(value, Cylinder | Cuboid | Sphere):
            form = next(form for form, shape in _FORMS.items() if isinstance(value, shape))
            value = {"form": form.value, **dataclasses.asdict(value)}
        elif isinstance(value, tuple):
            value = list(value)
        elif isinstance(value, StrEnum):
            value = value.value
        plain[field.name] = value
    return plain


def from_plain(plain: Any) -> Act:
    """The act that `to_plain` gave.

    Raises:
        JournalError: naming the key at fault, for anything else.
    """
    if not isinstance(plain, dict):
        raise JournalError("an entry must be an object with a 'kind'")
    kind = plain.get("kind")
    if kind not in KINDS:
        raise JournalError(f"'kind' is {kind!r}; it must be one of {', '.join(KINDS)}")
    cls = KINDS[kind]
    hints = typing.get_type_hints(cls)
    values: dict[str, Any] = {}
    for field in dataclasses.fields(cls):
        if field.name in plain:
            values[field.name] = _parsed(
                f"{kind}: '{field.name}'", plain[field.name], hints[field.name]
            )
        elif field.default is dataclasses.MISSING:
            raise JournalError(f"{kind}: '{field.name}' is missing")
    for key in plain:
        if key != "kind" and key not in hints:
            raise JournalError(f"{kind}: '{key}' is not known; it may have {', '.join(hints)}")
    return cls(**values)


def _parsed(where: str, value: Any, hint: Any) -> Any:
    """Check a JSON value against a field's type and turn it into that type."""
    if isinstance(hint, types.UnionType):
        parts = typing.get_args(hint)
        if types.NoneType in parts and value is None:
            return None
        if Cylinder in parts:
            return _shape(where, value)
        hint = next(part for part in parts if part is not types.NoneType)
    if hint is float:
        if isinstance(value, int | float) and not isinstance(value, bool) and abs(value) < 1e12:
            return float(value)
        raise JournalError(f"{where} is {value!r}; it must be a number")
    if typing.get_origin(hint) is tuple:
        if isinstance(value, list) and all(type(item) is int for item in value):
            return tuple(value)
        raise JournalError(f"{where} is {value!r}; it must be a list of wheel numbers")
    if isinstance(hint, type) and issubclass(hint, StrEnum):
        if value in tuple(hint):
            return hint(value)
        raise JournalError(f"{where} is {value!r}; it must be one of {', '.join(hint)}")
    if type(value) is not hint:
        names = {int: "a whole number", str: "text", bool: "true or false"}
        raise JournalError(f"{where} is {value!r}; it must be {names[hint]}")
    return value


def _shape(where: str, value: Any) -> Shape:
    if not isinstance(value, dict) or value.get("form") not in tuple(Form):
        raise JournalError(f"{where} needs a 'form', one of {', '.join(Form)}")
    cls = _FORMS[Form(value["form"])]
    names = [field.name for field in dataclasses.fields(cls)]
    if set(value) != {"form", *names}:
        raise JournalError(f"{where} needs {', '.join(names)} in cm")
    sizes = {name: _parsed(f"{where} {name}", value[name], float) for name in names}
    if min(sizes.values()) <= 0:
        raise JournalError(f"{where} has a size that is not above 0 cm")
    return cls(**sizes)
