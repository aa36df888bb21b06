"""The Textual dashboard: it draws the picture of the dairy and appends journal entries."""

from cavewatch.screens.app import DashboardApp

__all__ = ["DashboardApp"]
