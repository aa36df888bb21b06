"""A line of marks under a chart: what was done and what was wrong, each at its moment."""

from collections.abc import Iterable
from dataclasses import dataclass

from cavewatch.core.series import Bins
from cavewatch.screens.curves.raster import ACROSS
from cavewatch.screens.lines import Line, Part, Role, pad

_RANK = (Role.ALERT, Role.CAUTION, Role.STRONG, Role.PLAIN, Role.FAINT)
_MANY = 9


@dataclass(frozen=True, slots=True)
class Mark:
    """One thing that happened."""

    at: float
    """[s since 1970 UTC]"""
    words: str
    """What it was, for the cursor."""
    sign: str = "▴"
    """One cell wide."""
    plain: str = "^"
    """The same in ASCII."""
    role: Role = Role.PLAIN


def marks_line(
    bins: Bins,
    marks: Iterable[Mark],
    columns: int,
    label: str = "",
    labels: int = 9,
    ascii_only: bool = False,
) -> Line:
    """Each mark in its column; where several of one kind meet, their number (+ for ten or more).

    Where kinds meet, the gravest is shown.
    """
    found: dict[int, list[Mark]] = {}
    for mark in marks:
        index = bins.index(mark.at)
        if index is not None:
            found.setdefault(index // ACROSS, []).append(mark)
    return (
        Part(pad(label, labels, right=True) + " ", Role.FAINT),
        *(
            _sign(found[column], ascii_only) if column in found else Part(" ")
            for column in range(columns)
        ),
    )


def near(bins: Bins, marks: Iterable[Mark], at: float) -> list[Mark]:
    """The marks that stand in the column of a moment, by time."""
    here = bins.index(at)
    if here is None:
        return []
    found = ((bins.index(mark.at), mark) for mark in marks)
    return sorted(
        (m for n, m in found if n is not None and n // ACROSS == here // ACROSS),
        key=lambda mark: mark.at,
    )


def _sign(marks: list[Mark], ascii_only: bool) -> Part:
    gravest = min(marks, key=lambda mark: _RANK.index(mark.role))
    alike = sum(mark.sign == gravest.sign for mark in marks)
    if alike > 1 and alike == len(marks):
        return Part(str(alike) if alike <= _MANY else "+", gravest.role)
    return Part(gravest.plain if ascii_only else gravest.sign, gravest.role)
