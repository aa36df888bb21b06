"""What the planner is asked: wheels still to be salted, every input in the core's units."""

from dataclasses import dataclass

from cavewatch.core.brine.strength import STRONGEST
from cavewatch.core.errors import CavewatchError, within
from cavewatch.core.salting.crossing import HORIZON
from cavewatch.core.salting.guesses import Rate
from cavewatch.core.salting.surroundings import PARTITION
from cavewatch.core.salting.target import Target, aim_of
from cavewatch.core.shape import Shape
from cavewatch.core.style import Method, Style

HOUR = 3600.0

DENSEST, LIGHTEST = 1.5, 0.75
"""Weight over volume beyond which weight and size cannot both be right [g/cm3]; judgement."""

MOST_CHEESE = 20.0
"""Cheese over brine by volume beyond which one of the two cannot be right [-]; judgement."""


@dataclass(frozen=True, slots=True)
class Asked:
    """Wheels that go to salt at the instant 0, all alike.

    Raises:
        CavewatchError: for what no cheese and no brine can be.
    """

    style: Style
    method: Method
    """Brine or dry."""
    weight: float
    """Of one wheel [g]."""
    shape: Shape
    temperature: float
    """Of the brine, or where it lies in dry salt [degC]."""
    strength: float
    """Of the brine [% w/w]; not looked at for dry salt."""
    litres: float | None = None
    """Brine in the tub [L]; None for so much that it stays as it is."""
    wheels: int = 1
    """That share the tub."""
    target: Target | None = None
    """None: what the style aims at, less what it loses in ageing."""
    hold: float | None = None
    """Instead of a target: how long it stays in salt [s]."""
    touches: tuple[float, ...] | None = None
    """When it is turned, or coated after the first coat [s]; None: as is best."""
    diffusivity: float | None = None
    """Of salt in the paste's moisture at `temperature` [cm2/day]; None: the style's."""
    partition: float = PARTITION
    """Salt in moisture just inside the paste over salt in the water outside [-]."""
    rate: Rate | None = None
    """On the diffusivity while a face takes up salt; None: the style's."""
    floats: bool = True
    """Whether it may float, rather than being held under."""
    bare_top: bool = False
    """Whether the face that then stands out is left without salt."""
    wheel_temperature: float | None = None
    """Its own as it goes in [degC]; None: as warm as the place."""
    retention: float | None = None
    """Part of dry salt that goes in [-]; None: as the style book has it."""
    coats: int | None = None
    """How many coats of dry salt; None: the style's."""
    front_loaded: bool = False
    """Whether the first coats get more than the last."""

    def __post_init__(self) -> None:
        if self.method is Method.MILLED:
            raise CavewatchError("salt milled into the curd is planned by its own rule")
        within("weight of one wheel", self.weight, 20.0, 200_000.0, "g")
        within("temperature", self.temperature, 0.0, 40.0, "degC")
        if self.method is Method.BRINE:
            within("strength of the brine", self.strength, 0.5, STRONGEST, "% w/w")
        if self.litres is not None:
            within("volume of brine", self.litres, 0.1, 100_000.0, "L")
        within("number of wheels", self.wheels, 1, 10_000, "")
        if self.hold is not None:
            within("time in salt", self.hold / HOUR, 0.1, HORIZON / HOUR, "h")
        if self.diffusivity is not None:
            within("diffusivity", self.diffusivity, 0.001, 20.0, "cm2/day")
        within("partition", self.partition, 0.1, 1.5, "")
        if self.rate is not None:
            within("rate factor", self.rate.value, 0.01, 10.0, "")
        if self.wheel_temperature is not None:
            within("temperature of the wheel", self.wheel_temperature, 0.0, 45.0, "degC")
        if self.retention is not None:
            within("part of the salt that stays", 100.0 * self.retention, 5.0, 100.0, "%")
        if self.coats is not None:
            within("number of coats", self.coats, 1, 30, "")
        cheese = self.wheels * self.shape.volume / 1000.0
        if self.litres is not None and cheese > MOST_CHEESE * self.litres:
            raise CavewatchError(
                f"{self.litres:.3g} L of brine is far too little for {cheese:.3g} L of cheese; "
                "check the tub and the number of wheels"
            )
        if not LIGHTEST <= self.by_volume <= DENSEST:
            raise CavewatchError(
                f"{self.weight:.0f} g in {self.shape.volume:.0f} cm3 is {self.by_volume:.2f} "
                f"g/cm3, and cheese has about {self.style.density.value:.2f}; check weight and size"
            )

    @property
    def by_volume(self) -> float:
        """What weight and size say of the density [g/cm3]."""
        return self.weight / self.shape.volume

    def aim(self) -> Target:
        """The target, or what the style aims at."""
        return self.target or aim_of(self.style)
