"""The text of a wheel's label."""

from collections.abc import Iterator

from cavewatch import clock
from cavewatch.core.journal import Treatment
from cavewatch.core.record import WeightCurve
from cavewatch.core.wheel import Wheel
from cavewatch.screens.making.words import Sayer

STATEMENTS = {
    Treatment.RAW: "Made with raw milk",
    Treatment.HEATED: "Made with heat-treated milk that was not pasteurised",
    Treatment.PASTEURISED: "Made with pasteurised milk",
}
UNKNOWN = "(the milk is not on record)"


def label_lines(
    wheel: Wheel, done: Treatment | None, curve: WeightCurve, say: Sayer
) -> Iterator[str]:
    """What is to stand on the label of a wheel, as far as it is on record."""
    made = clock.local(wheel.made_at, say.zone)
    yield wheel.style.name
    yield f"Lot {wheel.lot or wheel.make}, wheel {wheel.id}"
    yield f"Made {made.day} {made:%B %Y}"
    newest = (curve.to_salt, *curve.weights)[-1]
    yield f"Weight {say.display.mass(newest.grams)}, {say.when(newest.at)[:10]}"
    yield UNKNOWN if done is None else STATEMENTS[done]
