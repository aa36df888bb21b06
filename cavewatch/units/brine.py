"""The strength of a brine as people type it, whose basis is always asked for.

Per cent by weight, salt per volume of water and the hydrometer scales are
mixed up in print; the same number means another brine in each of them.
"""

import re
import unicodedata

from cavewatch.core.brine.hydrometer import Scale
from cavewatch.core.brine.scales import (
    GERLACH,
    LITRE_OF_WATER,
    from_baume,
    from_grams_per_litre,
    from_salometer,
    from_sg,
)
from cavewatch.core.brine.strength import STRONGEST, from_mass_ratio, saturation
from cavewatch.core.errors import OutOfRangeError
from cavewatch.units.amount import mass, split, temperature, tidied, volume
from cavewatch.units.errors import UnitError, quoted

_EXAMPLE = (
    "20 % (by weight), 2.25 lb/gal or 250 g/L water (salt per water), 80 salometer, 19 Be "
    "or 1.15 SG"
)

_PER_VOLUME = re.compile(
    r"(?P<mass>[a-z]+)\s*(?:/|\bper\b)\s*(?:us\s+)?(?P<volume>[a-z]+)"
    r"(?:\s*(?:of\s+)?(?P<of>water|brine))?"
)
_ROOM = 20.0
"""Temperature of brine that is told by its volume [degC], as water is."""
_SOUREST, _MILDEST = 3.0, 9.0
"""pH outside of this is a slip of the finger, not a brine [-]. Judgement."""
_COLDEST, _WARMEST = -22.0, 100.0
"""So is a temperature outside of this: brine freezes whole, or is about to boil [degC]."""
_SCALES = {
    **dict.fromkeys(("sg", "specific gravity"), Scale.SG),
    **dict.fromkeys(("be", "baume"), Scale.BAUME),
    **dict.fromkeys(("be gerlach", "baume gerlach", "gerlach"), Scale.GERLACH),
    **dict.fromkeys(("salometer", "sal"), Scale.SALOMETER),
}


def strength(text: str) -> float:
    """Salt in a brine [% w/w].

    Read are '20 %' (by weight), '2.25 lb/gal' (salt per US gallon of water),
    '250 g/L water', '230 g/L brine' (at 20 degC), and what a hydrometer shows at 60 degF:
    '80 salometer', '19 Be' (heavy scale, modulus 145), '19 Be Gerlach', '1.15 SG' (60/60).

    Raises:
        UnitError: for anything else, a basis left open, and more salt than water holds.
    """
    number, unit = split(text, _EXAMPLE)
    if number <= 0:
        raise UnitError(f"{quoted(text)} is not above zero; write {_EXAMPLE}")
    try:
        percent = _percent(text, float(number), unit)
    except OutOfRangeError as fault:
        raise UnitError(f"{quoted(text)} is no brine: {fault}") from fault
    if percent <= 0:
        raise UnitError(f"{quoted(text)} is water without salt; write {_EXAMPLE}")
    return percent


def strength_at(text: str, temperature: float, calcium: float = 0.0) -> float:
    """A typed strength that dissolves at this temperature [% w/w]; 'saturated' is one too.

    Calcium chloride [% w/w] leaves less water for salt; that its chloride keeps a little
    more salt from dissolving is left out.

    Raises:
        UnitError: for more than dissolves, and for what `strength` refuses.
    """
    most = min(saturation(temperature) * (1.0 - calcium / 100.0), STRONGEST)
    if is_saturated(text):
        return most
    found = strength(text)
    if found > most:
        beside = f" beside {calcium:g} % calcium chloride" if calcium else ""
        raise UnitError(
            f"{quoted(text)} is {found:.2f} % by weight, more than dissolves at "
            f"{temperature:g} degC{beside}, {most:.2f} %; write saturated for that"
        )
    return found


def is_saturated(text: str) -> bool:
    """True for a strength typed as 'saturated'."""
    return text.strip().lower() == "saturated"


def basis(text: str) -> str:
    """What a strength that `strength` reads is measured by, in words."""
    words = _words(split(text, _EXAMPLE)[1])
    if words.startswith(("%", "percent")):
        return "by weight"
    if words in _SCALES:
        return "on a hydrometer at 60 °F"
    return "salt per brine at 20 °C" if words.endswith("brine") else "salt per water"


def water(text: str) -> float:
    """Water [g] from its volume or its weight: '20 L', '5 gal', '20 kg'.

    A volume counts at 20 degC.

    Raises:
        UnitError: for anything else, a number without unit, and zero or less.
    """
    example = "20 L, 5 gal or 20 kg"
    if split(text, example)[0] <= 0:
        raise UnitError(f"{quoted(text)} is not above zero; write water like {example}")
    for read, grams in ((volume, LITRE_OF_WATER), (mass, 1.0)):
        try:
            return read(text) * grams
        except UnitError:
            continue
    raise UnitError(f"{quoted(text)} is no amount of water; write it like {example}")


def part(text: str, most: float) -> float:
    """A part by weight [%] from '0.1 %', 0 to `most`.

    Raises:
        UnitError: for anything else.
    """
    number, unit = split(text, "0.1 %")
    if not re.fullmatch(r"(?:%|percent)\s*(?:w/w|by weight)?", unit) or not 0 <= number <= most:
        raise UnitError(
            f"{quoted(text)} is not a part by weight from 0 to {most:g} %; write it like 0.1 %"
        )
    return float(number)


def ph(text: str) -> float:
    """The pH of a brine, of milk or of cheese from '5.2' or 'pH 5.2', 3 to 9.

    Raises:
        UnitError: for anything else.
    """
    number, unit = split(tidied(text).removeprefix("ph"), "5.2")
    if unit or not _SOUREST <= number <= _MILDEST:
        raise UnitError(
            f"{quoted(text)} is no pH of a brine, of milk or of cheese; write one like 5.2"
        )
    return float(number)


def brine_temperature(text: str) -> float:
    """Temperature of a brine [degC] from '12 degC' or '54 degF', -22 to 100 degC.

    Raises:
        UnitError: for anything else.
    """
    found = temperature(text)
    if not _COLDEST <= found <= _WARMEST:
        raise UnitError(f"{quoted(text)} is no temperature of a brine; write it like 12 degC")
    return found


def scale(unit: str) -> Scale | None:
    """The hydrometer scale of this name, as typed behind a number; None if it is none."""
    return _SCALES.get(_words(unit))


def _words(unit: str) -> str:
    """Without accents and the word for degrees."""
    plain = "".join(c for c in unicodedata.normalize("NFD", unit) if not unicodedata.combining(c))
    return re.sub(r"^(?:°|degrees?\b|deg\b\.?)\s*", "", plain)


def _percent(text: str, number: float, unit: str) -> float:
    words = _words(unit)
    if re.fullmatch(r"(?:%|percent)\s*(?:\(?w/w\)?|by weight)?", words):
        return _by_weight(text, number)
    match _SCALES.get(words):
        case Scale.SG:
            return from_sg(number)
        case Scale.BAUME:
            return from_baume(number)
        case Scale.GERLACH:
            return from_baume(number, GERLACH)
        case Scale.SALOMETER:
            return from_salometer(number)
    per = _PER_VOLUME.fullmatch(words)
    if per is None:
        raise UnitError(
            f"{quoted(text)} does not say what kind of strength it is; write {_EXAMPLE}"
        )
    litres = volume(f"1 {per['volume']}")
    salt = mass(f"{number:.12g} {per['mass']}")
    if per["of"] == "brine":
        return from_grams_per_litre(salt / litres, _ROOM)
    if not per["of"] and not per["volume"].startswith("gal"):
        raise UnitError(
            f"{quoted(text)} may mean water or brine; "
            f"write {quoted(f'{text.strip()} water')} or {quoted(f'{text.strip()} brine')}"
        )
    return from_mass_ratio(salt, litres * LITRE_OF_WATER)


def _by_weight(text: str, number: float) -> float:
    if number > STRONGEST:
        raise UnitError(
            f"{quoted(text)} is more than water holds, {STRONGEST:g} % by weight; "
            f"salt per 100 g of water is written as {10 * number:g} g/L water"
        )
    return number
