"""What the maker's own wheels teach of a style's rate factor.

The logarithm of the factor is normal: a part that all wheels of the style share, and
a scatter from wheel to wheel. What the wheels say (`evidence`) narrows and shifts the
shared part by a Gaussian update: precisions add. The scatter stays, as the next wheel
has its own.

A wheel that the style and the other wheels make all but impossible is named and left out.
"""

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from cavewatch.core import journal
from cavewatch.core.journal import Assayed, Entry, Weighed
from cavewatch.core.salting.evidence import Finding, Saying, said
from cavewatch.core.salting.guesses import Rate
from cavewatch.core.salting.surroundings import Surroundings
from cavewatch.core.salting.usual import OUTLIER, SCATTER, prior, usual_doubt
from cavewatch.core.style import StyleBook
from cavewatch.core.wheel import Wheel


@dataclass(frozen=True, slots=True)
class Learned:
    """What is known of the rates from the maker's own wheels and usual times."""

    rates: dict[str, Rate]
    """By style id, for the styles of which anything is known beyond the style book."""
    doubts: tuple[str, ...]
    """What was left out and why, a sentence each."""


def measured(entries: Iterable[Entry]) -> frozenset[int]:
    """The wheels that have an assay or a weight."""
    return frozenset(_findings(entries))


def learned(
    styles: StyleBook,
    wheels: Mapping[int, Wheel],
    entries: Iterable[Entry],
    surroundings: Mapping[str, Surroundings],
) -> Learned:
    """The rates that the maker's wheels make likely.

    Args:
        styles: the style book, for the usual times stated in it.
        wheels: every wheel that was measured, ended ones too; more do no harm.
        entries: the journal.
        surroundings: of every place in the histories of the measured wheels.
    """
    rates = {name: prior(style) for name, style in styles.items() if style.usual is not None}
    doubts = [doubt for style in styles.values() if (doubt := usual_doubt(style))]
    sayings: dict[str, list[Saying]] = {}
    for number, findings in sorted(_findings(entries).items()):
        wheel = wheels.get(number)
        saying = None if wheel is None else said(wheel, findings, surroundings)
        if wheel is not None and saying is not None:
            sayings.setdefault(wheel.style.id, []).append(saying)
    for name, heard in sayings.items():
        before = prior(wheels[heard[0].wheel].style)
        left_out = outliers(before, heard)
        rates[name] = updated(before, [saying for saying in heard if saying not in left_out])
        doubts += [_doubt(saying, rates[name]) for saying in left_out]
    return Learned(rates, tuple(doubts))


def updated(before: Rate, sayings: Sequence[Saying]) -> Rate:
    """The rate of the next wheel after what these wheels say."""
    log, variance = _shared(before, sayings)
    spread = math.sqrt(before.spread**2 - _between(before) + variance)
    return Rate(math.exp(log), spread, len(sayings), before.usual)


def outliers(before: Rate, sayings: Sequence[Saying]) -> list[Saying]:
    """The wheels to leave out, the worst first.

    Each is held against the style and all others that are left, so that it does not
    matter in which order they were measured.
    """
    left_out = [saying for saying in sayings if saying.beyond]
    left = [saying for saying in sayings if not saying.beyond]
    while left:
        apart = [_apart(before, left, saying) for saying in left]
        worst = max(range(len(left)), key=apart.__getitem__)
        if apart[worst] <= OUTLIER:
            break
        left_out.append(left.pop(worst))
    return left_out


def _apart(before: Rate, sayings: Sequence[Saying], one: Saying) -> float:
    """How far one is from what the style and the others make likely [standard deviations]."""
    log, variance = _shared(before, [other for other in sayings if other is not one])
    return abs(one.log - log) / math.sqrt(variance + one.error**2)


def _shared(before: Rate, sayings: Sequence[Saying]) -> tuple[float, float]:
    """Mean and variance of the part of the log factor that all wheels of a style share."""
    precision = 1.0 / _between(before)
    weighted = math.log(before.value) * precision
    for saying in sayings:
        precision += saying.error**-2
        weighted += saying.log * saying.error**-2
    return weighted / precision, 1.0 / precision


def _between(before: Rate) -> float:
    """The variance that is not scatter between wheels; half of it all in a narrow band."""
    return max(before.spread**2 - SCATTER**2, before.spread**2 / 2)


def _findings(entries: Iterable[Entry]) -> dict[int, list[Finding]]:
    """The measurements that count, by wheel."""
    found: dict[int, list[Finding]] = {}
    for entry in journal.standing(entries):
        if isinstance(entry.act, Assayed | Weighed):
            for number in entry.act.wheels:
                found.setdefault(number, []).append(Finding(entry.at, entry.act))
    return found


def _doubt(saying: Saying, rate: Rate) -> str:
    times = math.exp(saying.log) / rate.value
    if saying.beyond:
        what = f"nothing explains how {'much' if times > 1 else 'little'} salt it took up"
    elif times > 1:
        what = f"it seems to have taken up salt {times:.1f} times as fast as expected"
    else:
        what = f"it seems to have taken up salt {1 / times:.1f} times as slowly as expected"
    return (
        f"wheel {saying.wheel} is left out: {what}; check what was measured, and what was "
        "entered of its brining"
    )
