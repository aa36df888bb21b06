"""Whom an alarm is about: a place, and the wheels in it."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from cavewatch.core.alarms.texts import Text
from cavewatch.core.place import Place, PlaceKind
from cavewatch.core.reading import Quantity
from cavewatch.core.urgent import wheel_words
from cavewatch.core.wheel import Wheel


@dataclass(frozen=True, slots=True)
class Here:
    """A place with the wheels in it at one moment."""

    place: Place
    wheels: tuple[Wheel, ...]
    """Those in the place, by number."""
    at: float
    """[s since 1970 UTC]"""
    measured: Mapping[Quantity, float] = field(default_factory=dict)
    """What is measured here, for limits that depend on it."""

    def kind(self, quantity: Quantity, what: object) -> str:
        """Key of the text for something about a quantity here: 'brine temperature high'."""
        brine = self.place.kind is PlaceKind.TUB and quantity is Quantity.TEMPERATURE
        return f"{'brine ' if brine else ''}{quantity} {what}"


def by_style(wheels: Iterable[Wheel]) -> str:
    """Wheels with their styles: 'wheels 1–6 (Tilsit) and wheel 9 (Brie)'; empty for none."""
    numbers: dict[str, list[int]] = {}
    for wheel in wheels:
        numbers.setdefault(wheel.style.name, []).append(wheel.id)
    return _joined(f"{wheel_words(found)} ({name})" for name, found in numbers.items())


def consequence(text: Text, wheels: Iterable[Wheel]) -> str:
    """What happens to these wheels; styles that suffer alike are named together.

    Empty where the text says nothing of any of them in particular.
    """
    styles = {wheel.style.id: wheel.style for wheel in wheels}.values()
    alike: dict[str, list[str]] = {}
    for style in styles:
        alike.setdefault(text.for_style(style) or text.consequence, []).append(style.name)
    if set(alike) <= {text.consequence}:
        return ""
    return "; ".join(f"{_joined(names)}: {what}" for what, names in alike.items())


def _joined(words: Iterable[str]) -> str:
    *first, last = [*words] or [""]
    return f"{', '.join(first)} and {last}" if first else last
