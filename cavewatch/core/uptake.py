"""How one wheel takes up salt and how that evens out, as plain values.

They are worked out by `cavewatch.core.salting.whole`; who only shows them needs no solver.
"""

from dataclasses import dataclass
from enum import StrEnum

from cavewatch.core.countdown import Content, Span, Step
from cavewatch.core.shape import Shape


class When(StrEnum):
    """The moments at which one looks into a wheel."""

    NOW = "now"
    LIFT = "at the lift"
    WEEK = "a week later"
    EVEN = "when even"


@dataclass(frozen=True, slots=True)
class Moment:
    """One of them."""

    when: When
    at: Span
    """[s since 1970 UTC]; all equal for one that is known."""


@dataclass(frozen=True, slots=True)
class Uptake:
    """The salting of one wheel, from its going in to its being even."""

    wheel: int
    """Its number."""
    at: float
    """Time for which it was worked out [s since 1970 UTC]."""
    times: tuple[float, ...]
    """From the going in on, rising [s since 1970 UTC]."""
    salt: tuple[Span, ...]
    """At each of them [% of the cheese]."""
    target: Span
    """Too little below low, aim, too much above high, at the lift [% of the cheese]."""
    aimed: Span
    """When it has the aim, by the model [s since 1970 UTC]."""
    lifted_at: float | None
    """[s since 1970 UTC]; None while it is in salt."""
    now: Content
    """What is in it at `at`, or was when it was lifted."""
    moments: tuple[Moment, ...]
    """By time."""
    planned: tuple[Step, ...]
    """As planned when it went in, by time; the last is the lift."""
    ahead: tuple[Step, ...]
    """What is left to do; empty once it was lifted."""
    shift: str
    """By how much the lift has moved, and why, in one line; see `Countdown.shift`."""
    rests_on: str
    """What the evening out rests on, in one line, with temperatures as '{12.4 degC}'."""


@dataclass(frozen=True, slots=True)
class Cut:
    """A wheel cut through the middle, at one time.

    Salt is told per 100 g of the water that is left, as if that which came out had come out of
    all parts alike; water lost in ageing is not counted.
    """

    wheel: int
    """Its number."""
    at: float
    """[s since 1970 UTC]"""
    shape: Shape
    field: tuple[tuple[float | None, ...], ...]
    """As expected, rows from the top down, each from the middle to the rim, all of one length;
    None outside a ball [g per 100 g]. A block is cut half way along its width."""
    saltiest: Span
    """In its saltiest part [g per 100 g]."""
    mean: Span
    """In all of it [g per 100 g]."""
    least: Span
    """In its least salty part [g per 100 g]."""
    aim: float
    """What the whole is to have [g per 100 g]."""
