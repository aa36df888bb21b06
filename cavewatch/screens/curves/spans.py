"""How much time a chart shows."""

from enum import StrEnum

_DAY = 86400.0


class Span(StrEnum):
    """From the shortest."""

    HOUR = "hour"
    DAY = "day"
    WEEK = "week"
    MONTH = "month"
    SEASON = "season"
    YEAR = "year"
    FIVE_YEARS = "5 years"

    @property
    def seconds(self) -> float:
        """Its length [s]; a season is a quarter of a year."""
        return _SECONDS[self]

    def stepped(self, by: int) -> "Span":
        """The one so many steps longer; after the longest comes the shortest."""
        every = list(Span)
        return every[(every.index(self) + by) % len(every)]


_SECONDS = {
    Span.HOUR: 3600.0,
    Span.DAY: _DAY,
    Span.WEEK: 7 * _DAY,
    Span.MONTH: 30 * _DAY,
    Span.SEASON: 91 * _DAY,
    Span.YEAR: 365 * _DAY,
    Span.FIVE_YEARS: 5 * 365 * _DAY,
}
