"""Which alarms do not call, by whose word and until when: folded from the journal.

An alarm is shelved or taken out of service by its key; a place is suppressed
by design (its door is open for cleaning, say) for all alarms of its air or brine.
Each ends as the standard wants it: shelving and suppression by themselves at
their time, and never later than a maximum; out of service when it is put back.
"""

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from cavewatch.core.alarms.table import State
from cavewatch.core.errors import CavewatchError
from cavewatch.core.journal import (
    BackInService,
    Entry,
    OutOfService,
    Shelved,
    Suppressed,
    Unshelved,
)

HOUR = 3600.0
LONGEST = {State.SHLVD: 24 * HOUR, State.DSUPR: 8 * HOUR}
"""The maximum time of a suppression with an end [s]; IEC 62682 asks for one, judgement how long."""


@dataclass(frozen=True, slots=True)
class Suppression:
    """One suppression in force."""

    state: State
    """SHLVD, DSUPR or OOSRV."""
    since: float
    """[s since 1970 UTC]"""
    until: float
    """When it ends by itself [s since 1970 UTC]; infinite for OOSRV."""
    why: str
    by: str
    """Initials."""


@dataclass(frozen=True, slots=True)
class Suppressions:
    """Everything that is or will be over; ask with the present time."""

    out: Mapping[str, Suppression] = field(default_factory=dict)
    """Out of service, by alarm key."""
    shelved: Mapping[str, Suppression] = field(default_factory=dict)
    """By alarm key."""
    places: Mapping[str, Suppression] = field(default_factory=dict)
    """Suppressed by design, by name of the place."""

    def of(self, key: str, place: str, at: float) -> Suppression | None:
        """What suppresses an alarm now; the most lasting kind where there are several.

        Args:
            key: of the alarm.
            place: whose process it watches; empty if a suppressed place does not matter to it.
            at: now [s since 1970 UTC].
        """
        for found in (self.out.get(key), self.shelved.get(key), self.places.get(place)):
            if found is not None and found.since <= at < found.until:
                return found
        return None

    def next_end(self, at: float) -> float:
        """When the next one in force ends [s since 1970 UTC]; infinite if none does."""
        ends = (s.until for s in (*self.shelved.values(), *self.places.values()) if s.until > at)
        return min(ends, default=math.inf)


NONE = Suppressions()


def suppressions(entries: Iterable[Entry]) -> Suppressions:
    """Fold entries that count, by time; of two for the same alarm or place the later holds."""
    out: dict[str, Suppression] = {}
    shelved: dict[str, Suppression] = {}
    places: dict[str, Suppression] = {}
    for entry in entries:
        match entry.act:
            case OutOfService(alarm, why):
                out[alarm] = Suppression(State.OOSRV, entry.at, math.inf, why, entry.by)
            case BackInService(alarm):
                out.pop(alarm, None)
            case Shelved(alarm, until, why):
                shelved[alarm] = _timed(State.SHLVD, entry, until, why)
            case Unshelved(alarm):
                shelved.pop(alarm, None)
            case Suppressed(place, until, why):
                places[place] = _timed(State.DSUPR, entry, until, why)
            case _:
                pass
    return Suppressions(out, shelved, places)


def _timed(state: State, entry: Entry, until: float, why: str) -> Suppression:
    end = min(until, entry.at + LONGEST[state])
    return Suppression(state, entry.at, end, why, entry.by)


def checked_end(state: State, at: float, until: float) -> float:
    """The end of a suppression that begins at `at`, for a shell to ask before it writes.

    Raises:
        CavewatchError: for one that lies before its beginning or beyond the maximum.
    """
    longest = LONGEST[state]
    if not at <= until <= at + longest:
        raise CavewatchError(
            f"this lasts {(until - at) / HOUR:.1f} h; write a time from now on and at most "
            f"{longest / HOUR:g} h away, or take the alarm out of service"
        )
    return until
