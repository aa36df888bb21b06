"""Countdowns kept up to date: solved when something happened, steadied between."""

from dataclasses import replace
from typing import TYPE_CHECKING

from cavewatch.core.countdown import Countdown
from cavewatch.core.dairy import Dairy
from cavewatch.core.place import Place
from cavewatch.core.reading import Channel, Quantity
from cavewatch.core.wheel import Standing, Wheel
from cavewatch.store import Bin, Store

if TYPE_CHECKING:
    from cavewatch.core.salting.surroundings import Surroundings

STEADY = 60.0
"""A deadline is rewritten only if it moves by this much [s]."""
HOUR = 3600.0
DAY = 24 * HOUR
COOL = 12.0
"""Assumed where nothing measures the temperature of a tray or a rack [degC]."""


class Solver:
    """Works out the countdowns of one dairy from its picture and its temperature record."""

    def __init__(self, store: Store) -> None:
        """Start from the countdowns that the store holds."""
        self._store = store
        self._kept = {c.wheel: c for c in store.countdowns()}

    @property
    def countdowns(self) -> list[Countdown]:
        """As they stand."""
        return list(self._kept.values())

    def solve(self, dairy: Dairy, anew: bool) -> bool:
        """Bring the countdowns in line with the picture; True if any changed.

        Wheels whose countdown rests on an older entry are solved; with `anew`,
        all are, for the temperature's sake.
        """
        in_salt = {
            n: wheel
            for n, wheel in dairy.wheels.items()
            if wheel.standing in (Standing.IN_BRINE, Standing.IN_DRY_SALT)
        }
        due = [w for n, w in in_salt.items() if anew or n in dairy.pending]
        kept = {n: c for n, c in self._kept.items() if n in in_salt}
        if due:
            # numpy comes in here, and not before a wheel is in salt.
            from cavewatch.core.salting.countdowns import countdowns  # noqa: PLC0415

            for found in countdowns(due, self._surroundings(due, dairy), dairy.at):
                kept[found.wheel] = _steadied(kept.get(found.wheel), found)
        changed = kept != self._kept
        if changed:
            self._kept = kept
            self._store.put_countdowns(kept.values())
        return changed

    def _surroundings(self, wheels: list[Wheel], dairy: Dairy) -> "dict[str, Surroundings]":
        from cavewatch.core.salting.clock import WarmthRecord  # noqa: PLC0415
        from cavewatch.core.salting.surroundings import Surroundings  # noqa: PLC0415

        begun, at = min(wheel.history[0].at for wheel in wheels), dairy.at
        names = {happening.place for wheel in wheels for happening in wheel.history}
        found = {}
        for view in dairy.places:
            place = view.place
            if place.name not in names:
                continue
            channel = Channel(place.name, Quantity.TEMPERATURE)
            hours = self._store.bins(channel, 3600, begun - HOUR, at)
            strengths = () if view.life is None else view.life.strengths
            found[place.name] = Surroundings(WarmthRecord(*_record(hours, at, place)), strengths)
        return found


def _record(hours: list[Bin], at: float, place: Place) -> tuple[list[float], list[float]]:
    """Hourly means, and from now on the mean of the last day; the config's where none are."""
    if not hours:
        return [at], [COOL if place.brine is None else place.brine.temperature]
    lately = [hour for hour in hours if hour.at >= at - DAY] or hours[-1:]
    ahead = sum(hour.mean * hour.n for hour in lately) / sum(hour.n for hour in lately)
    past = [hour for hour in hours if hour.at < at]
    return [hour.at for hour in past] + [at], [hour.mean for hour in past] + [ahead]


def _steadied(before: Countdown | None, found: Countdown) -> Countdown:
    """The new countdown with the old deadlines where they hardly moved.

    What people see then stays the same to the second, through restarts too.
    """
    if before is None or before.basis != found.basis or len(before.steps) != len(found.steps):
        return found
    moved = max(
        abs(getattr(new.at, end) - getattr(old.at, end))
        for new, old in zip(found.steps, before.steps, strict=True)
        for end in ("low", "expected", "high")
    )
    return found if moved >= STEADY else replace(found, steps=before.steps)
