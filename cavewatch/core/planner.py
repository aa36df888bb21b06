"""What a planner is asked and what it answers: plain values, for who shows them.

They are worked out by `cavewatch.core.salting`, which who only shows them need not load.
"""

from dataclasses import dataclass

from cavewatch.core.countdown import Span, Step
from cavewatch.core.shape import Shape
from cavewatch.core.style import Method


@dataclass(frozen=True, slots=True)
class Question:
    """Wheels still to be salted, all alike; None for what is as usual or does not matter."""

    style: str
    """Id in the style book."""
    method: Method
    weight: float
    """Of one wheel; of all the curd where salt is milled in [g]."""
    temperature: float
    """Of the brine, or where it lies in dry salt [degC]."""
    strength: float
    """Of the brine [% w/w]; not looked at for other methods."""
    shape: Shape | None = None
    """None: the usual proportions of the style."""
    litres: float | None = None
    """Brine in the tub [L]; None for so much that it stays as it is."""
    wheels: int = 1
    """That share the tub."""
    others: tuple[int, ...] = ()
    """Numbers of wheels that are in the tub already; the plan does not count with them."""
    others_leave: float | None = None
    """Strength that the tub comes to when these alone are lifted [% w/w]; None if not known."""
    in_at: float | None = None
    """When it goes in [s since 1970 UTC]."""
    out_by: float | None = None
    """When it must be out [s since 1970 UTC]; without `in_at`, planned backwards from it."""
    awake: tuple[float, float] | None = None
    """From when to when somebody is up [s since local midnight]; None: always."""


@dataclass(frozen=True, slots=True)
class Answer:
    """What to do with one of the wheels, and what comes of it; ranges hold nine in ten."""

    question: Question
    shape: Shape | None
    """Its size; None for milled curd."""
    steps: tuple[Step, ...]
    """What to do when [s after the going in], the lift last; empty for milled curd."""
    in_at: float | None
    """When it goes in [s since 1970 UTC]; None where no time was asked for."""
    reached: bool
    """Whether it is ready within 90 days; if not, the rest tells what it would be then."""
    salt: Span
    """[% of the weight then]"""
    in_moisture: Span
    """[g per 100 g of the water then]"""
    aim: str
    """What it is to have then, in words."""
    weight: Span
    """Of one wheel then; of all the cheese where salt is milled in [g]."""
    put_on: Span | None
    """Salt put on one wheel or into the curd in all; None where none is [g]."""
    brine: Span | None
    """Strength of the tub's brine then [% w/w]; None where its volume is not known."""
    even: Span | None
    """From the lift until its salt is even [day], at `cave`; None for milled curd."""
    cave: float
    """[degC]"""
    rests: str
    """What the range rests on, in words."""
    remarks: tuple[str, ...]
    """What to mind, a sentence each, the gravest first."""
