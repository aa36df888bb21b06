"""The page of a wheel: its life, its salt now and to come, what was done and what is left to do."""

from collections.abc import Sequence
from dataclasses import replace
from typing import ClassVar, cast

from textual import events, on
from textual.app import ComposeResult
from textual.worker import Worker, WorkerState

from cavewatch.core.dairy import Dairy
from cavewatch.core.errors import CavewatchError
from cavewatch.core.record import RawMilk
from cavewatch.core.uptake import Cut, Uptake, When
from cavewatch.core.wheel import Wheel, fold
from cavewatch.screens.curves.raster import ACROSS
from cavewatch.screens.details import GONE
from cavewatch.screens.lines import clean
from cavewatch.screens.page import Page
from cavewatch.screens.painted import Lines
from cavewatch.screens.plan import NARROW
from cavewatch.screens.scrolled import Scrolled
from cavewatch.screens.sheets import Target
from cavewatch.screens.targets import group_of, target_of_wheel
from cavewatch.screens.viewer import Viewer
from cavewatch.screens.wheel import curve, moments
from cavewatch.screens.wheel.doings import doing_lines
from cavewatch.screens.wheel.facts import fact_lines, salt_lines, solved_lines
from cavewatch.screens.wheel.make import label_facts, make_lines
from cavewatch.screens.wheel.picture import VIEWS, Looking, Picture, Worked, picture
from cavewatch.screens.wheel.record import record_lines
from cavewatch.screens.wheel.section import told_lines
from cavewatch.screens.where import Where
from cavewatch.screens.wording import FINE

_FEWEST_TEXT = 5
"""Rows that are kept for the text, or a quarter of them."""
Found = tuple[str, Uptake | None, Cut | None, RawMilk | None]
"""What was worked out for which wheel."""


class WheelPage(Page):
    """One wheel, by its number."""

    where = Where.WHEEL
    first: ClassVar[tuple[str, ...]] = (
        *("escape", "left", "right", "p", "y", "t", "s", "l", "S", "m", "r", "A", "W", "M", "H"),
        *("w", "e"),
    )

    def __init__(self, viewer: Viewer, subject: str = "") -> None:
        super().__init__(viewer, subject)
        self.looking = Looking(When.NOW)
        self._worked = Worked()
        self._of = subject
        self._again = False
        self._picture: Picture | None = None

    @classmethod
    def nearest(cls, dairy: Dairy, target: Target) -> str:
        """The wheel under the cursor, or the first of the place, or of all."""
        known = (*target.chosen, *target.here, *sorted(dairy.wheels))
        return str(known[0]) if known else ""

    def subjects(self) -> Sequence[str]:
        """All that have not ended, by number."""
        return [str(number) for number in sorted(self.dairy.wheels)]

    def heading(self) -> str:
        """'wheel 14'."""
        return f"wheel {self.subject}" if self.subject else "no wheel yet"

    @property
    def number(self) -> int:
        """Of the wheel; 0 where there is none yet."""
        return int(self.subject or 0)

    @property
    def wheel(self) -> Wheel | None:
        """It, also if it has ended; None if there is none of that number."""
        if self.number in self.dairy.wheels:
            return self.dairy.wheels[self.number]
        places = {place.name: place for place in self.desk.places}
        return fold(self.desk.entries(), self.desk.styles, places)[0].get(self.number)

    @property
    def settled(self) -> bool:
        """Whether all that is asked for has been worked out and shown."""
        return self.drawn and not self._worked.busy

    def target(self) -> Target:
        """This wheel."""
        return target_of_wheel(self.dairy, self.number)

    def body(self) -> ComposeResult:
        """Pictures over a text to read."""
        yield Lines(id="wheel-picture")
        yield Scrolled(id="text")

    def start(self) -> Scrolled:
        """The text, which may be long."""
        return self.query_one("#text", Scrolled)

    def draw(self) -> None:
        """All that is known of it; what is not known yet is worked out meanwhile."""
        if self._of != self.subject:
            self._of, self._worked = self.subject, Worked()
        self._work_out()
        self._show()

    def count_down(self) -> None:
        """Show the seconds, where there are any."""
        solved = self.dairy.countdowns.get(self.number)
        if solved is not None and 0 < solved.steps[0].at.expected - self.desk.now() < FINE:
            self._show()

    def _show(self) -> None:
        """Show what is known by now."""
        above, text = self.query_one("#wheel-picture", Lines), self.query_one("#text", Scrolled)
        wheel, desk = self.wheel, self.desk
        if wheel is None:
            self._picture = None
            above.show()
            text.show(*GONE)
            return
        entries, now = desk.entries(), desk.now()
        countdown = self.dairy.countdowns.get(wheel.id)
        place = (desk.zone, desk.display, self.cells)
        self._picture = picture(
            wheel,
            countdown,
            self._worked,
            self.looking,
            entries,
            now,
            *place,
            self.rows - max(_FEWEST_TEXT, self.rows // 4),
            self.dashboard.ascii_only,
        )
        above.show(*self._picture.lines)
        uptake, cut = self._worked.uptake, self._worked.cut
        lines = fact_lines(wheel, group_of(self.dairy, wheel.id), now, *place)
        if uptake is not None and wheel.history:
            lines += doing_lines(wheel, uptake, now, *place)
        if countdown is not None:
            lines += solved_lines(countdown, now, *place)
        if uptake is not None:
            lines += salt_lines(uptake, now, *place)
        if cut is not None and self.cells < NARROW:
            lines[:0] = told_lines(cut, self.cells)
        lines += make_lines(wheel, self._worked.raw, entries, now, *place)
        lines += record_lines(wheel, uptake, entries, now, *place)
        lines += label_facts(wheel, entries, *place)
        text.show(*lines)

    # What is worked out

    def _work_out(self) -> None:
        """Ask for the uptake, and the cut at the chosen moment, in a thread; one at a time."""
        if self._worked.busy:
            self._again = True
            return
        subject, known = self.subject, self._worked.uptake
        now = self.desk.now()
        chosen = self.looking.chosen
        try:
            uptake = self.desk.uptake(self.number)
            at = moments.time_of(chosen, () if known is None else known.moments, now)
            cut = self.desk.cut(self.number, at)
            raw = self.desk.raw_milk(self.number)
        except CavewatchError as fault:
            self._worked = Worked(trouble=clean(str(fault)))
            return

        def work() -> Found:
            return subject, uptake(), cut(), raw()

        self._worked = replace(self._worked, busy=True, trouble="")
        self.run_worker(work, name="wheel", thread=True, exit_on_error=False)

    @on(Worker.StateChanged)
    def _worked_out(self, event: Worker.StateChanged) -> None:
        """Show what came of it, if it is still wanted."""
        if event.worker.name != "wheel" or not event.worker.is_finished:
            return
        again, self._again = self._again, False
        self._worked = replace(self._worked, busy=False)
        if event.state is WorkerState.SUCCESS:
            subject, uptake, cut, raw = cast(Found, event.worker.result)
            if subject == self.subject:
                self._worked = Worked(uptake, cut, raw)
        elif event.state is WorkerState.ERROR:
            self._worked = Worked(trouble=clean(f"It cannot be worked out: {event.worker.error}"))
        if self.drawn and not self.viewer.skipping:
            if again:
                self._work_out()
            self._show()

    # What is looked at

    def step_moment(self, by: int) -> None:
        """Cut the wheel at the next or previous named moment."""
        uptake = self._worked.uptake
        if uptake is not None:
            chosen = self.looking.chosen
            self._look(moments.stepped(chosen, uptake.moments, self.desk.now(), by))

    def step_time(self, columns: int) -> None:
        """Cut the wheel earlier or later, by a column of the curve."""
        uptake, drawn = self._worked.uptake, self._picture
        if uptake is not None and drawn is not None:
            length = ACROSS * curve.bins_of(uptake, drawn.width).length
            at = moments.time_of(self.looking.chosen, uptake.moments, self.desk.now())
            self._look(max(uptake.times[0], at + columns * length))

    def step_view(self) -> None:
        """Show the cut alone, the uptake alone, neither, then both again."""
        self.looking = replace(self.looking, view=(self.looking.view + 1) % len(VIEWS))
        self.say(f"Shown: {VIEWS[self.looking.view]}")
        self._show()

    def step_make(self, by: int) -> None:
        """Show the first wheel of the next or previous make."""
        makes = sorted({min(self._mates(n)) for n in self.dairy.wheels})
        here = self.dairy.wheels.get(self.number)
        if here is not None:
            index = makes.index(min(self._mates(here.id)))
            self.turn_to(str(makes[(index + by) % len(makes)]))

    def _mates(self, number: int) -> list[int]:
        make = self.dairy.wheels[number].make
        return [n for n, wheel in self.dairy.wheels.items() if wheel.make == make]

    def _look(self, chosen: moments.Chosen) -> None:
        self.looking = replace(self.looking, chosen=chosen)
        self._work_out()
        self._show()

    @on(events.Click, "#wheel-picture")
    def _picture_clicked(self, event: events.Click) -> None:
        """Cut the wheel at the moment that was clicked."""
        offset = event.get_content_offset(self.query_one("#wheel-picture", Lines))
        uptake, drawn = self._worked.uptake, self._picture
        if offset is None or uptake is None or drawn is None or self.viewer.skipping:
            return
        first, count, left = drawn.curve
        if offset.y == drawn.moments:
            when = moments.moment_at(self.looking.chosen, uptake.moments, self.cells, offset.x)
            if when is not None:
                self._look(when)
        elif first <= offset.y < first + count:
            column = curve.column_at(offset.x - left)
            bins = curve.bins_of(uptake, drawn.width)
            if 0 <= column < curve.columns_of(drawn.width):
                at = bins.since + (column + 0.5) * ACROSS * bins.length
                self._look(max(uptake.times[0], at))
