"""What an alarm says in words that are data, with temperatures in braces as `core.text` has them.

Who shows it puts them into the units of who looks: `Explanation.worded`.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from cavewatch.core.alarms.alarm import Explanation, Priority
from cavewatch.core.reading import Quantity
from cavewatch.core.style import Style
from cavewatch.core.text import braced


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
    """Everything with which alarms are told."""

    texts: Texts
    length: Callable[[float], str]
    """A length of time [s]: '2 h 05 min'."""

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
            what: what is wrong, with its numbers.
            consequence: for the wheels at hand; what the text says of any cheese if empty.
            how_far: see Explanation.
            others: see Explanation.
        """
        text = self.texts[kind]
        return Explanation(
            what=what,
            causes=text.causes,
            consequence=consequence or text.consequence,
            action=text.action,
            respond_hours=text.respond / 3600.0,
            how_far=how_far,
            others=others,
        )


def shown(quantity: Quantity, value: float) -> str:
    """A value within a text: '84 %', '{13 degC}'."""
    if quantity is Quantity.TEMPERATURE:
        return braced(value, "degC")
    return f"{round(value) + 0:.0f} %"


def apart(quantity: Quantity, value: float) -> str:
    """A difference of values within a text: '0.6 %', '{1.5 K}'."""
    if quantity is Quantity.TEMPERATURE:
        return braced(value, "K")
    return f"{round(value, 1) + 0.0:.1f} %"
