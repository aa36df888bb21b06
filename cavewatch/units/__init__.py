"""What people type and read: units at the edge of the program.

Inside, every value is in the core's units (g, cm, L, degC, %, s). Typed text
is read here and values are shown here, and nowhere else.
"""

from cavewatch.units.additives import acid, alkalinity, calcium_source
from cavewatch.units.amount import duration, humidity, length, mass, temperature, volume
from cavewatch.units.brine import (
    basis,
    brine_temperature,
    is_saturated,
    part,
    ph,
    strength,
    strength_at,
    water,
)
from cavewatch.units.display import Display, System, system_of
from cavewatch.units.errors import UnitError, quoted
from cavewatch.units.reading import (
    BrineReading,
    DriedReading,
    HydrometerReading,
    RefractometerReading,
    brine_reading,
)
from cavewatch.units.salting import diffusivity, share, target, waking_hours
from cavewatch.units.size import shape

__all__ = [
    "BrineReading",
    "Display",
    "DriedReading",
    "HydrometerReading",
    "RefractometerReading",
    "System",
    "UnitError",
    "acid",
    "alkalinity",
    "basis",
    "brine_reading",
    "brine_temperature",
    "calcium_source",
    "diffusivity",
    "duration",
    "humidity",
    "is_saturated",
    "length",
    "mass",
    "part",
    "ph",
    "quoted",
    "shape",
    "share",
    "strength",
    "strength_at",
    "system_of",
    "target",
    "temperature",
    "volume",
    "waking_hours",
    "water",
]
