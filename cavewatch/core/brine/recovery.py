"""What brings a tub back to its strength, with its range, as screens and commands tell it."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Protocol, Self

from cavewatch.core.brine.density import density
from cavewatch.core.brine.exchange import WATER_PER_SALT, Exchange
from cavewatch.core.brine.life import TubLife
from cavewatch.core.brine.restoring import Batch, Calcium, Plan, Timing, Tub, What, When, plan
from cavewatch.core.brine.scales import LITRE_OF_WATER
from cavewatch.core.countdown import Span
from cavewatch.core.wheel import Standing, Wheel

STIR = "stir well: strong brine lies at the bottom (University of Guelph, salting page)"
MEASURE = "what cheese takes and gives is known only roughly: measure again after the batch"

Exchanges = tuple[Exchange, Exchange, Exchange]
"""If little is taken and given, as expected, and if much is."""
NOTHING = Exchange(0.0, 0.0)


class Show(Protocol):
    """Values in the maker's units."""

    def mass(self, grams: float) -> str:
        """[g]"""

    def ranged(self, grams: Span) -> str:
        """[g]"""

    def volume(self, litres: float) -> str:
        """[L]"""

    def to_measure(self, litres: float) -> str:
        """[L]"""


@dataclass(frozen=True, slots=True)
class Recovery:
    """How a tub comes to its target."""

    strength: Span
    """Before [% w/w]."""
    temperature: float
    """[degC]"""
    plans: tuple[Plan, Plan, Plan]
    """If the brine lost little, as expected and much."""

    @classmethod
    def of(
        cls,
        litres: float,
        strength: Span,
        target: float,
        temperature: float,
        batches: Iterable[Batch],
        when: Timing = Timing.BEFORE,
        hold: float | None = None,
        calcium: Calcium | None = None,
        acid: float = 0.0,
    ) -> Self:
        """Plan it for three batches, that take little, as expected and much.

        The rest is as in `restoring.plan`, whose errors it raises.
        """
        ends = (strength.high, strength.expected, strength.low)
        little, expected, much = (
            plan(
                Tub.of(litres, end, temperature),
                target,
                batch,
                when,
                temperature,
                hold,
                calcium,
                acid,
            )
            for end, batch in zip(ends, batches, strict=True)
        )
        return cls(strength, temperature, (little, expected, much))

    @property
    def end(self) -> Tub:
        """The tub when all is done, as expected."""
        return self.plans[1].end

    def steps(self) -> Iterator[tuple[When, What, Span]]:
        """Each step of any of the plans, in order [g]."""
        found = [{(s.when, s.what): s.grams for s in each.steps} for each in self.plans]
        for when in When:
            for what in (What.DRAW_OFF, What.WATER, What.SALT):
                grams = [each.get((when, what), 0.0) for each in found]
                if max(grams) > 0.0:
                    yield when, what, Span(min(grams), grams[1], max(grams))

    def told(self, show: Show) -> Iterator[tuple[str, str]]:
        """When to do what, in words."""
        for when, what, grams in self.steps():
            words = "{} of salt" if when is When.ON_THE_FACE else _WORDS[what]
            volume = self._litres(what, grams.expected)
            measure = f", about {show.volume(volume)}" if volume else ""
            amount = (
                show.ranged(grams)
                if grams.expected
                else f"perhaps as much as {show.mass(grams.high)}"
            )
            yield when.value, words.format(amount) + measure
        if not any(self.steps()):
            yield When.NOW.value, "nothing: it is as strong as it shall be"

    def then(self, show: Show) -> str:
        """What it is when all is done."""
        litres = self.end.mass / density(self.end.strength, self.temperature)
        return f"{show.to_measure(litres)} at {self.end.strength:.1f} % by weight"

    def _litres(self, what: What, grams: float) -> float | None:
        """The volume of what is poured [L]; None for salt."""
        if what is What.WATER:
            return grams / LITRE_OF_WATER
        if what is What.DRAW_OFF:
            return grams / density(self.strength.expected, self.temperature)
        return None


_WORDS = {
    What.DRAW_OFF: "draw off {} of brine",
    What.WATER: "stir in {} of water",
    What.SALT: "stir in {} of salt",
}


def still_to_come(life: TubLife, wheels: Iterable[Wheel]) -> Exchanges:
    """What cheese in a tub takes and gives until it is lifted.

    The life tells what is expected; the aims of the styles and the band of water the rest.
    """
    wheels = [wheel for wheel in wheels if wheel.standing is Standing.IN_BRINE]
    if not wheels or life.tub is None or life.when_lifted is None:
        return NOTHING, NOTHING, NOTHING
    expected = Exchange(
        life.tub.salt - life.when_lifted.salt, life.when_lifted.water - life.tub.water
    )
    aim = sum(wheel.weight * wheel.style.salt.value for wheel in wheels)
    little = sum(wheel.weight * wheel.style.salt.low for wheel in wheels) / aim
    much = sum(wheel.weight * wheel.style.salt.high for wheel in wheels) / aim
    given = WATER_PER_SALT
    return (
        Exchange(expected.salt * little, expected.water * little * given.low / given.expected),
        expected,
        Exchange(expected.salt * much, expected.water * much * given.high / given.expected),
    )
