"""A tub as the journal leads to it, for commands that work something out for it."""

from dataclasses import dataclass
from pathlib import Path

from cavewatch.cli.entering import place_named
from cavewatch.cli.live import Live
from cavewatch.core.brine.life import TubLife
from cavewatch.core.brine.recovery import NOTHING, Exchanges, still_to_come
from cavewatch.core.countdown import Span
from cavewatch.core.dairy import Dairy, PlaceView
from cavewatch.core.errors import CavewatchError
from cavewatch.core.place import TubBrine
from cavewatch.core.reading import Quantity

USUAL_TEMPERATURE = 12.0
"""Of a brine of which nothing else is known [degC]."""


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
    inside: Exchanges = (NOTHING, NOTHING, NOTHING)
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
        temperature=view.measured.get(Quantity.TEMPERATURE, brine.temperature),
        wanted=brine.strength,
        calcium=life.calcium,
        ph=life.ph,
        cheese=1000.0 * life.in_now_kg,
        inside=still_to_come(life, [dairy.wheels[n] for n in view.wheels if n in dairy.wheels]),
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
