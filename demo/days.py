"""The days of the invented week, in March 2026."""

from datetime import UTC, datetime, timedelta

DAYS = 7
"""Length of the week of readings, from START."""


def march(day: int, hour: int, minute: int = 0) -> float:
    """A moment of March 2026 [s since 1970 UTC]; day 0 and below count back from 1 March.

    The dairy's zone keeps UTC until the 29th, so that these are its wall times too.
    """
    first = datetime(2026, 3, 1, tzinfo=UTC)
    return (first + timedelta(days=day - 1, hours=hour, minutes=minute)).timestamp()


START = march(2, 6)
"""Monday, 06:00: the first reading."""
END = START + DAYS * 86400.0
"""The next Monday, 06:00: just after the last reading."""
