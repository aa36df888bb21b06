"""Values as people read them, in the maker's units.

The factors are exact by definition and stand here as numbers, because what
only shows values must not load pint; the tests hold them against it.
"""

import re
from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum

from cavewatch.core.countdown import Span
from cavewatch.core.shape import Cuboid, Cylinder, Shape
from cavewatch.core.text import in_units

_GRAMS_PER_POUND = 453.59237
_GRAMS_PER_OUNCE = _GRAMS_PER_POUND / 16
_CENTIMETRES_PER_INCH = 2.54
_LITRES_PER_GALLON = 3.785411784
_US_UNITS = re.compile(
    r"(?<![a-z])(?:lbs?|pounds?|oz|ounces?|gal|gallons?|qt|quarts?|f|degf|fahrenheit)(?![a-z])"
)


class System(StrEnum):
    """A system of units; brine and salt are per cent in both."""

    METRIC = "metric"
    US = "us"


def system_of(texts: Iterable[str]) -> System:
    """The system that typed values are in: of the United States if any of them is."""
    us = any(_US_UNITS.search(text.lower()) for text in texts)
    return System.US if us else System.METRIC


@dataclass(frozen=True, slots=True)
class Display:
    """Turns the core's values into short texts of one system."""

    system: System = System.METRIC

    @property
    def _us(self) -> bool:
        return self.system is System.US

    def temperature(self, celsius: float) -> str:
        """A temperature [degC] as '13.0 °C' or '55.4 °F'."""
        value = celsius * 1.8 + 32 if self._us else celsius
        return f"{_fixed(value, 1)} {'°F' if self._us else '°C'}"

    def told(self, text: str) -> str:
        """A text of the core with the temperatures and weights in it in this system."""
        said = {"degC": self.temperature, "K": self.temperature_difference, "g": self.mass}
        return in_units(text, said)

    def temperature_difference(self, kelvins: float) -> str:
        """A difference of temperatures [K] as '1.5 °C' or '2.7 °F'."""
        value = kelvins * 1.8 if self._us else kelvins
        return f"{_fixed(value, 1)} {'°F' if self._us else '°C'}"

    def humidity(self, percent: float) -> str:
        """A relative humidity [%] as '88 %'."""
        return f"{_fixed(percent, 0)} %"

    def humidity_difference(self, percent: float) -> str:
        """A difference of relative humidities [%] as '0.6 %'."""
        return f"{_fixed(percent, 1)} %"

    def strength(self, percent: float) -> str:
        """The strength of a brine [% w/w] as '20.1 %'."""
        return f"{_fixed(percent, 1)} %"

    def salt(self, percent: float) -> str:
        """Salt in a cheese [% of the cheese] as '1.8 %'."""
        return f"{_fixed(percent, 1)} %"

    def mass(self, grams: float) -> str:
        """A weight [g] as '2.3 kg', '410 g' or '4.2 g'; '5.1 lb', '14 oz' or '0.15 oz'."""
        size, unit = self._weighed(grams)
        return f"{_short(grams / size, unit)} {unit}"

    def dose(self, grams: Span) -> str:
        """A weight with its range [g] as '38 to 52 g', or as one weight where that rounds away."""
        size, unit = self._weighed(grams.high)
        low, high = (_short(edge / size, unit) for edge in (grams.low, grams.high))
        return f"{high} {unit}" if low == high else f"{low} to {high} {unit}"

    def ranged(self, grams: Span) -> str:
        """A weight [g] as '0.9 kg (0.7 to 1.1 kg)', or alone where the range rounds away."""
        size, unit = self._weighed(grams.high)
        dose = self.dose(grams)
        if " to " not in dose:
            return self.to_weigh(grams.expected)
        return f"{_short(grams.expected / size, unit)} {unit} ({dose})"

    def about(self, grams: Span) -> str:
        """A weight [g] known roughly, to two figures: '42 kg (36 to 49 kg)'."""
        size, unit = self._weighed(grams.high)
        low, expected, high = (
            f"{float(f'{each / size:.2g}'):g}" for each in (grams.low, grams.expected, grams.high)
        )
        return f"{expected} {unit}" + ("" if low == high else f" ({low} to {high} {unit})")

    def volume(self, litres: float) -> str:
        """A volume [L] as '60 L' or '16 gal'."""
        size, unit = (_LITRES_PER_GALLON, "gal") if self._us else (1.0, "L")
        return f"{_short(litres / size, unit)} {unit}"

    def to_weigh(self, grams: float) -> str:
        """A weight to weigh out [g], to three figures: '1.25 kg', '748 g'; '2.75 lb', '1.50 oz'."""
        size, unit = self._weighed(grams)
        return f"{_figures(grams / size)} {unit}"

    def to_measure(self, litres: float) -> str:
        """A volume to measure out [L], to three figures: '23.6 L' or '6.23 gal', '61.0 mL'."""
        if litres < 0.9995:
            return f"{_figures(1000 * litres)} mL"
        size, unit = (_LITRES_PER_GALLON, "gal") if self._us else (1.0, "L")
        return f"{_figures(litres / size)} {unit}"

    @staticmethod
    def days(days: float) -> str:
        """Days as a model gives them, to two figures: '17 d', '1200 d'."""
        return f"{float(f'{days:.2g}'):.0f} d"

    def length(self, centimetres: float) -> str:
        """A length [cm] as '0.6 cm' or '0.2 in'."""
        factor, unit = (_CENTIMETRES_PER_INCH, "in") if self._us else (1.0, "cm")
        return f"{_fixed(centimetres / factor, 1)} {unit}"

    def shape(self, shape: Shape) -> str:
        """A size [cm] as '18.0 x 8.0 cm', '7.1 x 3.1 in' or 'ball 12.0 cm'."""
        if isinstance(shape, Cylinder):
            sizes: tuple[float, ...] = (shape.diameter, shape.height)
        elif isinstance(shape, Cuboid):
            sizes = (shape.length, shape.width, shape.height)
        else:
            sizes = (shape.diameter,)
        factor = _CENTIMETRES_PER_INCH if self._us else 1.0
        text = " x ".join(_fixed(size / factor, 1) for size in sizes)
        return f"{'ball ' if len(sizes) == 1 else ''}{text} {'in' if self._us else 'cm'}"

    def _weighed(self, grams: float) -> tuple[float, str]:
        """The size [g] and name of the unit that suits a weight; the rounded value decides."""
        if self._us:
            small = round(grams / _GRAMS_PER_OUNCE, 0) < 16
            return (_GRAMS_PER_OUNCE, "oz") if small else (_GRAMS_PER_POUND, "lb")
        return (1.0, "g") if round(grams, 0) < 1000 else (1000.0, "kg")


def _short(value: float, unit: str) -> str:
    """Two or three figures, as a kitchen scale shows them."""
    if unit in ("kg", "lb"):
        return _fixed(value, 1 if round(value, 1) < 100 else 0)
    if round(value, 2) < 1:
        return _fixed(value, 2)
    return _fixed(value, 1 if round(value, 1) < 10 else 0)


def _figures(value: float) -> str:
    """Three figures, but no more than two decimals."""
    for decimals, below in ((2, 10), (1, 100)):
        if round(value, decimals) < below:
            return _fixed(value, decimals)
    return _fixed(value, 0)


def _fixed(value: float, decimals: int) -> str:
    """Rounded; without the sign that a rounded-away negative would keep."""
    return f"{round(value, decimals) + 0.0:.{decimals}f}"
