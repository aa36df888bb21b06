"""How much acid brings brine near the pH of the cheese: a first guess, then a pH meter."""

from dataclasses import dataclass

from cavewatch.core.countdown import Span
from cavewatch.core.errors import within

ONLY_A_METER = "only a pH meter tells; add half, stir, measure, then go on in small steps"

WHEY_BUFFERS = "whey in used brine takes up acid: it may need several times as much (judgement)"

WATER_ALKALINITY = Span(0.5, 2.5, 5.0)
"""Hydrogen carbonate in tap water of unknown hardness [mmol/L]; judgement."""

_CARBONIC_PKA = 6.35
"""First dissociation of carbonic acid at 25 degC; source: LibreTexts, table E1."""


@dataclass(frozen=True, slots=True)
class Acid:
    """A product that brings one weak acid with a single step of dissociation."""

    name: str
    """As people call it, such as 'vinegar 5 %'."""
    molar_mass: float
    """Of the acid [g/mol]."""
    pka: float
    """At 25 degC."""
    content: float
    """Acid in the product [% w/w]."""


def vinegar(percent: float = 5.0) -> Acid:
    """Vinegar with this much acetic acid, 1 to 30 %; pKa: LibreTexts, table E1."""
    within("acetic acid in vinegar", percent, 1.0, 30.0, "%")
    return Acid(f"vinegar {percent:g} %", 60.05, 4.756, percent)


def lactic(percent: float = 88.0) -> Acid:
    """Lactic acid as sold, 1 to 100 %; pKa: Martin & Tartar as given in ECHA's dossier."""
    within("lactic acid", percent, 1.0, 100.0, "%")
    return Acid(f"lactic acid {percent:g} %", 90.08, 3.857, percent)


def dose(acid: Acid, ph: float, alkalinity: Span, litres: float, now: float | None = None) -> Span:
    """Product that brings water to this pH, 4.0 to 6.5 [g]; 0 if it is as sour already.

    Charge balance: the acid's ions take the place of the hydrogen carbonate that
    turns to carbonic acid at this pH, and go with the hydrogen ions then free; on
    top comes the acid that stays undissociated. Worked out for dilute water that
    keeps its carbon dioxide; PHREEQC finds a pH that is 0.01 to 0.04 lower. Salt
    changes the activities, so that in strong brine a meter is off by some tenths of
    a pH (from memory), and whey in the brine buffers it: say `ONLY_A_METER` wherever
    the dose is shown.

    Args:
        acid: the product.
        ph: wanted pH.
        alkalinity: of the water [mmol/L]; see `WATER_ALKALINITY`.
        litres: of the water, not of the brine.
        now: pH of water that such an acid has soured before, 3 to 9; None for fresh water.
    """
    within("wanted acidity", ph, 4.0, 6.5, "pH")
    within("water", litres, 0.0, 1e6, "L")
    if now is not None:
        within("acidity now", now, 3.0, 9.0, "pH")

    def grams(hydrogen_carbonate: float) -> float:
        within("alkalinity", hydrogen_carbonate, 0.0, 20.0, "mmol/L")
        before = 0.0 if now is None else _millimoles(acid, now, hydrogen_carbonate)
        more = max(0.0, _millimoles(acid, ph, hydrogen_carbonate) - before)
        return more * litres * acid.molar_mass / 1000.0 / (acid.content / 100.0)

    return Span(grams(alkalinity.low), grams(alkalinity.expected), grams(alkalinity.high))


def _millimoles(acid: Acid, ph: float, hydrogen_carbonate: float) -> float:
    """Acid in a litre of water that has come to this pH [mmol]."""
    neutralised: float = 1.0 / (1.0 + 10.0 ** (ph - _CARBONIC_PKA))
    ions: float = hydrogen_carbonate * neutralised + 1000.0 * 10.0**-ph
    acid_per_ion: float = 1.0 + 10.0 ** (acid.pka - ph)
    return ions * acid_per_ion
