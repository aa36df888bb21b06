"""The page of all keys, each of which can be given from there."""

from textual import on
from textual.app import ComposeResult

from cavewatch.screens.keys import key_items
from cavewatch.screens.page import Page
from cavewatch.screens.painted import ItemList
from cavewatch.screens.where import Where


class KeysPage(Page):
    """The keys of the page that it was opened from; its subject is that page."""

    where = Where.KEYS
    first = ("escape", "q")

    def heading(self) -> str:
        """Whose keys they are."""
        return f"keys of the {self.subject} page"

    def body(self) -> ComposeResult:
        """The keys."""
        yield ItemList(id="list")

    def draw(self) -> None:
        """All keys."""
        items = key_items(Where(self.subject), self.replayed, self.cells)
        self.query_one("#list", ItemList).show(items)

    @on(ItemList.Opened)
    def _give(self, event: ItemList.Opened) -> None:
        """Close, and give the key to the page beneath."""
        self.dashboard.back()
        self.dashboard.page.action_give(event.key)
