"""Commands that choose what the curves of a place show."""

from typing import TYPE_CHECKING, cast

from cavewatch.screens.commands.command import Command
from cavewatch.screens.where import Where

if TYPE_CHECKING:
    from cavewatch.screens.page import Page
    from cavewatch.screens.pages.place import PlacePage

_FAR = 10
"""Columns of a long step."""
_CURVES = frozenset({Where.PLACE, Where.TUB})


class Longer(Command):
    """More time."""

    key, shown, label = "p", "p", "longer"
    help = "Show more time: hour, day, week, month, season, year, 5 years"
    pages = _CURVES

    def run(self, page: "Page") -> None:
        """The next longer span; after the longest the shortest."""
        cast("PlacePage", page).step_span(1)


class Shorter(Command):
    """Less time."""

    key, shown, label = "P", "P", "shorter"
    help = "Show less time"
    pages = _CURVES

    def run(self, page: "Page") -> None:
        """The next shorter span; after the shortest the longest."""
        cast("PlacePage", page).step_span(-1)


class CurveCursor(Command):
    """Point at a moment of the curves."""

    pages = _CURVES

    def __init__(self, key: str, shown: str, columns: int) -> None:
        self.key, self.shown, self._columns = key, shown, columns
        far = "far " if abs(columns) > 1 else ""
        self.label = f"{far}{'earlier' if columns < 0 else 'later'}"
        self.help = f"Point at {'an earlier' if columns < 0 else 'a later'} moment of the curves"
        self.help += ", ten columns at once" if far else ", and read what was there"

    def run(self, page: "Page") -> None:
        """Move the upright line."""
        cast("PlacePage", page).step_cursor(self._columns)


class OneCurve(Command):
    """One curve in large, or all."""

    key, shown, label = "y", "y", "one curve"
    help = "Show one curve large: temperature, humidity, dew point, then all again"
    pages = _CURVES

    def run(self, page: "Page") -> None:
        """The next one."""
        cast("PlacePage", page).step_curve()


LOOKING: tuple[Command, ...] = (
    Longer(),
    Shorter(),
    CurveCursor("comma", ",", -1),
    CurveCursor("full_stop", ".", 1),
    CurveCursor("less_than_sign", "<", -_FAR),
    CurveCursor("greater_than_sign", ">", _FAR),
    OneCurve(),
)
