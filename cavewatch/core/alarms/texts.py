"""What an alarm says in words that are data, and the tongue in which it is told."""

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass

from cavewatch.core.alarms.alarm import Explanation, Priority
from cavewatch.core.ranges import Show
from cavewatch.core.reading import Quantity
from cavewatch.core.style import Style

VALUE = re.compile(r"\{(-?\d+(?:\.\d+)?) degC\}")
"""A temperature within a text, such as '{1.7 degC}', to be shown in the maker's units."""


@dataclass(frozen=True, slots=True)
class Text:
    """What one kind of alarm says beside its numbers; plain sentences without markup."""

    word: str
    """What is wrong, after the place's name and 'is': 'too dry'."""
    priority: Priority
    causes: str
    """Likely causes."""
    consequence: str
    """What happens to any cheese if nothing is done."""
    wheels: Mapping[str, str]
    """What happens to cheese of a style or a family, by the style's id or the family."""
    action: str
    """What to do."""
    respond: float
    """Time to respond [s]."""

    def for_style(self, style: Style) -> str:
        """What happens to wheels of a style; empty where nothing is said of it."""
        return self.wheels.get(style.id, self.wheels.get(style.family, ""))


Texts = Mapping[str, Text]
"""By kind of alarm, such as 'humidity low'."""


@dataclass(frozen=True, slots=True)
class Words:
    """Everything with which alarms are told: the texts, and the maker's units."""

    texts: Texts
    show: Show
    """A value: '84 %', '13.0 °C'."""
    apart: Show
    """A difference of values: '6 %', '1.5 °C'."""
    length: Callable[[float], str]
    """A length of time [s]: '2 h 05 min'."""

    def in_units(self, text: str) -> str:
        """The text with the temperatures in it in the maker's units."""
        return VALUE.sub(lambda found: self.show(Quantity.TEMPERATURE, float(found[1])), text)

    def explained(
        self,
        kind: str,
        what: str,
        consequence: str = "",
        how_far: str = "",
        others: str = "",
    ) -> Explanation:
        """What an alarm of this kind tells.

        Args:
            kind: key of its text.
            what: what is wrong, with numbers in the maker's units.
            consequence: for the wheels at hand; what the text says of any cheese if empty.
            how_far: see Explanation.
            others: see Explanation.
        """
        text = self.texts[kind]
        return Explanation(
            what=what,
            causes=self.in_units(text.causes),
            consequence=self.in_units(consequence or text.consequence),
            action=self.in_units(text.action),
            respond_hours=text.respond / 3600.0,
            how_far=how_far,
            others=others,
        )
