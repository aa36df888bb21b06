"""Fields of a form: typed text to values, with the value echoed or the fault told."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any, NamedTuple

from cavewatch.core.errors import CavewatchError

Values = Mapping[str, Any]
"""What was read so far, by the name of the field."""


class EntryError(CavewatchError):
    """Something that cannot be entered, or not as typed."""


class When(NamedTuple):
    """When something happened."""

    at: float
    """[s since 1970 UTC]"""
    typed: bool
    """Typed by the clock on the wall, so that it stays when the machine's clock is set."""


class _NeededError(Exception):
    """A field asks for one that could not be read."""


class _Read(dict[str, Any]):
    """Values by the name of their field."""

    def __missing__(self, name: str) -> Any:
        raise _NeededError(name)


@dataclass(frozen=True, slots=True)
class Field:
    """One line of a form."""

    name: str
    label: str
    read: Callable[[str, Values], Any]
    """Typed text to a value, given the fields above that could be read; raises CavewatchError."""
    echo: Callable[[Any, Values], str]
    """The value in words, shown as one types."""
    initial: str = ""
    choices: tuple[tuple[str, str], ...] = ()
    """Label and text of each choice, for a field that is chosen rather than typed."""
    hint: str = ""
    """Shown where nothing is typed."""


@dataclass(frozen=True, slots=True)
class Checked:
    """A form as it stands."""

    values: dict[str, Any]
    echoes: dict[str, str]
    faults: dict[str, str]
    """What is impossible and why, by the name of the field."""


def check(fields: tuple[Field, ...], texts: Mapping[str, str]) -> Checked:
    """Read all fields in their order.

    A field that needs one above it which could not be read has no fault of its
    own: it says nothing until the other is right.
    """
    checked = Checked(_Read(), {}, {})
    for field in fields:
        try:
            value = field.read(texts[field.name], checked.values)
            checked.echoes[field.name] = field.echo(value, checked.values)
            checked.values[field.name] = value
        except _NeededError:
            checked.echoes[field.name] = ""
        except CavewatchError as fault:
            checked.faults[field.name] = str(fault)
    return checked


def filled(text: str) -> str:
    """The text; raise EntryError if there is none."""
    if not text.strip():
        raise EntryError("still to be filled in")
    return text


def optional(read: Callable[[str], Any]) -> Callable[[str, Values], Any]:
    """Reads a field that may stay empty; None is then its value."""
    return lambda text, _: read(text) if text.strip() else None


def whole(text: str, most: int) -> int:
    """A count from 1; raise EntryError for anything else."""
    typed = text.strip()
    if not (typed.isascii() and typed.isdigit() and 1 <= int(typed[:9]) <= most):
        raise EntryError(f"'{typed}' is not a whole number from 1 to {most}")
    return int(typed)


def numbers(text: str, known: Mapping[int, Any]) -> tuple[int, ...]:
    """Wheel numbers as in '14-19, 22'.

    Raises:
        EntryError: for what is no list of numbers, and for a wheel that is not there.
    """
    found: set[int] = set()
    for part in text.replace("–", "-").replace(";", ",").split(","):
        ends = [end.strip() for end in part.split("-")]
        if len(ends) > 2 or not all(end.isascii() and end.isdigit() for end in ends):
            raise EntryError(f"'{part.strip()}' is no wheel number; write them as 14-19, 22")
        first, last = (int(end[:9]) for end in (ends[0], ends[-1]))
        if last < first:
            raise EntryError(f"'{part.strip()}' runs backwards; write it as {last}-{first}")
        missing = next((n for n in range(first, last + 1) if n not in known), None)
        if missing is not None:
            raise EntryError(f"there is no wheel {missing}")
        found.update(range(first, last + 1))
    return tuple(sorted(found))
