"""What can be wrong with a store."""

from cavewatch.core.errors import CavewatchError
from cavewatch.core.text import clean


class StoreError(CavewatchError):
    """The store's file cannot be opened, read or written as asked."""

    def __init__(self, text: str) -> None:
        super().__init__(clean(text, 1000))


class DamagedStoreError(StoreError):
    """The file is a store, but what is in it is torn; `set_aside` moves it out of the way."""
