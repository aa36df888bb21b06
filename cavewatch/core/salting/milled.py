"""Salt milled into the curd: the dose that leaves the target in the pressed cheese.

dose = salt wanted in the cheese x (cheese per curd) / (part that stays). What does not
stay drains away with the whey. Cheddar milled with 2.7 % salt kept 42 to 59 % of it and
gave 0.85 to 0.87 of its mass as cheese (South Dakota State University, dairy publication
351; the second worked out from dose, salt and retention). The part that stays falls as the
dose rises (Queensland 1962).
"""

from dataclasses import dataclass

from cavewatch.core.countdown import Span
from cavewatch.core.errors import CavewatchError, within
from cavewatch.core.salting.target import Basis, Target, aim_of
from cavewatch.core.style import Figure, Style

MOST_APPLICATIONS = 3


@dataclass(frozen=True, slots=True)
class MilledAsked:
    """Curd still to be salted."""

    style: Style
    curd: float
    """Weight of the milled curd [g]."""
    target: Target | None = None
    """Of the pressed cheese; None: what the style aims at, less what it loses in ageing."""
    retention: float | None = None
    """Part of the salt that stays [-]; None: as the style book has it."""
    applications: int = 1
    """In how many parts the salt goes on."""


@dataclass(frozen=True, slots=True)
class Milled:
    """How curd is salted."""

    dose: float
    """Salt in all [g]."""
    applications: tuple[float, ...]
    """The same in parts [g]."""
    drains: Span
    """Part of the salt that leaves with the whey [-]."""
    drained: Span
    """The same [g]."""
    cheese: Span
    """Weight of the pressed cheese [g]."""
    salt_percent: Span
    """Salt in the pressed cheese [% of its weight]."""
    salt_in_moisture: Span
    """[g per 100 g of its water]"""
    target: Target
    moisture: float
    """Of the pressed cheese [%]."""


def milled(asked: MilledAsked) -> Milled:
    """The dose of salt, what drains, and the range that comes of it.

    Raises:
        CavewatchError: if the style is not salted so, and for what no curd can be.
    """
    style = asked.style
    if style.milled is None:
        raise CavewatchError(f"{style.name} is not salted in the milled curd")
    curd = within("weight of the curd", asked.curd, 50.0, 1e7, "g")
    within("number of applications", asked.applications, 1, MOST_APPLICATIONS, "")
    kept, yields = style.milled.retention, style.milled.cheese_per_curd
    if asked.retention is not None:
        part = within("part of the salt that stays", 100 * asked.retention, 5.0, 100.0, "%") / 100
        kept = Figure(part, part, part, "stated")
    moisture = style.moisture
    target = asked.target or aim_of(style)
    wanted = target.value / 100.0
    if target.basis is Basis.MOISTURE:
        wanted *= moisture.value / 100.0
    dose = wanted * yields.value * curd / kept.value
    salt = Span(dose * kept.low, dose * kept.value, dose * kept.high)
    percent = Span(
        100.0 * salt.low / (yields.high * curd),
        100.0 * salt.expected / (yields.value * curd),
        100.0 * salt.high / (yields.low * curd),
    )
    return Milled(
        dose=dose,
        applications=(dose / asked.applications,) * asked.applications,
        drains=Span(1.0 - kept.high, 1.0 - kept.value, 1.0 - kept.low),
        drained=Span(dose - salt.high, dose - salt.expected, dose - salt.low),
        cheese=Span(yields.low * curd, yields.value * curd, yields.high * curd),
        salt_percent=percent,
        salt_in_moisture=Span(
            100.0 * percent.low / moisture.high,
            100.0 * percent.expected / moisture.value,
            100.0 * percent.high / moisture.low,
        ),
        target=target,
        moisture=moisture.value,
    )
