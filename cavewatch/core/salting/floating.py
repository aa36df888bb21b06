"""How a wheel floats: how much of it stands out of the brine.

Only the flat face is counted as standing out; the few millimetres of side above the
line count as wet. Against a finer computation in two dimensions (in the tests; paste of
1.08 g/cm3 in brine of 18 to 22 %, no salt on top) this takes up 1 to 2 % too much on a
wheel that is turned once and 2 to 6 % on one that never is.

A ball counts as wet all round and takes up as much less as its dry share: right within
0.5 % for a ball that lies still, 7 to 9 % too little for one rolled over once to three
times, and never too little by more than that share.
"""

import math
from dataclasses import dataclass

from cavewatch.core.brine.density import density
from cavewatch.core.shape import Shape, Sphere


@dataclass(frozen=True, slots=True)
class Floating:
    """A wheel afloat, lying flat."""

    paste: float
    """Density of the paste [g/cm3]."""
    brine: float
    """Density of the brine [g/cm3]."""
    above: float
    """What stands out of the brine, of its height [cm]; 0 for a wheel that sinks."""
    dry: float
    """Share of its surface that stands out [-]."""


def floating(shape: Shape, paste: float, strength: float, temperature: float) -> Floating:
    """How a shape floats (Archimedes).

    Args:
        shape: lying flat; a ball lies anyhow.
        paste: density of the paste [g/cm3].
        strength: of the brine [% w/w].
        temperature: of the brine [degC].
    """
    brine = density(strength, temperature) / 1000.0
    out = max(1.0 - paste / brine, 0.0)
    if isinstance(shape, Sphere):
        height = _cap(out)
        return Floating(paste, brine, height * shape.diameter, height)
    above = out * shape.height
    sides = shape.area - 2 * shape.face
    dry = (shape.face + out * sides) / shape.area if out > 0 else 0.0
    return Floating(paste, brine, above, dry)


def _cap(volume: float) -> float:
    """Height of a ball's cap over the diameter, from its share of the volume [-].

    A cap of height h x diameter holds h^2 (3 - 2 h) of the volume and h of the surface:
    with h = (1 - cos a) / 2 that is a cubic whose root is a cosine.
    """
    return 0.5 - math.cos((math.acos(1.0 - 2.0 * volume) + math.pi) / 3.0)
