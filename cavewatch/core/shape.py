"""The shapes a cheese comes in, and the size that follows from a weight."""

import math
from dataclasses import dataclass
from enum import StrEnum


class Form(StrEnum):
    """The trade's three forms."""

    WHEEL = "wheel"
    BLOCK = "block"
    BALL = "ball"


@dataclass(frozen=True, slots=True)
class Cylinder:
    """A wheel: a cylinder lying on a flat face [cm]."""

    diameter: float
    height: float

    @property
    def volume(self) -> float:
        """[cm3]"""
        return math.pi / 4 * self.diameter**2 * self.height

    @property
    def face(self) -> float:
        """Area of one flat face, the one that stands out of the brine [cm2]."""
        return math.pi / 4 * self.diameter**2

    @property
    def area(self) -> float:
        """[cm2]"""
        return 2 * self.face + math.pi * self.diameter * self.height


@dataclass(frozen=True, slots=True)
class Cuboid:
    """A block: a cuboid lying on its length x width face [cm]."""

    length: float
    width: float
    height: float

    @property
    def volume(self) -> float:
        """[cm3]"""
        return self.length * self.width * self.height

    @property
    def face(self) -> float:
        """Area of the upper face [cm2]."""
        return self.length * self.width

    @property
    def area(self) -> float:
        """[cm2]"""
        return 2 * (self.face + self.height * (self.length + self.width))


@dataclass(frozen=True, slots=True)
class Sphere:
    """A ball: a sphere [cm]."""

    diameter: float

    @property
    def volume(self) -> float:
        """[cm3]"""
        return math.pi / 6 * self.diameter**3

    @property
    def face(self) -> float:
        """A floating ball shows no flat face; what stands out is not modelled [cm2]."""
        return 0.0

    @property
    def area(self) -> float:
        """[cm2]"""
        return math.pi * self.diameter**2


Shape = Cylinder | Cuboid | Sphere


@dataclass(frozen=True, slots=True)
class Proportions:
    """The usual shape of a style, from which a weight gives a size."""

    form: Form
    flatness: float
    """Height over diameter of a wheel, or over width of a block [-]; unused for a ball."""
    elongation: float = 1.0
    """Length over width of a block [-]."""

    def sized(self, volume: float) -> Shape:
        """The shape of these proportions with this volume [cm3]."""
        if self.form is Form.WHEEL:
            diameter = (4 * volume / (math.pi * self.flatness)) ** (1 / 3)
            return Cylinder(diameter, self.flatness * diameter)
        if self.form is Form.BLOCK:
            width = (volume / (self.flatness * self.elongation)) ** (1 / 3)
            return Cuboid(self.elongation * width, width, self.flatness * width)
        return Sphere((6 * volume / math.pi) ** (1 / 3))
