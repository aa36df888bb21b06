"""Stretches of time from which there is no reading."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Gap:
    """One stretch."""

    since: float
    """[s since 1970 UTC]"""
    until: float
    """[s since 1970 UTC]"""


def gaps(
    bins: Iterable[float], width: float, since: float, until: float, least: float
) -> Iterator[Gap]:
    """The stretches without readings, as the bins come, so that years need no memory.

    Args:
        bins: when each bin that holds a value begins, rising [s since 1970 UTC].
        width: of a bin [s].
        since: where to begin [s since 1970 UTC].
        until: where to end [s since 1970 UTC].
        least: a shorter stretch is none [s], such as the age at which a channel is silent.
    """
    seen = since
    for begin in bins:
        if begin - seen >= least and begin <= until:
            yield Gap(seen, begin)
        seen = max(seen, begin + width)
    if until - seen >= least:
        yield Gap(seen, until)
