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
    """What a maker does with a wheel in salt."""

    SALT_FACE = "salt face"
    TURN = "turn"
    LIFT = "lift"
    COAT = "coat"


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
    """What the numbers rest on, in one line."""
    caution: str = ""
    """Where the model is out of its depth, in one line; empty if it is not."""

    def to_plain(self) -> dict[str, Any]:
        """As JSON types."""
        return dataclasses.asdict(self)

    @classmethod
    def from_plain(cls, plain: dict[str, Any]) -> Self:
        """The countdown that `to_plain` gave; raise CavewatchError for anything else."""
        try:
            steps = tuple(
                Step(
                    Action(step["action"]),
                    Span(**step["at"]),
                    None if step["grams"] is None else Span(**step["grams"]),
                )
                for step in plain["steps"]
            )
            spans = {"salt": Span(**plain["salt"]), "target": Span(**plain["target"])}
            return cls(**{**plain, **spans, "steps": steps})
        except (KeyError, TypeError, ValueError) as fault:
            raise CavewatchError(f"a stored countdown cannot be read: {fault}") from fault
