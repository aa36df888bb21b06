"""The pages, by name."""

from cavewatch.screens.page import Page
from cavewatch.screens.pages.alarms import AlarmsPage
from cavewatch.screens.pages.due import DuePage
from cavewatch.screens.pages.home import HomePage
from cavewatch.screens.pages.journal import JournalPage
from cavewatch.screens.pages.keys import KeysPage
from cavewatch.screens.pages.place import PlacePage
from cavewatch.screens.pages.planner import PlannerPage
from cavewatch.screens.pages.sheet import SheetPage
from cavewatch.screens.pages.tub import TubPage
from cavewatch.screens.pages.wheel import WheelPage
from cavewatch.screens.where import Where

PAGES: dict[Where, type[Page]] = {
    page.where: page
    for page in (
        HomePage,
        PlacePage,
        WheelPage,
        TubPage,
        PlannerPage,
        AlarmsPage,
        DuePage,
        JournalPage,
        SheetPage,
        KeysPage,
    )
}

__all__ = ["PAGES"]
