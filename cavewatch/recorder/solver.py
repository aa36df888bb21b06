"""Countdowns kept up to date: solved when something happened, steadied between."""

import contextlib
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from cavewatch import clock
from cavewatch.core import journal
from cavewatch.core.brine.predicted import Predicted
from cavewatch.core.countdown import Countdown
from cavewatch.core.dairy import Dairy
from cavewatch.core.errors import CavewatchError
from cavewatch.core.journal import Assayed, BrineMeasured, Entry, Tended, Weighed
from cavewatch.core.reading import Quantity
from cavewatch.core.signal.record import UNKNOWN
from cavewatch.core.style import StyleBook
from cavewatch.core.wheel import Standing, Wheel, fold
from cavewatch.recorder.keeping import Keeping
from cavewatch.recorder.record import HOUR, record

if TYPE_CHECKING:
    from cavewatch.core.salting.guesses import Rate
    from cavewatch.core.salting.surroundings import Surroundings

STEADY = 60.0
"""A deadline is rewritten only if it moves by this much [s]."""


class Solver:
    """Works out the countdowns of one dairy from its picture and its temperature record."""

    def __init__(self, store: Keeping, styles: StyleBook) -> None:
        """Start from the countdowns that the store holds."""
        self._store = store
        self._styles = styles
        self._kept = {c.wheel: c for c in store.countdowns()}
        self._heard: list[int] | None = None
        self._rates: dict[str, Rate] = {}
        self.doubts: tuple[str, ...] = ()
        """What was measured and not believed, in words."""
        self.brines: list[Predicted] = store.brines()
        """Of the tubs that wheels are in."""

    @property
    def countdowns(self) -> list[Countdown]:
        """As they stand."""
        return list(self._kept.values())

    def solve(self, dairy: Dairy, entries: Iterable[Entry]) -> None:
        """Bring countdowns and brines in line with the picture and the journal that it rests on."""
        in_salt = {
            n: wheel
            for n, wheel in dairy.wheels.items()
            if wheel.standing in (Standing.IN_BRINE, Standing.IN_DRY_SALT)
        }
        kept: dict[int, Countdown] = {}
        self.brines = []
        if in_salt:
            entries = [entry for entry in entries if entry.at <= dairy.at]
            every, _ = fold(entries, self._styles, {v.place.name: v.place for v in dairy.places})
            for found in self._solved(in_salt, every, entries, dairy):
                kept[found.wheel] = _steadied(self._kept.get(found.wheel), found)
        if kept != self._kept:
            self._kept = kept
            self._store.put_countdowns(kept.values())
        self._store.put_brines(self.brines)
        self._store.put_doubts(self.doubts)

    def _solved(
        self,
        in_salt: Mapping[int, Wheel],
        every: Mapping[int, Wheel],
        entries: Sequence[Entry],
        dairy: Dairy,
    ) -> list[Countdown]:
        """With the brines that the plans so far lead to.

        Wheels without a plan, or with one that an entry has overtaken, get one for that with
        the brine as it was last told.
        """
        # numpy comes in here, and not before a wheel is in salt.
        from cavewatch.core.salting.countdowns import countdowns  # noqa: PLC0415
        from cavewatch.core.salting.shifting import held  # noqa: PLC0415
        from cavewatch.core.salting.tubs import curve  # noqa: PLC0415

        around = self._surroundings(_together(every, in_salt), dairy)
        self._learn(every, entries, dairy)
        new = [in_salt[n] for n in dairy.pending]
        plans = {n: c for n, c in self._kept.items() if n in in_salt}
        plans |= {c.wheel: c for c in countdowns(new, around, dairy.at, self._rates)}
        for view in dairy.places:
            if view.life is None or view.place.name not in around:
                continue
            # A balance that cannot be is told in the tub's life; its brine then stays as it was.
            with contextlib.suppress(CavewatchError):
                found = curve(view.place, entries, every, plans, around, self._rates, dairy.at)
                if found is not None:
                    self.brines.append(found.predicted)
                    brined = replace(around[view.place.name], strengths=found.strengths)
                    around[view.place.name] = brined
        return [
            held(self._kept.get(c.wheel), c, in_salt[c.wheel], clock.duration)
            for c in countdowns(in_salt.values(), around, dairy.at, self._rates)
        ]

    def rates(self, dairy: Dairy, entries: Iterable[Entry]) -> Mapping[str, "Rate"]:
        """What was learned of rates, by style id; the rest have their style's."""
        entries = [entry for entry in entries if entry.at <= dairy.at]
        every, _ = fold(entries, self._styles, {v.place.name: v.place for v in dairy.places})
        self._learn(every, entries, dairy)
        return self._rates

    def _learn(self, every: Mapping[int, Wheel], entries: Sequence[Entry], dairy: Dairy) -> None:
        """Take over what measured wheels teach, if anything was entered that bears on it."""
        from cavewatch.core.salting.learning import learned, measured  # noqa: PLC0415

        wheels = {n: every[n] for n in measured(entries) if n in every and every[n].history}
        bears = (Assayed, Weighed, BrineMeasured, Tended)
        heard = [
            entry.id
            for entry in journal.standing(entries)
            if isinstance(entry.act, bears) or wheels.keys() & set(journal.wheels_of(entry.act))
        ]
        if heard == self._heard:
            return
        found = learned(self._styles, wheels, entries, self._surroundings(wheels.values(), dairy))
        self._heard, self._rates, self.doubts = heard, found.rates, found.doubts

    def _surroundings(self, wheels: Iterable[Wheel], dairy: Dairy) -> "dict[str, Surroundings]":
        """Of every place that these wheels were in while they were salted."""
        from cavewatch.core.salting.clock import WarmthRecord  # noqa: PLC0415
        from cavewatch.core.salting.surroundings import Surroundings  # noqa: PLC0415

        happenings = [happening for wheel in wheels for happening in wheel.history]
        names = {happening.place for happening in happenings}
        begun = min((happening.at for happening in happenings), default=dairy.at)
        found = {}
        for view in dairy.places:
            if view.place.name in names:
                sensor = next(
                    (
                        each.record
                        for each in view.channels
                        if each.channel.quantity is Quantity.TEMPERATURE
                    ),
                    UNKNOWN,
                )
                kept = record(self._store, view.place, sensor, begun - HOUR, dairy.at)
                warmth = WarmthRecord(*kept)
                strengths = () if view.life is None else view.life.strengths
                found[view.place.name] = Surroundings(warmth, strengths)
        return found


def _together(every: Mapping[int, Wheel], in_salt: Mapping[int, Wheel]) -> list[Wheel]:
    """The wheels in salt, and those whose salting was not over when the first of these began."""
    begun = min(wheel.history[0].at for wheel in in_salt.values())
    return [
        wheel
        for wheel in every.values()
        if wheel.history and (wheel.salted_out_at is None or wheel.salted_out_at > begun)
    ]


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
