"""The page of the journal: all entries, the newest first, found by what one types."""

from collections.abc import Mapping, Sequence
from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.timer import Timer
from textual.widgets import Input

from cavewatch.core import journal
from cavewatch.core.journal import Entry, Voided, corrections, wheels_of
from cavewatch.core.place import PlaceKind
from cavewatch.screens.journal_lines import Told, entry_lines, journal_line
from cavewatch.screens.journal_search import Query, searched
from cavewatch.screens.lines import Line, Part, Role, cut
from cavewatch.screens.long_list import LongList
from cavewatch.screens.page import Page
from cavewatch.screens.painted import Lines
from cavewatch.screens.scrolled import Scrolled
from cavewatch.screens.search_line import SearchLine
from cavewatch.screens.sheets import NOWHERE, Target
from cavewatch.screens.targets import target_of_place, target_of_wheel
from cavewatch.screens.viewer import Viewer
from cavewatch.screens.where import Where
from cavewatch.units import Display

_AT_ONCE = 200
"""Entries that are made ready to be searched in one go, so that typing never stalls."""
_SLICE = 0.03
"""Time between two such goes [s]."""


class JournalPage(Page):
    """What was entered, with what does not count any more and what corrects it."""

    where = Where.JOURNAL
    first: ClassVar[tuple[str, ...]] = ("escape", "slash", "w", "v")

    def __init__(self, viewer: Viewer, subject: str = "") -> None:
        super().__init__(viewer, subject)
        self.sought = ""
        """What is typed into the search line."""
        self._known: list[Entry] = []
        self._by_number: Mapping[int, Entry] = {}
        self._newest: Sequence[Entry] = ()
        self._void: Mapping[int, Entry] = {}
        self._ready: dict[tuple[int, int], str] = {}
        self._units: Display | None = None
        self._readying: Timer | None = None

    def heading(self) -> str:
        """Its name."""
        return "journal"

    def body(self) -> ComposeResult:
        """The search line, the entries, and the whole of the one under the cursor."""
        yield SearchLine(id="search")
        yield Lines(id="found")
        yield LongList(id="list")
        yield Scrolled(id="text")

    def start(self) -> LongList:
        """The entries."""
        return self._list

    @property
    def _list(self) -> LongList:
        return self.query_one("#list", LongList)

    def draw(self) -> None:
        """The entries that are found, and the one under the cursor."""
        self._look()
        found, desk = self._found(), self.desk
        now, zone, display, cells = desk.now(), desk.zone, desk.display, self.cells
        self.query_one("#found", Lines).show(*self._count_line(len(found)))
        self._list.show(
            found,
            lambda key: journal_line(self._told(int(key)), now, zone, display, cells),
        )
        text = self.query_one("#text", Scrolled)
        text.styles.height = max(3, min(9, self.rows // 3))
        self._tell()

    def _look(self) -> None:
        """Take in what is new in the journal."""
        entries = self.desk.entries()
        if entries != self._known:
            self._known = entries
            self._by_number = {entry.id: entry for entry in entries}
            self._newest = sorted(entries, key=lambda entry: (-entry.at, -entry.id))
            self._void = corrections(entries)
        if self._units != self.desk.display:
            self._units, self._ready = self.desk.display, {}

    def _told(self, number: int) -> Told:
        entry = self._by_number[number]
        act = entry.act
        mended = self._by_number.get(act.entry) if isinstance(act, Voided) else None
        return Told(entry, self._void.get(number), mended)

    def _tell(self) -> None:
        """Show the whole of the entry under the cursor."""
        desk, entry = self.desk, self.entry_here()
        lines: list[Line] = []
        if entry is not None:
            told = self._told(entry.id)
            lines = entry_lines(told, desk.styles, desk.now(), desk.zone, desk.display, self.cells)
        self.query_one("#text", Scrolled).show((), *lines)

    def _count_line(self, found: int) -> list[Line]:
        every = len(self._known)
        if not every:
            return [(Part("Nothing has been entered yet.", Role.FAINT),)]
        if not self.sought:
            return []
        words = f"{found:,} of {every:,} entries"
        if len(self._ready) < every:
            words += f", {len(self._ready):,} looked through so far"
        elif not found:
            words += "; write words, wheel 14, initials, yesterday or 2026-03-03"
        return [(Part(cut(words, self.cells), Role.FAINT),)]

    # Searching

    def open_search(self) -> None:
        """Show the search line, and type into it."""
        line = self.query_one("#search", SearchLine)
        line.display = True
        line.focus()

    def _found(self) -> list[str]:
        """The numbers of the entries that are found, the newest first."""
        if not self.sought:
            return [str(entry.id) for entry in self._newest]
        self._make_ready()
        zone = self.desk.zone
        query = Query.typed(self.sought, self.desk.now(), zone)
        return [
            str(entry.id)
            for entry in self._newest
            if (words := self._ready.get(self._mark(entry))) and query.finds(entry, words, zone)
        ]

    def _mark(self, entry: Entry) -> tuple[int, int]:
        """What an entry's words hang on."""
        void = self._void.get(entry.id)
        return entry.id, 0 if void is None else void.id

    def _make_ready(self) -> None:
        """Make some more entries ready to be searched, and see to it that the rest will be."""
        left = _AT_ONCE
        for entry in self._newest:
            if self._mark(entry) in self._ready:
                continue
            if not left:
                if self._readying is None:
                    self._readying = self.set_interval(_SLICE, self._go_on)
                return
            left -= 1
            told, desk = self._told(entry.id), self.desk
            mended = told.void or told.mended
            self._ready[self._mark(entry)] = searched(entry, mended, desk.zone, desk.display)
        if self._readying is not None:
            self._readying.stop()
            self._readying = None

    def _go_on(self) -> None:
        """Make more ready; what is found is shown once all is, or when more is typed."""
        if self.viewer.skipping:
            return
        self._make_ready()
        if self._readying is None:
            self.draw()

    @on(Input.Changed, "#search")
    def _typed(self, event: Input.Changed) -> None:
        self.sought = event.value.strip()
        if not self.viewer.skipping:
            self.draw()

    @on(SearchLine.Left)
    def _search_left(self, event: SearchLine.Left) -> None:
        """Back to the list: with what was found, or with all of it."""
        line = self.query_one("#search", SearchLine)
        if event.given_up:
            line.value = ""
        line.display = bool(line.value)
        self._list.focus()

    # The entry under the cursor

    def entry_here(self) -> Entry | None:
        """The entry under the cursor."""
        key = self._list.key
        return None if key is None else self._by_number.get(int(key))

    def target(self) -> Target:
        """The wheels that the entry under the cursor names, or the place."""
        entry = self.entry_here()
        if entry is None:
            return NOWHERE
        wheels = [number for number in wheels_of(entry.act) if number in self.dairy.wheels]
        if wheels:
            near = target_of_wheel(self.dairy, wheels[0])
            return Target(tuple(wheels), near.make, near.here, near.place, near.grams)
        place = getattr(entry.act, "place", None)
        return NOWHERE if place is None else target_of_place(self.dairy, place)

    @on(LongList.Reached, "#list")
    def _reached(self) -> None:
        self._tell()

    @on(LongList.Opened, "#list")
    def _open(self) -> None:
        """Open what the entry is about."""
        entry = self.entry_here()
        if entry is None:
            return
        act, wheels = entry.act, self.target().chosen
        place = getattr(act, "place", None)
        if isinstance(act, Voided):
            self._list.go_to(str(act.entry))
        elif wheels:
            self.dashboard.open(Where.WHEEL, str(wheels[0]))
        elif isinstance(act, journal.Answer | journal.Corrected) and not isinstance(
            act, journal.Suppressed
        ):
            self.dashboard.open(Where.ALARMS, act.alarm)
        elif place is not None:
            kinds = {each.name: each.kind for each in self.desk.places}
            tub = kinds.get(place) is PlaceKind.TUB
            self.dashboard.open(Where.TUB if tub else Where.PLACE, place)
