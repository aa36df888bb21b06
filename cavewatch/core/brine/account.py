"""A tub's life in words, as screens and commands tell it."""

from collections.abc import Callable, Iterator
from typing import Protocol

from cavewatch.core.brine.life import TubLife
from cavewatch.core.brine.upkeep import renew, tests_due

TESTS = 3
"""Tests of the strength that are shown, the newest first."""
Moment = Callable[[float], str]
"""An instant [s since 1970 UTC] in words."""


class Show(Protocol):
    """Values in the maker's units."""

    def strength(self, percent: float) -> str:
        """[% w/w]"""

    def volume(self, litres: float) -> str:
        """[L]"""

    def mass(self, grams: float) -> str:
        """[g]"""


def account(life: TubLife, now: float, moment: Moment, show: Show) -> Iterator[tuple[str, str]]:
    """What the brine is by now, what went through it, what is to be done: labels and words.

    Words may be empty, where nothing is known.
    """
    due = tests_due(life, now, in_use=life.in_now_kg > 0)
    ahead = [f"{each.what} {moment(each.at)}" for each in due if each.at > now]
    tests = [
        f"{show.strength(found)} {moment(at)}" for at, found in reversed(life.measured[-TESTS:])
    ]
    yield "brine", _strength(life, show)
    yield "measured", ", ".join(tests)
    yield "due now", ", ".join(each.what for each in due if each.at <= now)
    yield "due next", ahead[0] if ahead else ""
    for reason in renew(life, now):
        yield "advice", reason
    yield "volume", "" if life.litres is None else f"about {show.volume(life.litres)}"
    yield "cheese", ", ".join(_cheese(life, moment, show))
    yield "found", ", ".join(_found(life, moment))
    yield "done", ", ".join(_done(life, moment))
    for remark in life.remarks:
        yield "note", remark


def _strength(life: TubLife, show: Show) -> str:
    """The predicted strength; its range only where there is one."""
    low, expected, high = (
        show.strength(each)
        for each in (life.strength.low, life.strength.expected, life.strength.high)
    )
    return expected if low == high else f"{expected} by now ({low.removesuffix(' %')} to {high})"


def _cheese(life: TubLife, moment: Moment, show: Show) -> Iterator[str]:
    """What is in it and what went through it."""
    if life.in_now_kg:
        yield f"{show.mass(1000 * life.in_now_kg)} in it"
    since = "" if life.since is None else f" since it was mixed {moment(life.since)}"
    if life.passed_kg:
        yield f"{show.mass(1000 * life.passed_kg)} lifted out{since}"


def _found(life: TubLife, moment: Moment) -> Iterator[str]:
    """The newest of each other test."""
    if life.ph is not None and life.ph_at is not None:
        yield f"pH {life.ph:.1f} {moment(life.ph_at)}"
    if life.calcium is not None and life.calcium_at is not None:
        yield f"{life.calcium:.2g} % calcium chloride {moment(life.calcium_at)}"
    if life.clarity is not None and life.clarity_at is not None:
        yield f"{life.clarity} {moment(life.clarity_at)}"


def _done(life: TubLife, moment: Moment) -> Iterator[str]:
    works = (
        ("skimmed", life.skimmed_at),
        ("filtered", life.filtered_at),
        ("heated", life.heated_at),
        ("tub cleaned", life.cleaned_at),
    )
    for work, at in works:
        if at is not None:
            yield f"{work} {moment(at)}"
