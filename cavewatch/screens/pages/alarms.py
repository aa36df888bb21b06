"""The page of alarms: those that stand, what they did, and whether they are well set."""

from collections.abc import Iterator, Mapping
from typing import ClassVar

from textual import events, on
from textual.app import ComposeResult
from textual.widget import Widget

from cavewatch import clock
from cavewatch.core.alarms.alarm import Alarm
from cavewatch.core.alarms.suppression import suppressions
from cavewatch.core.journal import standing
from cavewatch.core.record import Occurrence
from cavewatch.screens.alarm_figures import figure_lines
from cavewatch.screens.alarm_past import SPANS, AlarmPast, AlarmPasts
from cavewatch.screens.alarm_past_lines import action_lines, past_line, past_lines
from cavewatch.screens.alarms import alarm_lines
from cavewatch.screens.closing import closing
from cavewatch.screens.details import NO_ALARM, alarm_detail
from cavewatch.screens.fields import EntryError
from cavewatch.screens.lines import Item, Line, Part, Role, clean, fit, wrap
from cavewatch.screens.long_list import LongList
from cavewatch.screens.page import Page
from cavewatch.screens.painted import ItemList, Lines
from cavewatch.screens.plan import NARROW
from cavewatch.screens.scrolled import Scrolled
from cavewatch.screens.sheets import NOWHERE, Target
from cavewatch.screens.targets import target_of_place
from cavewatch.screens.viewer import Viewer
from cavewatch.screens.where import Where

_NOW, _PAST, _FIGURES = VIEWS = ("now", "past", "figures")
_BETWEEN = "  "


class AlarmsPage(Page):
    """Alarms that are not normal, their past and their figures.

    The subject is the key of the alarm to begin with.
    """

    where = Where.ALARMS
    first: ClassVar[tuple[str, ...]] = ("escape", "right", "a", "C", "z", "o", "g", "c", "p")

    def __init__(self, viewer: Viewer, subject: str = "") -> None:
        super().__init__(viewer, subject)
        self.view = _NOW
        self.days = next(iter(SPANS))
        self._pasts = AlarmPasts(viewer.desk)
        self._passed: Mapping[str, Occurrence] = {}

    def heading(self) -> str:
        """Its name, whichever alarm it began with."""
        return "alarms"

    def body(self) -> ComposeResult:
        """The views, a list with its explanation below it, and the figures."""
        yield Lines(id="views")
        yield Lines(id="places")
        yield ItemList(id="list")
        yield LongList(id="past")
        yield Scrolled(id="text")

    def draw(self) -> None:
        """The view that is chosen."""
        past = self._pasts.of(self.dairy, self.days)
        stands, passed = self.query_one("#list", ItemList), self.query_one("#past", LongList)
        stands.display, passed.display = self.view == _NOW, self.view == _PAST
        self.query_one("#views", Lines).show(self._views_line(past))
        self.query_one("#places", Lines).show(*(self._places_lines() if self.view == _NOW else ()))
        if self.view == _NOW:
            self._draw_standing(stands)
        elif self.view == _PAST:
            zone, cells = self.desk.zone, self.cells
            every = {f"{each.since} {each.alarm.key}": each for each in past.came}
            self._passed = every
            passed.styles.height = max(3, self.rows // 2)
            passed.show([*reversed(every)], lambda key: past_line(every[key], zone, cells))
        self._explain(past)

    def _draw_standing(self, stands: ItemList) -> None:
        now, zone, cells = self.desk.now(), self.desk.zone, self.cells
        rows = 2 if cells < NARROW else 1
        items = [Item(a.key, alarm_lines(a, now, zone, cells, rows)) for a in self.dairy.alarms]
        stands.styles.max_height = max(2, self.rows // 3)
        stands.show(items)
        if self.subject:
            stands.go_to(self.subject)

    def _explain(self, past: AlarmPast) -> None:
        """What stands below the list: all about what is under the cursor, or the figures."""
        desk, text = self.desk, self.query_one("#text", Scrolled)
        now, zone = desk.now(), desk.zone
        if self.view == _FIGURES:
            text.show((), *figure_lines(past, self.cells))
            return
        if self.view == _PAST:
            passed = self._past_here()
            quiet: list[Line] = [(Part(f"No alarm in this {SPANS[self.days]}.", Role.FAINT),)]
            told = (
                quiet
                if passed is None
                else past_lines(passed, past.transitions, now, zone, self.cells)
            )
            text.show((), *told)
            return
        key = self.alarm_here()
        alarm = next((a for a in self.dairy.alarms if a.key == key), None)
        if alarm is None:
            text.show((), *NO_ALARM)
            return
        done = action_lines(_this_time(past, alarm), now, zone, self.cells)
        text.show((), *alarm_detail(alarm, now, zone, self.cells), *done)

    # The views

    def _views_line(self, past: AlarmPast) -> Line:
        parts = (
            Part(words, Role.STRONG if view == self.view else Role.FAINT)
            for view, words in self._views(past)
        )
        return fit(tuple(p for part in parts for p in (part, Part(_BETWEEN))), self.cells)

    def _views(self, past: AlarmPast) -> Iterator[tuple[str, str]]:
        """Each view with its words, the chosen one marked by more than its colour."""
        counts = {_NOW: len(self.dairy.alarms), _PAST: len(past.came)}
        for view in VIEWS:
            words = f"{view} {counts[view]}" if view in counts else view
            if view != _NOW and self.cells >= NARROW:
                words += f", {SPANS[self.days]}"
            yield view, f"[{words}]" if view == self.view else f" {words} "

    def _places_lines(self) -> list[Line]:
        """The places whose alarms do not count for now."""
        desk, now = self.desk, self.desk.now()
        places = suppressions(standing(desk.entries())).places
        return [
            (Part(text, Role.CAUTION),)
            for name, found in places.items()
            if found.since <= now < found.until
            for text in wrap(
                clean(
                    f"no alarms of {name} until {clock.moment(found.until, now, desk.zone)}"
                    f"{f': {found.why}' if found.why else ''} ({found.by})"
                ),
                self.cells,
            )
        ]

    def turn_view(self, by: int) -> None:
        """Show the next view, or the one before."""
        self.show_view(VIEWS[(VIEWS.index(self.view) + by) % len(VIEWS)])

    def show_view(self, view: str) -> None:
        """Show this view."""
        self.view = view
        self.draw()
        first = self.start()
        if first is not None:
            first.focus()
        self.query_one("#text", Scrolled).scroll_home(animate=False)

    def step_span(self) -> None:
        """Look further back; from the longest to the shortest."""
        spans = list(SPANS)
        self.days = spans[(spans.index(self.days) + 1) % len(spans)]
        self.draw()
        self.say(f"Past and figures of the last {self.days} days")

    @on(events.Click, "#views")
    def _view_clicked(self, event: events.Click) -> None:
        offset = event.get_content_offset(self.query_one("#views", Lines))
        if offset is None or self.viewer.skipping:
            return
        end = 0
        for view, words in self._views(self._pasts.of(self.dairy, self.days)):
            end += len(words) + len(_BETWEEN)
            if offset.x < end:
                self.show_view(view)
                return

    # What is under the cursor

    def start(self) -> Widget | None:
        """The list of the view; the text where that is empty or there is none."""
        names = {_NOW: "#list", _PAST: "#past", _FIGURES: "#text"}
        first = self.query_one(names[self.view])
        return first if first.can_focus else self.query_one("#text")

    @on(ItemList.Reached, "#list")
    def _reached(self, event: ItemList.Reached) -> None:
        self.subject = event.key
        self._explain(self._pasts.of(self.dairy, self.days))

    @on(LongList.Reached, "#past")
    def _reached_past(self) -> None:
        self._explain(self._pasts.of(self.dairy, self.days))

    def alarm_here(self) -> str | None:
        """The one under the cursor, wherever the focus is."""
        if self.view == _NOW:
            return self.query_one("#list", ItemList).key
        passed = self._past_here()
        return None if passed is None or self.view == _FIGURES else passed.alarm.key

    def _past_here(self) -> Occurrence | None:
        """The time under the cursor of the past."""
        return self._passed.get(self.query_one("#past", LongList).key or "")

    def close_alarm(self) -> None:
        """Open the form for what was done about the alarm under the cursor, that time.

        Raises:
            EntryError: if the cursor is on none.
        """
        past, key = self._pasts.of(self.dairy, self.days), self.alarm_here()
        came = self._past_here() if self.view == _PAST else None
        if self.view == _NOW:
            alarm = next((a for a in self.dairy.alarms if a.key == key), None)
            came = None if alarm is None else _this_time(past, alarm)
        if came is None:
            raise EntryError("choose an alarm under now or past to close it")
        later = (e.since for e in past.came if e.alarm.key == key and e.since > came.since)
        self.fill_in(closing(self.desk, self.dairy, came, min(later, default=None)))

    def target(self) -> Target:
        """The place that the alarm under the cursor watches."""
        key = self.alarm_here()
        known = {each.alarm.key: each.alarm.place for each in self._passed.values()}
        known |= {alarm.key: alarm.place for alarm in self.dairy.alarms}
        place = known.get(key or "", "")
        return target_of_place(self.dairy, place) if place else NOWHERE


def _this_time(past: AlarmPast, alarm: Alarm) -> Occurrence:
    """The last time that an alarm came; as the alarm itself tells where that is not on record."""
    times = [each for each in past.came if each.alarm.key == alarm.key]
    return times[-1] if times else Occurrence(alarm, alarm.since)
