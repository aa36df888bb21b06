"""What the pages of one viewer share: the desk, its picture, what was said and just entered."""

from collections.abc import Iterable

from cavewatch.core.dairy import Dairy
from cavewatch.core.errors import CavewatchError
from cavewatch.core.journal import Acknowledged, Act, Entry, Reset, Voided
from cavewatch.screens.desk import Desk
from cavewatch.screens.fields import EntryError
from cavewatch.screens.lines import Part


class Viewer:
    """One person's look at the dairy."""

    dairy: Dairy
    """The newest picture."""

    def __init__(self, desk: Desk) -> None:
        self.desk = desk
        self.said: Part | None = None
        """What stands in the place of the keys for a while."""
        self.offer: tuple[Entry, ...] = ()
        """What can be taken back for a while, in the order of writing."""
        self.trouble = ""
        """Why the desk cannot be read; empty while it can."""
        self.skipping = ""
        """Where a replay skips to, in words; empty while it does not."""

    def look(self) -> None:
        """Take a new picture."""
        self.dairy = self.desk.picture()

    def enter(
        self, acts: Iterable[Act], at: float, by: str, *, typed: bool = False
    ) -> tuple[Entry, ...]:
        """Append entries that belong together, and offer to take them back.

        Args:
            acts: what happened.
            at: when [s since 1970 UTC].
            by: initials.
            typed: as `Desk.append` takes it.

        Raises:
            CavewatchError: if one could not be kept; saying so if others were.
        """
        acts, kept = tuple(acts), list[Entry]()
        try:
            for act in acts:
                kept.append(self.desk.append(act, at, by, typed=typed))
        except CavewatchError as fault:
            if not kept:
                raise
            raise EntryError(f"{len(kept)} of {len(acts)} entries were written: {fault}") from fault
        finally:
            self.offer = tuple(entry for entry in kept if can_be_taken_back(entry.act))
        return tuple(kept)

    def take_back(self) -> tuple[Entry, ...]:
        """Void what is offered, the last first; gives back what does not count any more.

        Raises:
            EntryError: if nothing is offered.
        """
        offer, self.offer = self.offer, ()
        if not offer:
            raise EntryError("nothing is left from the last 10 s; void older entries on page 8")
        for entry in reversed(offer):
            self.desk.append(Voided(entry.id, "taken back"), self.desk.now(), self.desk.initials)
        return offer


def can_be_taken_back(act: Act) -> bool:
    """False for what moves an alarm on at once, which voiding the entry would not undo."""
    return not isinstance(act, Acknowledged | Reset)
