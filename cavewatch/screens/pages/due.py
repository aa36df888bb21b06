"""The page of what is due: all work by day, done with one key."""

from collections.abc import Sequence
from typing import ClassVar

from textual import on
from textual.app import ComposeResult

from cavewatch.core.countdown import Action
from cavewatch.core.done import act_of
from cavewatch.core.due import Task
from cavewatch.core.journal import Act
from cavewatch.core.place import PlaceKind
from cavewatch.core.reading import Quantity
from cavewatch.screens import wording
from cavewatch.screens.brine_test import brine_test
from cavewatch.screens.due_lines import Chore, chores, due_items
from cavewatch.screens.fields import EntryError
from cavewatch.screens.lines import Line, Part, Role, cut
from cavewatch.screens.page import Page
from cavewatch.screens.painted import ItemList, Lines
from cavewatch.screens.plan import TALL
from cavewatch.screens.sheets import NOWHERE, Sheet, Sheets, Target
from cavewatch.screens.targets import target_of_place, target_of_wheel
from cavewatch.screens.viewer import Viewer
from cavewatch.screens.where import Where


class DuePage(Page):
    """Everything that is to be done, over all wheels, tubs and sensors."""

    where = Where.DUE
    first: ClassVar[tuple[str, ...]] = ("escape", "y", "p", "t", "s", "l", "r", "b", "m", "w")

    def __init__(self, viewer: Viewer, subject: str = "") -> None:
        super().__init__(viewer, subject)
        self.picked: set[str] = set()
        """Keys of what is to be done together."""
        self._chores: Sequence[Chore] = ()

    def heading(self) -> str:
        """Its name."""
        return "due"

    def body(self) -> ComposeResult:
        """How much is picked, and the work."""
        yield Lines(id="picked")
        yield ItemList(id="list")

    @property
    def _list(self) -> ItemList:
        return self.query_one("#list", ItemList)

    def draw(self) -> None:
        """All work, as it is now."""
        self._chores = chores(self.dairy, self.desk.display)
        self.picked &= {chore.key for chore in self._chores}
        self.query_one("#picked", Lines).show(*self._told())
        self.count_down()

    def _told(self) -> list[Line]:
        if not self._chores:
            return [(Part("Nothing is due, now or later.", Role.FAINT),)]
        if not self.picked:
            return []
        words = f"{len(self.picked)} picked: y enters that they are done"
        return [(Part(cut(words, self.cells), Role.STRONG),)]

    def count_down(self) -> None:
        """The list, whose countdowns may show seconds."""
        desk = self.desk
        airy = self.app.size.height >= TALL
        now, zone = desk.now(), desk.zone
        self._list.show(due_items(self._chores, self.picked, now, zone, self.cells, airy))

    # Done

    def pick(self) -> None:
        """Pick what is under the cursor, or leave it again; go on to the next."""
        chore = self._here()
        if chore is None:
            raise EntryError("nothing is due, so there is nothing to pick")
        self.picked ^= {chore.key}
        self.draw()
        self._list.action_move(1)

    def done(self) -> None:
        """Enter that what is picked, or else what is under the cursor, was done just now.

        What needs nothing typed is entered at once; for the first of what is left there is
        a form, and what is still left stays picked.
        """
        meant = [chore for chore in self._chores if chore.key in self.picked]
        here = self._here()
        if not meant and here is not None:
            meant = [here]
        if not meant:
            raise EntryError("nothing is due, so nothing can be done")
        acts = [act for chore in meant if (act := _act(chore)) is not None]
        left = [chore for chore in meant if _act(chore) is None]
        if acts:
            self.picked &= {chore.key for chore in left}
            self.viewer.enter(acts, self.desk.now(), self.desk.initials)
            words = (wording.act_words(act, self.desk.display) for act in acts)
            more = f"; still to do: {len(left)}" if left else ""
            self._entered(f"Written: {'; '.join(words)}{more}")
        else:
            self.fill_in(self._sheet(left[0]))

    def _sheet(self, chore: Chore) -> Sheet:
        """The form in which a chore that needs more to be told is entered."""
        task, channel = chore.task, chore.channel
        if channel is not None:
            how = "ice" if channel.quantity is Quantity.TEMPERATURE else "salt"
            raise EntryError(
                f"a check takes its time and is entered at its end: cavewatch sensor check {how} "
                f"'{channel}'"
            )
        assert task is not None
        target = self._target_of(task)
        if task.action is Action.TEST:
            return brine_test(self.desk, self.dairy, target)
        sheets = Sheets(self.desk, self.dairy, target)
        return sheets.lifted() if task.action is Action.LIFT else sheets.salted()

    # What is under the cursor

    def _here(self) -> Chore | None:
        key = self._list.key
        return next((chore for chore in self._chores if chore.key == key), None)

    def target(self) -> Target:
        """The wheels or the place of the work under the cursor."""
        chore = self._here()
        if chore is None:
            return NOWHERE
        if chore.channel is not None:
            return target_of_place(self.dairy, chore.channel.place)
        return NOWHERE if chore.task is None else self._target_of(chore.task)

    def _target_of(self, task: Task) -> Target:
        if not task.wheels:
            return target_of_place(self.dairy, task.place)
        near = target_of_wheel(self.dairy, task.wheels[0])
        grams = near.grams if task.grams is None else task.grams.expected
        return Target(task.wheels, near.make, near.here, task.place, grams)

    @on(ItemList.Opened, "#list")
    def _open(self) -> None:
        """Open what the work is about."""
        target = self.target()
        if target.chosen:
            self.dashboard.open(Where.WHEEL, str(target.chosen[0]))
        elif target.place:
            kinds = {place.name: place.kind for place in self.desk.places}
            tub = kinds.get(target.place) is PlaceKind.TUB
            self.dashboard.open(Where.TUB if tub else Where.PLACE, target.place)


def _act(chore: Chore) -> Act | None:
    return None if chore.task is None else act_of(chore.task)
