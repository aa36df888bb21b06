"""Restoring used brine: exact balances of the salt and the water in a tub.

Cheese takes salt and gives water, so that more salt must go in than was taken.
All masses are in g; calcium, acid and whey count as water.
"""

from dataclasses import dataclass
from enum import StrEnum
from typing import Self

from cavewatch.core.brine.calcium import CalciumSource
from cavewatch.core.brine.density import density
from cavewatch.core.brine.exchange import Exchange
from cavewatch.core.brine.strength import STRONGEST, saturation
from cavewatch.core.errors import CavewatchError, within

_TRACE = 1e-12
"""Part of the brine below which an amount is rounding and no step."""


@dataclass(frozen=True, slots=True)
class Tub:
    """The brine in a tub."""

    mass: float
    """Brine [g]."""
    salt: float
    """Salt in it [g]."""

    def __post_init__(self) -> None:
        if not 0.0 <= self.salt < self.mass:
            raise CavewatchError(
                f"a tub cannot hold {self.salt:g} g of salt in {self.mass:g} g of brine; "
                "check the volume, the strength and the weight of the batch"
            )

    @property
    def strength(self) -> float:
        """Salt in the brine [% w/w]."""
        return 100.0 * self.salt / self.mass

    @property
    def water(self) -> float:
        """All that is not salt [g]."""
        return self.mass - self.salt

    @classmethod
    def of(cls, litres: float, strength: float, temperature: float) -> Self:
        """The tub with `litres` [L] of brine of `strength` [% w/w] at `temperature` [degC]."""
        within("volume of brine", litres, 0.01, 1e6, "L")
        mass = litres * density(strength, temperature)
        return cls(mass, mass * strength / 100.0)

    def after(self, exchange: Exchange, face_salt: float = 0.0) -> Self:
        """The tub when a batch is lifted whose faces took `face_salt` [g] into the brine."""
        return type(self)(
            self.mass - exchange.salt + exchange.water + face_salt,
            self.salt - exchange.salt + face_salt,
        )


class When(StrEnum):
    """When a step of restoring is done."""

    NOW = "now"
    ON_THE_FACE = "on the face"
    AFTER = "after the batch"


class What(StrEnum):
    """What is put in or taken out."""

    SALT = "salt"
    WATER = "water"
    DRAW_OFF = "draw off"


class Timing(StrEnum):
    """Whether the batch has yet to go through the brine."""

    BEFORE = "before"
    AFTER = "after"


@dataclass(frozen=True, slots=True)
class Batch:
    """Cheese that goes through the brine."""

    exchange: Exchange
    """What it takes and gives."""
    face_salt: float = 0.0
    """Salt put on its floating faces, all together [g]."""


@dataclass(frozen=True, slots=True)
class RestoreStep:
    """One thing to do to the brine."""

    when: When
    what: What
    grams: float


@dataclass(frozen=True, slots=True)
class Plan:
    """How a tub comes to its target."""

    steps: tuple[RestoreStep, ...]
    """In the order they are done."""
    end: Tub
    """The tub when all is done and the batch is lifted."""


def salt_to_add(tub: Tub, target: float) -> float:
    """Dry salt that brings the tub up to `target` % w/w [g]; 0 if it is as strong already."""
    part = within("target strength", target, 0.0, STRONGEST, "% w/w") / 100.0
    return max(0.0, (part * tub.mass - tub.salt) / (1.0 - part))


def water_to_add(tub: Tub, target: float) -> float:
    """Water that brings the tub down to `target` % w/w [g]; 0 if it is as weak already."""
    part = within("target strength", target, 0.1, STRONGEST, "% w/w") / 100.0
    return max(0.0, tub.salt / part - tub.mass)


def calcium_to_add(
    tub: Tub, before_percent: float, target_percent: float, source: CalciumSource
) -> float:
    """Calcium product that brings the brine's CaCl2 from one % w/w to another [g].

    It adds to the brine's mass; 0 if the brine has as much already.

    Raises:
        CavewatchError: if the product is no stronger than what is wanted.
    """
    within("calcium chloride in the brine", before_percent, 0.0, 10.0, "% w/w")
    within("calcium chloride wanted", target_percent, 0.0, 10.0, "% w/w")
    if target_percent <= before_percent:
        return 0.0
    if source.content <= target_percent:
        raise CavewatchError(
            f"{source.name} cannot bring the brine to {target_percent:g} % calcium chloride; "
            "use a stronger product"
        )
    return tub.mass * (target_percent - before_percent) / (source.content - target_percent)


def plan(
    tub: Tub,
    target: float,
    batch: Batch | None = None,
    when: Timing = Timing.BEFORE,
    temperature: float = 12.0,
    hold: float | None = None,
) -> Plan:
    """What brings the tub to `target` % w/w, carried out on paper.

    BEFORE a batch, the salt goes in now, less what goes on the faces, so that the
    brine is on target when the batch is lifted; what would not dissolve now goes
    in after the batch. AFTER it, `tub` is first brought to what the batch and its
    face salt left of it, and all steps are for now. Brine that is too strong gets
    water now.

    Args:
        tub: the brine before the batch.
        target: wanted strength at the end [% w/w].
        batch: cheese that goes through, if any.
        when: whether the batch is still to come.
        temperature: of the brine [degC]; sets how much salt dissolves.
        hold: brine that the tub holds at most at the end [g]; what would be too
            much is drawn off first.

    Raises:
        OutOfRangeError: if the target is beyond saturation.
        CavewatchError: if the batch takes more than the tub has or overfills it.
    """
    most = saturation(temperature)
    part = within("target strength", target, 0.1, most, "% w/w") / 100.0
    if batch is not None and when is Timing.AFTER:
        tub, batch = tub.after(batch.exchange, batch.face_salt), None
    coming = batch or Batch(Exchange(0.0, 0.0))
    kept = _kept(tub, part, coming, hold)
    drawn = Tub(tub.mass * kept, tub.salt * kept)

    # Without additions; then the smallest end on target that holds all of both.
    water = drawn.water + coming.exchange.water
    salt = drawn.salt - coming.exchange.salt + coming.face_salt
    end = max(water / (1.0 - part), salt / part)
    more_water, more_salt = (1.0 - part) * end - water, part * end - salt

    wet = Tub(drawn.mass + more_water, drawn.salt)
    salt_now = min(more_salt, salt_to_add(wet, most))
    lifted = Tub(wet.mass + salt_now, wet.salt + salt_now).after(coming.exchange, coming.face_salt)
    salt_later = more_salt - salt_now
    steps = (
        RestoreStep(When.NOW, What.DRAW_OFF, tub.mass - drawn.mass),
        RestoreStep(When.NOW, What.WATER, more_water),
        RestoreStep(When.NOW, What.SALT, salt_now),
        RestoreStep(When.ON_THE_FACE, What.SALT, coming.face_salt),
        RestoreStep(When.AFTER, What.SALT, salt_later),
    )
    return Plan(
        tuple(step for step in steps if step.grams > _TRACE * tub.mass),
        Tub(lifted.mass + salt_later, lifted.salt + salt_later),
    )


def _kept(tub: Tub, part: float, batch: Batch, hold: float | None) -> float:
    """Part of the tub that may stay if it is to end at `hold` [g] or less [-].

    The end is ruled by the water or by the salt, whichever is in excess, and both
    fall in a straight line with what is drawn off.
    """
    if hold is None:
        return 1.0
    by_water = ((1.0 - part) * hold - batch.exchange.water) / tub.water
    room = part * hold + batch.exchange.salt - batch.face_salt
    by_salt = room / tub.salt if tub.salt else 1.0
    kept = min(1.0, by_water, by_salt)
    if not kept > 0.0:
        raise CavewatchError(
            f"{hold:g} g of brine is too little for this batch; let the tub hold more"
        )
    return kept
