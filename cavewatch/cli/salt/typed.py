"""What was typed behind `cavewatch salt`, turned into what the planner is asked."""

import re
from dataclasses import dataclass, replace

from cavewatch import units
from cavewatch.core.brine import hydrometer
from cavewatch.core.brine.hydrometer import Hydrometer
from cavewatch.core.brine.strength import SIXTY_F
from cavewatch.core.errors import CavewatchError, within
from cavewatch.core.salting.asked import Asked
from cavewatch.core.salting.clock import REFERENCE
from cavewatch.core.salting.guesses import Rate
from cavewatch.core.salting.milled import MilledAsked
from cavewatch.core.salting.surroundings import PARTITION
from cavewatch.core.style import Figure, Method, Style, StyleBook
from cavewatch.styles import load
from cavewatch.units import HydrometerReading, UnitError

UNNAMED = "unnamed"
"""Id of the style that stands in where none was named."""
ASSUMED_MOISTURE = "45 %"
"""Of a cheese without style; judgement: as in semi-hard ones."""

_FOR = {
    "brine": (Method.BRINE,),
    "tub": (Method.BRINE,),
    "wheels": (Method.BRINE,),
    "floating": (Method.BRINE,),
    "bare_top": (Method.BRINE,),
    "coats": (Method.DRY,),
    "front_loaded": (Method.DRY,),
    "retention": (Method.DRY, Method.MILLED),
    "applications": (Method.MILLED,),
    **dict.fromkeys(
        (
            "size",
            "temperature",
            "wheel_temperature",
            "hold",
            "diffusivity",
            "partition",
            "rate_factor",
            "in_at",
            "out_by",
            "awake",
            "compare",
        ),
        (Method.BRINE, Method.DRY),
    ),
}
"""Options that are only for some methods."""
_WORDS = {Method.BRINE: "brine", Method.DRY: "dry salt", Method.MILLED: "milled curd"}
_SPELLED = {"hold": "for", "floating": "floating or --submerged"}


@dataclass(frozen=True, slots=True)
class Typed:
    """The options as they were typed; None where one was left out."""

    style: str | None
    weight: str | None
    size: str | None
    method: str | None
    moisture: str | None
    brine: str | None
    tub: str | None
    wheels: int | None
    temperature: str | None
    wheel_temperature: str | None
    target: str | None
    hold: str | None
    floating: bool | None
    bare_top: bool | None
    diffusivity: str | None
    partition: float | None
    rate_factor: float | None
    coats: int | None
    front_loaded: bool | None
    retention: str | None
    applications: int | None
    grain: str
    in_at: str | None
    out_by: str | None
    awake: str | None
    compare: str | None

    @property
    def texts(self) -> tuple[str | None, ...]:
        """Those that tell in which units the maker thinks."""
        return (self.weight, self.size, self.brine, self.tub, self.temperature)


def style_of(typed: Typed, book: StyleBook) -> Style:
    """The style that was named, or one without a name for what was said of the cheese."""
    if typed.style is None:
        return _unnamed(typed)
    if typed.style not in book:
        known = ", ".join(sorted(book))
        raise CavewatchError(f"there is no style {units.quoted(typed.style)}; write one of {known}")
    style = book[typed.style]
    if typed.moisture is None:
        return style
    moisture = _moisture(typed.moisture)
    return replace(style, moisture=Figure(moisture, moisture, moisture, "stated"))


def _unnamed(typed: Typed) -> Style:
    if typed.target is None and typed.hold is None:
        raise CavewatchError(
            "say which cheese: --style gouda, or what it is to have: --target '1.8 %'"
        )
    if typed.weight is None and typed.size is None:
        raise CavewatchError(
            "say how large the cheese is: --weight '5 lb' or --size '18 cm x 8 cm'"
        )
    moisture = _moisture(typed.moisture or ASSUMED_MOISTURE)
    table = {
        "name": "Cheese",
        "family": "none",
        "moisture": moisture,
        "salt": 1.8,
        "methods": [method.value for method in Method],
        "proportions": {"form": "wheel", "flatness": 0.45},
        "weight": {"value": 2300, "low": 20, "high": 200_000, "source": "judgement"},
    }
    return load({UNNAMED: table}, "command line")[UNNAMED]


def _moisture(text: str) -> float:
    return within("moisture of the cheese", 100.0 * units.share(text, "43 %"), 25.0, 85.0, "%")


def method_of(typed: Typed, style: Style) -> Method:
    """The method that was named, or the style's usual one; options for another are refused."""
    method = Method(typed.method) if typed.method else style.methods[0]
    for name, methods in _FOR.items():
        if getattr(typed, name) is not None and method not in methods:
            others = " or ".join(_WORDS[each] for each in methods)
            raise CavewatchError(
                f"--{_SPELLED.get(name, name.replace('_', '-'))} is for {others}, and "
                f"{style.name} is to be salted by {_WORDS[method]}; leave it out or choose "
                f"--method {methods[0].value}"
            )
    return method


def milled_asked(typed: Typed, style: Style) -> MilledAsked:
    """Curd to be salted as it is milled."""
    if typed.weight is None:
        raise CavewatchError("say how much curd there is: --weight '10 kg'")
    return MilledAsked(
        style=style,
        curd=units.mass(typed.weight),
        target=units.target(typed.target) if typed.target else None,
        retention=units.share(typed.retention) if typed.retention else None,
        applications=typed.applications or 1,
    )


def asked_of(typed: Typed, style: Style, method: Method, learned: Rate | None = None) -> Asked:
    """Wheels to be brined or salted dry, at the rate learned from the maker's wheels if any was."""
    if typed.target is not None and typed.hold is not None:
        raise CavewatchError("--target asks how long, --for says how long; say one of the two")
    temperature = units.temperature(typed.temperature) if typed.temperature else REFERENCE
    shape = units.shape(typed.size) if typed.size else None
    if typed.weight:
        weight = units.mass(typed.weight)
    else:
        weight = shape.volume * style.density.value if shape else style.weight.value
    warm = typed.wheel_temperature
    return Asked(
        style=style,
        method=method,
        weight=weight,
        shape=shape or style.proportions.sized(weight / style.density.value),
        temperature=temperature,
        strength=brine_of(typed.brine, temperature) if typed.brine else _usual_strength(style),
        litres=units.volume(typed.tub) if typed.tub else None,
        wheels=1 if typed.wheels is None else typed.wheels,
        target=units.target(typed.target) if typed.target else None,
        hold=units.duration(typed.hold) if typed.hold else None,
        diffusivity=units.diffusivity(typed.diffusivity) if typed.diffusivity else None,
        partition=PARTITION if typed.partition is None else typed.partition,
        rate=learned if typed.rate_factor is None else Rate(typed.rate_factor, 0.0),
        floats=typed.floating is not False,
        bare_top=bool(typed.bare_top),
        wheel_temperature=units.temperature(warm) if warm else None,
        retention=units.share(typed.retention) if typed.retention else None,
        coats=typed.coats,
        front_loaded=bool(typed.front_loaded),
    )


def brine_of(text: str, temperature: float) -> float:
    """Strength of a brine [% w/w]; a hydrometer's reading may say its temperature.

    '20 %', '19 Be', '1.15 SG' and 'saturated' as everywhere; '1.148 SG at 12 degC' is what
    an instrument for 60 degF shows in brine of that temperature.

    Args:
        text: as typed.
        temperature: of the brine [degC]; bounds what dissolves.
    """
    reading, found, warm = re.sub(r"@", " at ", text).partition(" at ")
    if not found:
        return units.strength_at(text, temperature)
    shown = units.brine_reading(reading)
    if not isinstance(shown, HydrometerReading):
        raise UnitError(
            f"{units.quoted(text)} is no hydrometer's reading; write 1.15 SG at 12 degC"
        )
    instrument = Hydrometer(shown.scale, SIXTY_F)
    return hydrometer.read(instrument, shown.value, units.temperature(warm)).strength.expected


def _usual_strength(style: Style) -> float:
    return 20.0 if style.brine is None else style.brine.strength.value
