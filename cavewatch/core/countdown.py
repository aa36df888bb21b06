"""Countdowns: what to do next with a wheel in salt, as absolute times with a range.

They are worked out by `cavewatch.core.salting` and kept by the store in their
plain form, so that who only shows them needs no solver.
"""

import dataclasses
from dataclasses import dataclass
from enum import StrEnum
from typing import Any, Self

from cavewatch.core.errors import CavewatchError


class Action(StrEnum):
    """What a maker does with wheels, in salt and after, and with a tub."""

    SALT_FACE = "salt face"
    TURN = "turn"
    LIFT = "lift"
    COAT = "coat"
    WASH = "wash"
    RUB = "rub"
    BRUSH = "brush"
    WIPE = "wipe"
    OIL = "oil"
    SCRAPE = "scrape"
    TEST = "test"


CARE = (Action.WASH, Action.RUB, Action.BRUSH, Action.WIPE, Action.OIL, Action.SCRAPE)
"""Work on the rind, turning aside."""


@dataclass(frozen=True, slots=True)
class Span:
    """A number from the model with its range."""

    low: float
    expected: float
    high: float


@dataclass(frozen=True, slots=True)
class Step:
    """One thing to do, and when."""

    action: Action
    at: Span
    """Earliest, expected and latest [s since 1970 UTC]; all equal where custom sets the time."""
    grams: Span | None = None
    """Salt to put on one wheel [g], for SALT_FACE and COAT."""


@dataclass(frozen=True, slots=True)
class Content:
    """What is in a wheel at one time."""

    salt: Span
    """[% of its weight then]"""
    in_moisture: Span
    """Salt in the water that is in it then [g per 100 g]."""
    weight: Span
    """[g]"""


@dataclass(frozen=True, slots=True)
class Footing:
    """A plan of the lift, and the few numbers that it rests on."""

    lift: float
    """As expected [s since 1970 UTC]."""
    aim: float
    """Salt to lift at [% of the weight then]."""
    strength: float | None
    """Of the brine, in the mean from the going in to the lift [% w/w]; None in dry salt."""
    temperature: float
    """Of the place: the constant one that would have the same effect in that time [degC]."""
    rate: float
    """Factor on the diffusivity while a face takes up salt [-]."""
    touches: tuple[float, ...]
    """When it was and is to be turned, or coated, in order [s since 1970 UTC]."""
    put_on: float
    """Salt put on and still to be put on it in dry salt [g]; 0 in brine."""
    bare: float
    """How long its upper face stood out of the brine without salt so far [s]."""


@dataclass(frozen=True, slots=True)
class Countdown:
    """The salting of one wheel as it stands."""

    wheel: int
    """Its number."""
    basis: int
    """Newest journal entry that it rests on."""
    solved_at: float
    """Time for which it was worked out [s since 1970 UTC]."""
    started_at: float
    """When the salting began [s since 1970 UTC]."""
    salt: Span
    """Salt in the wheel at `solved_at` [% of the cheese]."""
    target: Span
    """Too little below low, aim, too much above high [% of the cheese]."""
    steps: tuple[Step, ...]
    """What is left to do, soonest first; the last one is always LIFT."""
    reason: str
    """What the numbers rest on, in one line, with temperatures as '{12.4 degC}'."""
    caution: str = ""
    """Where the model is out of its depth, in one line; empty if it is not."""
    in_moisture: Span | None = None
    """Salt in the water that is in it at `solved_at` [g per 100 g]."""
    at_lift: Content | None = None
    """What it will be if it is lifted when expected."""
    pinned: Footing | None = None
    """The plan as it was when the salting began."""
    shift: str = ""
    """By how much the lift has moved since then, and why, in one line; empty if it hardly has."""

    def to_plain(self) -> dict[str, Any]:
        """As JSON types."""
        return dataclasses.asdict(self)

    @classmethod
    def from_plain(cls, plain: dict[str, Any]) -> Self:
        """The countdown that `to_plain` gave; raise CavewatchError for anything else.

        What was stored before a field was there has that field's default.
        """
        try:
            steps = tuple(
                Step(Action(step["action"]), Span(**step["at"]), _span(step["grams"]))
                for step in plain["steps"]
            )
            parts = {
                "salt": Span(**plain["salt"]),
                "target": Span(**plain["target"]),
                "steps": steps,
                "in_moisture": _span(plain.get("in_moisture")),
                "at_lift": _content(plain.get("at_lift")),
                "pinned": _footing(plain.get("pinned")),
            }
            return cls(**{**plain, **parts})
        except (KeyError, TypeError, ValueError, AttributeError) as fault:
            raise CavewatchError(f"a stored countdown cannot be read: {fault}") from fault


def _span(plain: dict[str, Any] | None) -> Span | None:
    return None if plain is None else Span(**plain)


def _content(plain: dict[str, Any] | None) -> Content | None:
    return None if plain is None else Content(**{n: Span(**span) for n, span in plain.items()})


def _footing(plain: dict[str, Any] | None) -> Footing | None:
    return None if plain is None else Footing(**{**plain, "touches": tuple(plain["touches"])})
