"""What tests of several parts share: an invented style, and time that does not count."""

import pytest
import sqlite_utils  # noqa: F401  so that stores of tests are made here, not in short processes
from hypothesis import settings

from cavewatch.core.place import Place, PlaceKind, TubBrine
from cavewatch.core.reading import Quantity
from cavewatch.core.shape import Form, Proportions
from cavewatch.core.style import (
    BrinePlan,
    DryPlan,
    Figure,
    Limits,
    Method,
    MilledPlan,
    Stage,
    Style,
)

# A slow machine is no failure; speed is shown by the benchmarks.
settings.register_profile("patient", deadline=None)
settings.load_profile("patient")

INVENTED = "invented for the tests"


def _figure(value: float, low: float, high: float) -> Figure:
    return Figure(value, low, high, INVENTED)


@pytest.fixture
def style() -> Style:
    """An invented semi-hard style that allows all three methods."""
    return Style(
        id="meadow",
        name="Meadow",
        family="semi-hard",
        moisture=_figure(42, 40, 45),
        salt=_figure(1.8, 1.4, 2.2),
        methods=(Method.BRINE, Method.DRY, Method.MILLED),
        proportions=Proportions(Form.WHEEL, 0.4),
        weight=_figure(2500, 1000, 5000),
        density=_figure(1.08, 1.05, 1.12),
        loss=_figure(4, 2, 6),
        diffusivity=_figure(0.18, 0.1, 0.3),
        rate=_figure(0.45, 0.25, 1.0),
        brine=BrinePlan(_figure(20, 18, 22), Limits(10, 15, INVENTED)),
        dry=DryPlan(_figure(1.75, 1.5, 2), (0.0, 12.0, 24.0), _figure(0.65, 0.5, 0.8)),
        milled=MilledPlan(_figure(0.5, 0.42, 0.59), _figure(0.86, 0.85, 0.87)),
        stages=(
            Stage("drying", 2, Limits(14, 18, INVENTED), Limits(70, 80, INVENTED), "turn daily"),
            Stage("cave", None, Limits(10, 13, INVENTED), Limits(85, 92, INVENTED), "turn weekly"),
        ),
        ready_days=_figure(60, 45, 90),
    )


@pytest.fixture
def places() -> dict[str, Place]:
    """A tub, a tray and two caves, by name."""
    own = {
        Quantity.TEMPERATURE: Limits(8, 14, INVENTED),
        Quantity.HUMIDITY: Limits(80, 95, INVENTED),
    }
    found = [
        Place("tub", PlaceKind.TUB, {}, TubBrine(20.0, 60.0, 12.0)),
        Place("tray", PlaceKind.TRAY, {}),
        Place("near cave", PlaceKind.CAVE, own),
        Place("far cave", PlaceKind.CAVE, {}),
    ]
    return {place.name: place for place in found}
