"""The Textual dashboard: it draws the picture of the dairy and appends journal entries.

The app is imported when it is asked for: who wants only the wording needs no Textual.
"""

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from cavewatch.screens.app import DashboardApp

__all__ = ["DashboardApp"]


def __getattr__(name: str) -> Any:
    if name != "DashboardApp":
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    from cavewatch.screens.app import DashboardApp  # noqa: PLC0415

    return DashboardApp
