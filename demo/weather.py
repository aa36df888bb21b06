"""Invented weather, and the make room and the brine that follow it.

Part of the demonstration: a cool March week with one mild, damp night.
"""

import math

from demo.days import START, march
from demo.rooms import HOUR, Air, saturation

_MILD = march(6, 23)
"""Middle of the mild night, Friday to Saturday."""
_SWAY = (0.6, -1.1, 0.2, 0.9, -0.4, 0.0, -0.8, 0.3)
"""How much each day is warmer than the week [degC]."""


def outdoors(at: float) -> float:
    """Temperature outside [degC]."""
    days = (at - START) / 86400.0
    day = int(days)
    sway = _SWAY[day] + (_SWAY[day + 1] - _SWAY[day]) * (days - day)
    swing = 3.0 * math.sin(2.0 * math.pi * (days - 3.0 / 24.0))
    mild = 7.5 * math.exp(-(((at - _MILD) / (10.0 * HOUR)) ** 2))
    return 7.5 + sway + swing + mild


class MakeRoom:
    """The room with the vat, the salting tray and, in a cool corner, the brine tub."""

    def __init__(self) -> None:
        self.air = Air.of(13.5, 60.0)
        self.brine = 12.9

    def step(self, seconds: float, outside: float, making: bool) -> None:
        """Let time pass; while cheese is being made the vat warms and steams."""
        hours = seconds / HOUR
        warmth = 13.4 + 0.4 * (outside - 8.5) + (3.6 if making else 0.0)
        damp = 0.75 * saturation(outside) + (2.6 if making else 1.2)
        self.air.temperature += hours * 0.6 * (warmth - self.air.temperature)
        self.air.vapour += hours * 1.0 * (damp - self.air.vapour)
        self.brine += hours * 0.1 * (self.air.temperature - 1.6 - self.brine)
