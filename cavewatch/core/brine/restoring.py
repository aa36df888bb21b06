"""Restoring used brine: exact balances of the salt and the water in a tub.

Cheese takes salt and gives water, so that more salt must go in than was taken.
All masses are in g; calcium, acid and whey count as water, so that the salt for
what they bring is in every plan.
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

    def dissolved(self, most: float) -> Self:
        """The tub without the salt beyond what dissolves, `most` [% w/w]."""
        over = max((self.salt - self.mass * most / 100.0) / (1.0 - most / 100.0), 0.0)
        return type(self)(self.mass - over, self.salt - over)

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
class Calcium:
    """Calcium chloride wanted in used brine, anhydrous."""

    now: float
    """In it before the batch [% w/w]."""
    wanted: float
    """In it at the end [% w/w]."""
    source: CalciumSource
    """What is put in."""


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
    calcium: float
    """Calcium product that goes in now, too [g]; 0 if there is enough in it."""
    end: Tub
    """The tub when all is done and the batch is lifted."""


def salt_to_add(tub: Tub, target: float) -> float:
    """Dry salt that brings the tub up to `target` % w/w [g]; 0 if it is as strong already."""
    part = within("target strength", target, 0.0, STRONGEST, "% w/w") / 100.0
    return max(0.0, (part * tub.mass - tub.salt) / (1.0 - part))


def plan(
    tub: Tub,
    target: float,
    batch: Batch | None = None,
    when: Timing = Timing.BEFORE,
    temperature: float = 12.0,
    hold: float | None = None,
    calcium: Calcium | None = None,
    acid: float = 0.0,
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
        calcium: what shall be in it, if any is to be put in.
        acid: acid product that goes in now [g].

    Raises:
        OutOfRangeError: if the target is beyond saturation.
        CavewatchError: if the batch takes more than the tub has or overfills it, or
            the calcium product is too thin.
    """
    most = saturation(temperature)
    part = within("target strength", target, 0.1, most, "% w/w") / 100.0
    within("acid", acid, 0.0, 1e9, "g")
    dose = _Dose.of(calcium, tub, part)
    if batch is not None and when is Timing.AFTER:
        tub, batch = tub.after(batch.exchange, batch.face_salt), None
    coming = batch or Batch(Exchange(0.0, 0.0))
    kept = _kept(tub, part, coming, hold, dose, acid)
    drawn = Tub(tub.mass * kept, tub.salt * kept)

    # Without additions; then the smallest end on target that holds all of both.
    water = drawn.water + coming.exchange.water + acid
    salt = drawn.salt - coming.exchange.salt + coming.face_salt
    end = max(water / (1.0 - part), salt / part)
    if dose.product(end, kept) > 0.0:
        end = max((water - dose.there * kept) / (1.0 - part - dose.per_brine), salt / part)
    product = dose.product(end, kept)
    more_water, more_salt = (1.0 - part) * end - water - product, part * end - salt

    wet = Tub(drawn.mass + acid + product + more_water, drawn.salt)
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
        product,
        Tub(lifted.mass + salt_later, lifted.salt + salt_later),
    )


@dataclass(frozen=True, slots=True)
class _Dose:
    """A calcium product, in the terms of the balance."""

    there: float = 0.0
    """Product that would have brought what is in the brine before the batch [g]."""
    per_brine: float = 0.0
    """Product that brings what is wanted [g per g of brine at the end]."""

    @classmethod
    def of(cls, calcium: Calcium | None, tub: Tub, part: float) -> Self:
        """For a tub before its batch, and a strength wanted [g/g]."""
        if calcium is None:
            return cls()
        within("calcium chloride in the brine", calcium.now, 0.0, 5.0, "% w/w")
        within("calcium chloride wanted", calcium.wanted, 0.0, 5.0, "% w/w")
        per_brine = calcium.wanted / calcium.source.content
        there = tub.mass * calcium.now / calcium.source.content
        if part + per_brine >= 1.0 or there >= tub.water:
            raise CavewatchError(
                f"{calcium.source.name} is too thin to bring {calcium.wanted:g} % calcium "
                f"chloride into brine of {100.0 * part:g} % salt; use a stronger product"
            )
        return cls(there, per_brine)

    def product(self, end: float, kept: float) -> float:
        """To put in if the brine ends with this mass [g] and that part of the tub stayed [g]."""
        return max(0.0, self.per_brine * end - self.there * kept)


def _kept(
    tub: Tub, part: float, batch: Batch, hold: float | None, dose: _Dose, acid: float
) -> float:
    """Part of the tub that may stay if it is to end at `hold` [g] or less [-].

    The end is ruled by the water or by the salt, whichever is in excess, and both
    fall in a straight line with what is drawn off. Calcium that is put in makes up
    for what is drawn off, and where none is, that line bounds nothing.
    """
    if hold is None:
        return 1.0
    room = (1.0 - part) * hold - batch.exchange.water - acid
    by_water = room / tub.water
    by_product = (room - dose.per_brine * hold) / (tub.water - dose.there)
    salt_room = part * hold + batch.exchange.salt - batch.face_salt
    by_salt = salt_room / tub.salt if tub.salt else 1.0
    kept = min(1.0, by_water, by_product, by_salt)
    if not kept > 0.0:
        raise CavewatchError(
            f"{hold:g} g of brine is too little for this batch; let the tub hold more"
        )
    return kept
