"""What people type and read: units at the edge of the program.

Inside, every value is in the core's units (g, cm, L, degC, %, s). Typed text
is read here and values are shown here, and nowhere else.
"""

from cavewatch.units.amount import duration, humidity, length, mass, temperature, volume
from cavewatch.units.brine import strength
from cavewatch.units.display import Display, System
from cavewatch.units.errors import UnitError, quoted
from cavewatch.units.size import shape

__all__ = [
    "Display",
    "System",
    "UnitError",
    "duration",
    "humidity",
    "length",
    "mass",
    "quoted",
    "shape",
    "strength",
    "temperature",
    "volume",
]
