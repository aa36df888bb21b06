"""A tub's brine as its wheels and the maker's readings lead to it.

The recorder works it out (`cavewatch.core.salting.tubs`) and the store keeps its plain
form, so that who only shows it needs no solver.
"""

import dataclasses
from dataclasses import dataclass
from typing import Any, Self

from cavewatch.core.brine.restoring import Tub
from cavewatch.core.countdown import Span
from cavewatch.core.errors import CavewatchError


@dataclass(frozen=True, slots=True)
class Predicted:
    """The brine of one tub that wheels are in."""

    place: str
    at: float
    """For which it was worked out [s since 1970 UTC]."""
    strength: Span
    """[% w/w]"""
    tub: Tub
    """Its mass balance as expected."""
    when_lifted: Tub
    """The same once all that is in it has been lifted as planned."""

    def to_plain(self) -> dict[str, Any]:
        """As JSON types."""
        return dataclasses.asdict(self)

    @classmethod
    def from_plain(cls, plain: dict[str, Any]) -> Self:
        """What `to_plain` gave; raise CavewatchError for anything else."""
        try:
            parts = {
                "strength": Span(**plain["strength"]),
                "tub": Tub(**plain["tub"]),
                "when_lifted": Tub(**plain["when_lifted"]),
            }
            return cls(**{**plain, **parts})
        except (KeyError, TypeError, ValueError) as fault:
            raise CavewatchError(f"a stored brine cannot be read: {fault}") from fault
