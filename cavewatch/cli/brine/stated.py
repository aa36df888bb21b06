"""A tub as the journal leads to it, for commands that work something out for it."""

from dataclasses import dataclass
from pathlib import Path

from cavewatch.cli.entering import place_named
from cavewatch.cli.live import Live
from cavewatch.core.brine.exchange import WATER_PER_SALT, Exchange
from cavewatch.core.brine.life import TubLife
from cavewatch.core.countdown import Span
from cavewatch.core.dairy import Dairy, PlaceView
from cavewatch.core.errors import CavewatchError
from cavewatch.core.place import TubBrine
from cavewatch.core.reading import Quantity
from cavewatch.core.wheel import Standing, Wheel

USUAL_TEMPERATURE = 12.0
"""Of a brine of which nothing else is known [degC]."""

NOTHING = Exchange(0.0, 0.0)


@dataclass(frozen=True, slots=True)
class TubStated:
    """What is known of a tub's brine before anything is typed."""

    name: str = ""
    """Empty for one that no journal speaks of."""
    litres: float | None = None
    strength: Span | None = None
    """[% w/w]"""
    temperature: float = USUAL_TEMPERATURE
    """[degC]"""
    wanted: float | None = None
    """As the config states it [% w/w]."""
    calcium: float | None = None
    """Calcium chloride as last tested [% w/w]."""
    ph: float | None = None
    """As last tested."""
    cheese: float = 0.0
    """In it now [g]."""
    inside: tuple[Exchange, Exchange, Exchange] = (NOTHING, NOTHING, NOTHING)
    """What that cheese still takes and gives until it is lifted: little, as expected, much."""
    remarks: tuple[str, ...] = ()
    """What limits the prediction."""


def of_the_journal(config_path: Path | None, tub: str) -> TubStated:
    """The tub of this name as it is predicted to be now.

    Raises:
        CavewatchError: for a place that is not there or is no tub.
    """
    live = Live.opened(config_path)
    try:
        desk = live.desk()
        dairy = desk.picture()
        view, life, brine = brine_of(dairy, place_named(desk, tub))
    finally:
        live.store.close()
    return TubStated(
        name=view.place.name,
        litres=life.litres,
        strength=life.strength,
        temperature=_warmth(view, brine.temperature),
        wanted=brine.strength,
        calcium=life.calcium,
        ph=life.ph,
        cheese=1000.0 * life.in_now_kg,
        inside=_inside(life, [dairy.wheels[n] for n in view.wheels if n in dairy.wheels]),
        remarks=life.remarks,
    )


def brine_of(dairy: Dairy, place: str) -> tuple[PlaceView, TubLife, TubBrine]:
    """A tub, the life of its brine and what the config says of it.

    Raises:
        CavewatchError: for a place that is no tub.
    """
    view = next(view for view in dairy.places if view.place.name == place)
    if view.life is None or view.place.brine is None:
        raise CavewatchError(f"{place} is no tub, so there is no brine in it")
    return view, view.life, view.place.brine


def _inside(life: TubLife, wheels: list[Wheel]) -> tuple[Exchange, Exchange, Exchange]:
    """The life tells what is expected; the aims of the styles and the band of water the rest."""
    wheels = [wheel for wheel in wheels if wheel.standing is Standing.IN_BRINE]
    if not wheels or life.tub is None or life.when_lifted is None:
        return NOTHING, NOTHING, NOTHING
    expected = Exchange(
        life.tub.salt - life.when_lifted.salt, life.when_lifted.water - life.tub.water
    )
    aim = sum(wheel.weight * wheel.style.salt.value for wheel in wheels)
    little = sum(wheel.weight * wheel.style.salt.low for wheel in wheels) / aim
    much = sum(wheel.weight * wheel.style.salt.high for wheel in wheels) / aim
    given = WATER_PER_SALT
    return (
        Exchange(expected.salt * little, expected.water * little * given.low / given.expected),
        expected,
        Exchange(expected.salt * much, expected.water * much * given.high / given.expected),
    )


def _warmth(view: PlaceView, stated: float) -> float:
    """The probe's newest temperature, or the config's [degC]."""
    for channel in view.channels:
        fresh = not channel.silent and channel.reading is not None
        if fresh and channel.channel.quantity is Quantity.TEMPERATURE and channel.reading:
            return stated if channel.reading.value is None else channel.reading.value
    return stated
