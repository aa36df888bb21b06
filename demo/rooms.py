"""Invented rooms: air, walls and what stands in them, stepped through time.

Part of the demonstration. A room's air trades heat with the mass around it
(walls, boards, wheels) and moisture with its damp surfaces; relative humidity
follows from temperature and vapour pressure, so that cooling, doors and
misting act on it as they do in a cave. The rates are judgement, chosen to
look like a small cave; nothing is measured.
"""

import math
from dataclasses import dataclass

HOUR = 3600.0


def saturation(temperature: float) -> float:
    """Vapour pressure of saturated air [hPa] at a temperature [degC].

    Source: WMO-No. 8, Annex 4.B (Magnus over water), as reproduced in a
    weather-station manual.
    """
    return 6.112 * math.exp(17.62 * temperature / (243.12 + temperature))


@dataclass
class Air:
    """Air at one moment."""

    temperature: float
    """[degC]"""
    vapour: float
    """Vapour pressure [hPa]."""

    @classmethod
    def of(cls, temperature: float, humidity: float) -> "Air":
        """Air of this temperature [degC] and relative humidity [%]."""
        return cls(temperature, humidity / 100.0 * saturation(temperature))

    @property
    def humidity(self) -> float:
        """Relative humidity [%]."""
        return 100.0 * self.vapour / saturation(self.temperature)


@dataclass(frozen=True)
class Build:
    """How a cave is built; rates in 1/h say how fast a difference closes."""

    set_point: float
    """The cooling keeps the probe within 0.4 degC of it [degC]."""
    ground: float
    """Where the cave would drift without cooling [degC]."""
    warming: float
    """From mass towards ground [1/h]."""
    outdoors: float
    """Share of the difference between outdoors and 10 degC that reaches `ground` [-]."""
    cooling: float
    """How fast the running compressor cools the air [degC/h]."""
    coil: float
    """Temperature of the cold coil, where moisture is lost [degC]."""
    leak: float
    """Air exchange with the make room, door shut [1/h]."""
    floor: tuple[float, float]
    """How fast a wet floor and young wheels draw the boards [1/h], and to what humidity [%]."""
    mist: tuple[float, float]
    """The humidifier starts below the first and stops above the second [%]; (0, 0): none."""


AIR_TO_MASS = 4.0
"""Exchange of heat between air and mass, seen from the air [1/h]."""
MASS_TO_AIR = 1.0
"""The same seen from the mass, which is heavier [1/h]."""
AIR_TO_BOARDS = 5.0
"""Exchange of moisture between air and boards, seen from the air [1/h]."""
BOARDS_TO_AIR = 0.25
"""The same seen from the boards, which hold more [1/h]."""
DOOR = 2.0
"""Air exchange through an open door [1/h]."""
COIL = 2.0
"""Moisture lost on the running coil [1/h]."""
MIST = 9.0
"""Vapour that a running humidifier adds [hPa/h]."""


class Cave:
    """A cave with cooling that switches, and perhaps a humidifier."""

    def __init__(self, build: Build, air: Air) -> None:
        self.build, self.air = build, air
        self.mass = air.temperature
        self.boards = air.humidity
        self.cooling_on = self.mist_on = False

    def step(
        self,
        seconds: float,
        outdoors: float,
        room: Air,
        door_open: bool = False,
        power: float = 1.0,
        water: bool = True,
    ) -> None:
        """Let time pass.

        Args:
            seconds: how long [s]; short against the rates.
            outdoors: temperature outside [degC].
            room: air of the make room, beyond the door.
            door_open: whether the door stands open.
            power: what the compressor still achieves, 0 to 1.
            water: whether the humidifier has any.
        """
        build, air, hours = self.build, self.air, seconds / HOUR
        if air.temperature > build.set_point + 0.35:
            self.cooling_on = True
        elif air.temperature < build.set_point - 0.35:
            self.cooling_on = False
        start, stop = build.mist
        if air.humidity < start:
            self.mist_on = True
        elif air.humidity > stop:
            self.mist_on = False
        cold = power if self.cooling_on else 0.0
        wet = MIST if self.mist_on and water else 0.0
        swap = build.leak + (DOOR if door_open else 0.0)
        ground = build.ground + build.outdoors * (outdoors - 10.0)
        surface = self.boards / 100.0 * saturation(self.mass)
        heat = (
            AIR_TO_MASS * (self.mass - air.temperature)
            + swap * (room.temperature - air.temperature)
            - build.cooling * cold
        )
        moisture = (
            AIR_TO_BOARDS * (surface - air.vapour)
            + swap * (room.vapour - air.vapour)
            - COIL * cold * max(0.0, air.vapour - saturation(build.coil))
            + wet
        )
        self.mass += hours * (
            build.warming * (ground - self.mass) + MASS_TO_AIR * (air.temperature - self.mass)
        )
        pull, level = build.floor
        self.boards += hours * (
            BOARDS_TO_AIR * (air.humidity - self.boards) + pull * (level - self.boards)
        )
        air.temperature += hours * heat
        air.vapour = min(air.vapour + hours * moisture, saturation(air.temperature))
