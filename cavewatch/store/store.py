"""The store: everything that is kept, in one SQLite file."""

from cavewatch.store.alarms import Alarms
from cavewatch.store.countdowns import Countdowns
from cavewatch.store.journal import Journal
from cavewatch.store.readings import Readings


class Store(Readings, Journal, Alarms, Countdowns):
    """One connection to the file with all its tables; each method is one short transaction.

    For one thread at a time; it may be handed from thread to thread. Every
    method raises StoreError, naming the file, where the file fails it.
    """
