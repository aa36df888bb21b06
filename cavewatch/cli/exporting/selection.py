"""Which part of the record is meant: from when until when, and of which places."""

import math
from collections.abc import Callable, Iterable
from dataclasses import dataclass

from cavewatch import clock
from cavewatch.cli.exporting.facts import Facts
from cavewatch.core import journal
from cavewatch.core.alarms.alarm import Alarm
from cavewatch.core.errors import CavewatchError
from cavewatch.core.journal import Act, Entry
from cavewatch.core.wheel import Wheel, fold


@dataclass(frozen=True, slots=True)
class Selection:
    """A part of the record."""

    since: float
    """[s since 1970 UTC]"""
    until: float
    """Up to, but not with [s since 1970 UTC]."""
    places: frozenset[str]
    """Empty for all."""

    @classmethod
    def of(
        cls, facts: Facts, since: str | None, until: str | None, places: Iterable[str]
    ) -> "Selection":
        """What was typed.

        Raises:
            CavewatchError: for a time that is none, a span that ends before it begins, or a place
                that neither the config nor any reading names.
        """
        now = clock.now()
        begin = -math.inf if since is None else clock.instant(since, now, facts.zone)
        end = math.inf if until is None else clock.instant(until, now, facts.zone)
        if begin >= end:
            raise CavewatchError(
                f"--from is {facts.iso(begin)} and --to is {facts.iso(end)}: nothing lies between; "
                "write a later --to"
            )
        known = dict.fromkeys((*facts.places, *(each.place for each in facts.channels)))
        chosen = set()
        for name in places:
            found = [each for each in known if each.casefold() == name.casefold()]
            if not found:
                raise CavewatchError(f"there is no place '{name}'; write one of {', '.join(known)}")
            chosen.update(found)
        return cls(begin, end, frozenset(chosen))

    def has(self, place: str) -> bool:
        """Whether a place is meant."""
        return not self.places or place in self.places

    def meets(self, since: float, until: float | None) -> bool:
        """Whether a stretch lies at least in part in the span; None: it goes on."""
        return since < self.until and (until is None or until > self.since)

    def alarm(self, alarm: Alarm) -> bool:
        """Whether an alarm is of a place that is meant."""
        return self.has(alarm.place) or any(
            alarm.key.startswith(f"{place}.") for place in self.places
        )

    def entries(self, facts: Facts) -> Callable[[Entry], bool]:
        """Tells whether an entry is meant: about such a place, or a wheel that was there then."""
        wheels: dict[int, Wheel] = {}
        if self.places:
            wheels, _ = fold(facts.entries, facts.live.config.styles, facts.places)

        def meant(entry: Entry) -> bool:
            if not self.since <= entry.at < self.until:
                return False
            return not self.places or self._about(entry, wheels)

        return meant

    def _about(self, entry: Entry, wheels: dict[int, Wheel]) -> bool:
        named = _places(entry.act)
        stood = (
            _place(wheels[number], entry.at)
            for number in journal.wheels_of(entry.act)
            if number in wheels
        )
        return any(self.has(place) for place in (*named, *stood) if place)


def _places(act: Act) -> Iterable[str]:
    """The places that an act names, by itself or in the name of a channel or alarm."""
    place = getattr(act, "place", None)
    if place:
        yield place
    for named in (getattr(act, "channel", ""), getattr(act, "alarm", "")):
        if named:
            yield named.rpartition(".")[0]


def _place(wheel: Wheel, at: float) -> str:
    """Where a wheel was at a time; empty from before it was anywhere."""
    return next((stay.place for stay in reversed(wheel.stays) if stay.at <= at), "")
