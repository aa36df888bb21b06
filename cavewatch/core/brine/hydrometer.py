"""A hydrometer in brine: from what it reads to strength, and back.

It floats to the mark whose density is that of the brine it stands in. Its marks were
drawn for its calibration temperature, so a brine that is warmer or colder reads weaker or
stronger than it is; working through density puts that right. The glass's own expansion
is not worked in but counted in the error.
"""

from dataclasses import dataclass
from enum import StrEnum
from math import hypot

from cavewatch.core.brine.agreement import ImpossibleReadingError, Measured, whey, whey_remarks
from cavewatch.core.brine.density import (
    density,
    strength_of,
    water,
    with_calcium,
    without_calcium,
)
from cavewatch.core.brine.scales import GERLACH, HEAVY, from_salometer, to_salometer
from cavewatch.core.brine.strength import STRONGEST, saturation
from cavewatch.core.countdown import Span
from cavewatch.core.errors import CavewatchError, within


class Scale(StrEnum):
    """What a hydrometer's marks mean."""

    SG = "SG"
    BAUME = "Be"
    GERLACH = "Be Gerlach"
    SALOMETER = "salometer"


USUAL_DIVISION = {Scale.SG: 0.002, Scale.BAUME: 0.5, Scale.GERLACH: 0.5, Scale.SALOMETER: 1.0}
"""Width of the marks if nobody says [the scale's unit]. Common practice, no source."""

_MODULUS = {Scale.BAUME: HEAVY, Scale.GERLACH: GERLACH}

_DECIMALS = {Scale.SG: 3, Scale.BAUME: 1, Scale.GERLACH: 1, Scale.SALOMETER: 0}

_UNSURE_TEMPERATURE = 0.5
"""[K]"""
_UNSURE_FORMULA = 0.5
"""Of the density formula, from 10 degC up [kg/m3]; twice that below. See `density`."""
_UNSURE_CALCIUM = 0.1
"""Share of what is taken out for calcium, in brine of 10 to 24 % salt."""
_GLASS = 2.5e-5
"""Growth of glass, as a share of its volume [1/K]. From memory, soda-lime glass."""

_WHEY_AS_SALT = 0.5
"""A gram of whey solids makes brine about half as much denser as a gram of salt: sugar
against salt in water, 0.38 and 0.75 kg/m3 per g/L (handbook tables, from memory)."""


@dataclass(frozen=True, slots=True)
class Hydrometer:
    """The instrument."""

    scale: Scale
    calibrated: float
    """Temperature at which its marks are right [degC]; SG and Baume are over water there."""
    division: float | None = None
    """Width of its marks [the scale's unit]; None for the usual one."""

    def __post_init__(self) -> None:
        water(self.calibrated)
        usual = USUAL_DIVISION[self.scale]
        if self.division is not None and not 0.0 < self.division <= 10.0 * usual:
            raise CavewatchError(
                f"the hydrometer's marks are {self.division:g} {self.scale} apart; write a "
                f"width above 0 and up to {10.0 * usual:g}, such as {usual:g}"
            )

    @property
    def half_division(self) -> float:
        """How far off a reading between two marks may be [the scale's unit]."""
        return (USUAL_DIVISION[self.scale] if self.division is None else self.division) / 2.0


def shows(
    instrument: Hydrometer, strength: float, temperature: float, calcium: float = 0.0
) -> float:
    """What it should read in brine of this strength and temperature [the scale's unit].

    `calcium` is the calcium chloride in the brine, anhydrous [% w/w], 0 to 5.

    Raises:
        OutOfRangeError: for what is no brine.
        ImpossibleReadingError: where it floats beyond the ends of a salometer, as in
            nearly saturated brine that is colder than its calibration.
    """
    afloat = with_calcium(density(strength, temperature), calcium, temperature)
    if instrument.scale is Scale.SALOMETER:
        light, heavy = _ends(instrument)
        if not light <= afloat <= heavy:
            raise ImpossibleReadingError(
                f"a salometer for {instrument.calibrated:.3g} degC has no mark for brine of "
                f"{strength:g} % at {temperature:g} degC; bring both to one temperature"
            )
    return _mark(instrument, afloat)


def read(
    instrument: Hydrometer,
    reading: float,
    temperature: float,
    calcium: float = 0.0,
    passed: float | None = None,
) -> Measured:
    """Strength of a brine by hydrometer.

    The range joins in quadrature, each as what it is within nineteen times in twenty: half a
    division, 0.5 K of temperature, 0.5 kg/m3 of the density formula (1 below 10 degC),
    the glass and a tenth of the calcium's part.

    Args:
        instrument: which hydrometer.
        reading: in its scale's unit.
        temperature: of the brine it stands in [degC], 0 to 40.
        calcium: calcium chloride in the brine, anhydrous [% w/w], 0 to 5; taken out.
        passed: cheese that went through, per litre of brine [kg/L]; widens the low side.

    Raises:
        ImpossibleReadingError: below water, and beyond saturated salt.
    """
    t = within("temperature", temperature, 0.0, 40.0, "degC")
    strongest = min(saturation(t), STRONGEST)
    lightest, heaviest = density(0.0, t), density(strongest, t)
    lowest, highest = (with_calcium(each, calcium, t) for each in (lightest, heaviest))
    unsure = _unsure(instrument, strongest, t, highest)
    half = instrument.half_division
    if not reading + half >= _on_stem(instrument, lowest - unsure):
        raise ImpossibleReadingError(
            f"{_words(instrument, reading)} is below water without salt at {t:g} degC, which "
            f"reads {_number(instrument, _on_stem(instrument, lowest))}; look for another "
            "scale or another calibration temperature than was said"
        )
    if not reading - half <= _on_stem(instrument, highest + unsure):
        raise ImpossibleReadingError(
            f"{_words(instrument, reading)} is beyond saturated salt at {t:g} degC, which reads "
            f"{_number(instrument, _on_stem(instrument, highest))} at most; look for "
            "undissolved fines, calcium chloride that was not named, whey in old brine, or "
            "another scale than was said"
        )
    below, found, above = (
        _density_at(instrument, each) for each in (reading - half, reading, reading + half)
    )
    plain = without_calcium(found, calcium, t)
    spread = hypot(max(above - found, found - below), unsure)
    low, expected, high = (
        strength_of(min(max(each, lightest), heaviest), t)
        for each in (plain - spread, plain, plain + spread)
    )
    remarks = whey_remarks(passed)
    if plain >= heaviest:
        remarks = ("this is saturated brine, within the error of the instrument", *remarks)
    return Measured(
        Span(max(low - whey(passed, _WHEY_AS_SALT), 0.0), expected, high),
        f"{instrument.scale} hydrometer",
        remarks,
    )


def _unsure(instrument: Hydrometer, strength: float, temperature: float, afloat: float) -> float:
    """What the density of a brine may be off without the reading's own error [kg/m3].

    Args:
        instrument: for its glass.
        strength: of the salt alone [% w/w].
        temperature: of the brine [degC].
        afloat: density of the brine with its calcium [kg/m3].
    """
    plain = density(strength, temperature)
    return hypot(
        _UNSURE_TEMPERATURE * (plain - density(strength, temperature + 1.0)),
        _UNSURE_FORMULA * (1.0 if temperature >= 10.0 else 2.0),
        _GLASS * (temperature - instrument.calibrated) * afloat,
        _UNSURE_CALCIUM * (afloat - plain),
    )


def _mark(instrument: Hydrometer, afloat: float) -> float:
    """The reading in a liquid of this density [kg/m3]."""
    if instrument.scale is Scale.SALOMETER:
        return to_salometer(strength_of(afloat, instrument.calibrated))
    sg = afloat / water(instrument.calibrated)
    if instrument.scale is Scale.SG:
        return sg
    modulus = _MODULUS[instrument.scale]
    return modulus - modulus / sg


def _on_stem(instrument: Hydrometer, afloat: float) -> float:
    """As `_mark`, but a salometer's stem ends at 0 and 100."""
    if instrument.scale is Scale.SALOMETER:
        light, heavy = _ends(instrument)
        afloat = min(max(afloat, light), heavy)
    return _mark(instrument, afloat)


def _ends(salometer: Hydrometer) -> tuple[float, float]:
    """Densities at both ends of a salometer's stem [kg/m3]."""
    return _density_at(salometer, 0.0), _density_at(salometer, 100.0)


def _density_at(instrument: Hydrometer, reading: float) -> float:
    """Density for which a mark was drawn [kg/m3]; beyond a salometer's ends, of its ends."""
    if instrument.scale is Scale.SALOMETER:
        return density(from_salometer(min(max(reading, 0.0), 100.0)), instrument.calibrated)
    if instrument.scale is Scale.SG:
        return reading * water(instrument.calibrated)
    modulus = _MODULUS[instrument.scale]
    return modulus / (modulus - reading) * water(instrument.calibrated)


def _number(instrument: Hydrometer, reading: float) -> str:
    return f"{reading:.{_DECIMALS[instrument.scale]}f}"


def _words(instrument: Hydrometer, reading: float) -> str:
    """'SG 1.300', '30.0 Be'."""
    number = _number(instrument, reading)
    return f"SG {number}" if instrument.scale is Scale.SG else f"{number} {instrument.scale}"
