"""A dairy in memory for the dashboard: the interface of the real desks, a clock that stands."""

import math
import re
from collections.abc import AsyncIterator, Callable, Iterator
from contextlib import asynccontextmanager
from dataclasses import replace
from datetime import UTC, datetime
from functools import partial
from html import unescape
from types import SimpleNamespace
from zoneinfo import ZoneInfo

import pytest
from textual.app import App
from textual.pilot import Pilot

from cavewatch.core.alarms.alarm import Alarm, Explanation, Priority, Transition
from cavewatch.core.alarms.table import State, Trigger, after
from cavewatch.core.countdown import Action, Content, Countdown, Footing, Span, Step
from cavewatch.core.dairy import Dairy, picture
from cavewatch.core.errors import CavewatchError
from cavewatch.core.journal import (
    Acknowledged,
    Act,
    BrineMeasured,
    BrineWork,
    Entry,
    Lifted,
    Made,
    Tended,
    standing,
)
from cavewatch.core.place import Place, PlaceKind, TubBrine
from cavewatch.core.planner import Answer, Question
from cavewatch.core.reading import Channel, Reading
from cavewatch.core.record import (
    Air,
    MakeSheet,
    RawMilk,
    make_sheet,
    milk_of,
    occurrences,
    raw_days,
    treatment,
)
from cavewatch.core.series import Bin, Bins, Series
from cavewatch.core.shape import Cylinder, Form, Proportions, Sphere
from cavewatch.core.style import (
    BrinePlan,
    DryPlan,
    Figure,
    Limits,
    Method,
    Stage,
    Style,
)
from cavewatch.core.uptake import Cut, Moment, Uptake, When
from cavewatch.core.wheel import Event, Standing, Wheel, fold
from cavewatch.screens import DashboardApp
from cavewatch.screens.wheel.section import half_and_height
from cavewatch.units import Display

NOW = datetime(2026, 3, 3, 15, 30, tzinfo=UTC).timestamp()
HOUR, DAY = 3600.0, 86400.0
SOURCE = "invented for the tests"


def numbers(since: float, until: float, step: float) -> Iterator[float]:
    at = since
    while at < until:
        yield at
        at += step


def figure(value: float, low: float, high: float) -> Figure:
    return Figure(value, low, high, SOURCE)


def style(
    id: str,
    name: str,
    temperature: tuple[float, float],
    humidity: tuple[float | None, float | None],
) -> Style:
    return Style(
        id=id,
        name=name,
        family="semi-hard",
        moisture=figure(42, 40, 44),
        salt=figure(1.6, 1.4, 1.9),
        methods=(Method.BRINE, Method.DRY),
        proportions=Proportions(Form.WHEEL, 0.5),
        weight=figure(2500, 1500, 5000),
        density=figure(1.08, 1.05, 1.12),
        loss=figure(6, 4, 8),
        diffusivity=figure(0.25, 0.2, 0.3),
        rate=figure(0.7, 0.5, 0.9),
        brine=BrinePlan(figure(20, 18, 22), Limits(10.0, 15.0, SOURCE)),
        dry=DryPlan(figure(3, 2.5, 3.5), (0, 12, 24), figure(0.6, 0.4, 0.8)),
        milled=None,
        stages=(
            Stage("drying", 2, Limits(10, 14, SOURCE), Limits(75, 85, SOURCE), "turn twice a day"),
            Stage(
                "cave", None, Limits(*temperature, SOURCE), Limits(*humidity, SOURCE), "wash weekly"
            ),
        ),
        ready_days=figure(60, 45, 90),
    )


STYLES = {
    each.id: each
    for each in (
        style("washed-curd", "Washed curd", (10.0, 14.0), (80.0, 88.0)),
        style("alpine", "Alpine type", (11.0, 14.0), (90.0, 96.0)),
        style("tomme", "Mountain tomme", (8.0, 12.0), (88.0, None)),
    )
}
PLACES = (
    Place("brine tub", PlaceKind.TUB, {}, TubBrine(20.1, 60.0, 13.0)),
    Place("salting tray", PlaceKind.TRAY, {}),
    Place("drying rack", PlaceKind.RACK, {}),
    Place("upper cave", PlaceKind.CAVE, {}),
    Place("lower cave", PlaceKind.CAVE, {}),
)
READINGS = {
    "brine tub.temperature": 12.6,
    "drying rack.temperature": 12.1,
    "drying rack.humidity": 79.0,
    "upper cave.temperature": 12.9,
    "upper cave.humidity": 91.4,
    "lower cave.temperature": 9.4,
    "lower cave.humidity": 84.1,
}


def made(
    *numbers: int, kind: str = "washed-curd", place: str = "brine tub", **more: object
) -> Made:
    method = Method.BRINE if place == "brine tub" else Method.DRY
    return Made(numbers, kind, method, 2300.0, place, **more)  # type: ignore[arg-type]


def alarm(
    key: str,
    what: str,
    state: State = State.UNACK,
    priority: Priority = Priority.MEDIUM,
    since: float = NOW - 2 * HOUR,
) -> Alarm:
    told = Explanation(
        what=what,
        causes="Door open, humidifier empty, fan too fast.",
        consequence="The rind cracks, the smear stops and the wheels lose weight.",
        action="Shut the door and fill the humidifier. Wet the floor.",
        respond_hours=4.0,
    )
    return Alarm(key, state, priority, since, told)


TOO_DRY = alarm(
    "lower cave.humidity low", "lower cave is too dry: 84 %, at least 88 %", priority=Priority.HIGH
)
SILENT = alarm(
    "upper cave.humidity silent",
    "upper cave humidity was silent for 20 min",
    State.RTNUN,
    Priority.LOW,
    NOW - 9 * HOUR,
)


def solved(wheel: Wheel, now: float) -> Countdown:
    """A countdown by rule of thumb: turned each 12 h, coated three times, out after 60 h."""
    went_in = wheel.history[0].at
    turns = sum(happening.event is Event.TURNED for happening in wheel.history)
    coats = sum(happening.event is Event.SALTED for happening in wheel.history)
    out = went_in + 60 * HOUR
    steps = [Step(Action.LIFT, Span(out - 150 * 60, out, out + 290 * 60))]
    if wheel.standing is Standing.IN_BRINE:
        due = went_in + (turns + 1) * 12 * HOUR
        steps[:0] = [
            Step(Action.TURN, Span(due, due, due)),
            Step(Action.SALT_FACE, Span(due, due, due), Span(8, 9, 11)),
        ]
    else:
        due = went_in + (coats + 1) * 12 * HOUR
        steps.insert(0, Step(Action.COAT, Span(due, due, due), Span(20, 23, 26)))
    part = min(1.0, (now - went_in) / (60 * HOUR))
    return Countdown(
        wheel=wheel.id,
        basis=wheel.basis,
        solved_at=now,
        started_at=went_in,
        salt=Span(1.4 * part, 1.6 * part, 1.8 * part),
        target=Span(1.4, 1.6, 1.9),
        steps=tuple(steps),
        reason="brine at 20.1 % and 12.6 °C",
        caution="",
        in_moisture=Span(3.3 * part, 3.9 * part, 4.6 * part),
        at_lift=Content(Span(1.3, 1.6, 1.9), Span(3.2, 4.1, 5.2), Span(2235, 2254, 2272)),
        pinned=Footing(out, 1.6, 20.1, 12.6, 0.7, (), 0.0, 0.0),
    )


def taken_up(wheel: Wheel, stored: Countdown | None, now: float) -> Uptake | None:
    """By the same rule of thumb: the salt goes with the root of time, even after 40 days."""
    if not wheel.history:
        return None
    begun, out = wheel.history[0].at, wheel.salted_out_at
    in_salt = Standing.IN_BRINE if wheel.method is Method.BRINE else Standing.IN_DRY_SALT
    planned = solved(replace(wheel, history=wheel.history[:1], standing=in_salt), begun).steps
    lift = planned[-1].at.expected if out is None else out
    step = (lift + 5 * HOUR - begun) / 60
    times = tuple(begun + n * step for n in range(61))
    parts = [math.sqrt((min(at, out or at) - begun) / (60 * HOUR)) for at in times]
    sure = [Span(at, at, at) for at in (now, lift, lift + 7 * DAY)]
    even = Span(lift + 30 * DAY, lift + 40 * DAY, lift + 60 * DAY)
    names = (When.NOW, When.LIFT, When.WEEK, When.EVEN)
    moments = [Moment(name, at) for name, at in zip(names, (*sure, even), strict=True)]
    return Uptake(
        wheel=wheel.id,
        at=now,
        times=times,
        salt=tuple(Span(1.3 * p, 1.6 * p, 1.9 * p) for p in parts),
        target=Span(1.4, 1.6, 1.9),
        aimed=planned[-1].at,
        lifted_at=out,
        now=Content(Span(1.3, 1.6, 1.9), Span(3.2, 4.1, 5.2), Span(2235, 2254, 2272)),
        moments=tuple(sorted(moments, key=lambda moment: moment.at.expected)),
        planned=planned,
        ahead=() if stored is None else stored.steps,
        shift="" if stored is None else stored.shift,
        rests_on="evening out with 0.25 cm2/day (0.2 to 0.3) at {12.0 degC}",
    )


def cut_through(wheel: Wheel, at: float) -> Cut:
    """Salt that falls off inwards from the faces, and is even after 50 days."""
    half, height = half_and_height(wheel.shape)
    ball = isinstance(wheel.shape, Sphere)
    days = max((at - wheel.history[0].at) / DAY, 0.05)
    flat = min(days / 50, 1.0)

    def salt(row: int, column: int) -> float | None:
        x, y = half * (column + 0.5) / 48, height * (row + 0.5) / 32
        depth = min(half - x, y, height - y)
        if ball:
            depth = half - math.hypot(x, y - half)
        if depth < 0:
            return None
        return (1 - flat) * 20 * math.exp(-depth / math.sqrt(0.4 * days)) + flat * 4.1

    field = tuple(tuple(salt(row, column) for column in range(48)) for row in range(32))
    known = [value for row in field for value in row if value is not None]
    spans = [Span(0.9 * v, v, 1.1 * v) for v in (max(known), 4.1, min(known))]
    return Cut(wheel.id, at, wheel.shape, field, spans[0], spans[1], spans[2], 4.1)


def later(countdown: Countdown) -> Countdown:
    """The countdown of a wheel whose lift was planned 100 min sooner."""
    assert countdown.pinned is not None
    pinned = replace(countdown.pinned, lift=countdown.pinned.lift - 6000.0)
    shift = "lift 1 h 40 min later than planned: brine 18.9 % in the mean, not 20.1 %"
    return replace(countdown, pinned=pinned, shift=shift)


def planned(question: Question) -> Answer:
    """A plan by rule of thumb: turned after 12 h and 24 h, out after 10 h for each 500 g."""
    out = question.weight / 500 * 10 * HOUR
    at = [hours * HOUR for hours in (12, 24) if hours * HOUR < out]
    dry = question.method is Method.DRY
    steps = [
        step
        for when in (0.0, *at)
        for step in (
            Step(Action.TURN, Span(when, when, when)),
            Step(Action.SALT_FACE, Span(when, when, when), Span(8, 9, 11)),
        )
        if when or step.action is Action.SALT_FACE
    ]
    if dry:
        steps = [Step(Action.COAT, Span(when, when, when), Span(20, 23, 26)) for when in (0.0, *at)]
    in_at = question.in_at
    if in_at is None and question.out_by is not None:
        in_at = question.out_by - out
    return Answer(
        question=question,
        shape=question.shape or Cylinder(18.0, 8.4),
        steps=(*steps, Step(Action.LIFT, Span(out * 0.8, out, out * 1.4))),
        in_at=in_at,
        reached=True,
        salt=Span(1.3, 1.5, 1.8),
        in_moisture=Span(3.2, 3.8, 4.6),
        aim="1.5 % of its weight at the lift, for 1.6 % once it has lost 6 % in ageing",
        weight=Span(0.97 * question.weight, 0.98 * question.weight, 0.99 * question.weight),
        put_on=Span(60, 69, 78),
        brine=None if question.litres is None else Span(19.5, 19.7, 19.8),
        even=Span(12, 17, 25),
        cave=12.5,
        rests="rate factor of 0.7 (0.5 to 0.9)",
        remarks=("this is not a usual weight for the style",) if question.weight > 5000 else (),
    )


def refuse(words: str) -> Answer:
    raise CavewatchError(words)


class FakeReplay:
    """Handles that only remember."""

    def __init__(self) -> None:
        self.speed = 600.0
        self.running = True
        self.progress = 0.42
        self.finished = False
        self.start, self.end = NOW - 4 * DAY, NOW + 3 * DAY
        self.skipped = 0
        self.entered = 0
        self.went: list[float] = []
        self.stopped = 0

    def pause(self) -> None:
        self.running = not self.running

    def faster(self) -> None:
        self.speed *= 10

    def slower(self) -> None:
        self.speed /= 10

    def next_alarm(self) -> None:
        self.skipped += 1

    def next_entry(self) -> None:
        self.entered += 1

    def go_to(self, at: float) -> None:
        self.went.append(at)

    def stop(self) -> None:
        self.stopped += 1


class FakeDesk:
    """A dairy whose journal, readings and alarms are lists."""

    title = "Hillside dairy"
    zone = ZoneInfo("Europe/Dublin")
    initials = "MK"

    def __init__(self, places: tuple[Place, ...] = PLACES) -> None:
        self.display = Display()
        self.styles = STYLES
        self.places = places
        self.replay: FakeReplay | None = None
        self.at = NOW
        self.kept: list[Entry] = []
        self.latest: dict[Channel, Reading] = {}
        self.silent_after = 60.0
        self.alarms: list[Alarm] = []
        self.passed: list[Transition] = []
        self.recorded_from = NOW - 40 * DAY
        self.countdowns: dict[int, Countdown] = {}
        self.words = ""
        self.refusal = ""
        self.typed = False
        self.questions: list[Question] = []
        self.unplanned = ""
        self.drawn = 0
        self.asked: list[Channel] = []
        self.worked: list[int] = []
        self.counted: list[int] = []
        self._new = True

    def now(self) -> float:
        return self.at

    def changed(self) -> bool:
        return self._new

    def picture(self) -> Dairy:
        self._new = False
        self.drawn += 1
        channels = dict.fromkeys(self.latest, self.silent_after)
        return picture(
            self.at,
            self.places,
            channels,
            self.styles,
            self.kept,
            self.latest,
            self.alarms,
            self.countdowns.values(),
        )

    def series(self, channel: Channel, bins: Bins) -> Series:
        self.asked.append(channel)
        value = self.latest[channel].value
        step = min(600.0, bins.length)
        first = max(bins.since, self.recorded_from // step * step)
        found = (
            Bin(at, 1, *[value + 0.6 * math.sin(at / (2 * HOUR))] * 3)
            for at in numbers(first, min(bins.until, self.at), step)
            if value is not None
        )
        return Series.of(bins, found)

    def uptake(self, number: int) -> Callable[[], Uptake | None]:
        wheel, now = self.wheels().get(number), self.at
        stored = self.countdowns.get(number)
        self.worked.append(number)
        return lambda: None if wheel is None else taken_up(wheel, stored, now)

    def cut(self, number: int, at: float) -> Callable[[], Cut | None]:
        wheel = self.wheels().get(number)
        return lambda: None if wheel is None or not wheel.history else cut_through(wheel, at)

    def wheels(self) -> dict[int, Wheel]:
        return fold(self.kept, self.styles, {p.name: p for p in self.places})[0]

    def make_sheet(self, number: int) -> Callable[[], MakeSheet]:
        places = {place.name: place for place in self.places}
        came = occurrences(self.passed, self.kept)
        return partial(
            make_sheet, number, list(self.kept), self.styles, places, self.at, alarms=came
        )

    def raw_milk(self, number: int) -> Callable[[], RawMilk | None]:
        wheel, kept, now = self.wheels().get(number), list(self.kept), self.at
        self.counted.append(number)
        done = None if wheel is None else treatment(milk_of(wheel, kept))
        airs = tuple(
            Air(place.name, at, at + DAY, 12.0)
            for place in self.places
            for at in numbers(self.recorded_from, now, DAY)
        )
        found = () if wheel is None else raw_days(done, (wheel,), {}, now, airs)
        return lambda: found[0] if found else None

    def transitions(self, since: float, until: float) -> list[Transition]:
        return [t for t in self.passed if since <= t.at < until]

    def switched(self, display: Display) -> None:
        self.display = display
        self._new = True

    def entries(self) -> list[Entry]:
        return list(self.kept)

    def plan(self, question: Question) -> Callable[[], Answer]:
        self.questions.append(question)
        if self.unplanned:
            return partial(refuse, self.unplanned)
        return partial(planned, question)

    def append(self, act: Act, at: float, by: str, *, typed: bool = False) -> Entry:
        self.typed = typed
        if self.refusal:
            raise CavewatchError(self.refusal)
        entry = Entry(len(self.kept) + 1, at, self.at, by, act)
        self.kept.append(entry)
        if isinstance(act, Acknowledged):
            self.alarms = [
                replace(each, state=after(each.state, Trigger.ACKNOWLEDGE))
                if each.key == act.alarm
                else each
                for each in self.alarms
            ]
        self._new = True
        return entry

    def next_wheel(self) -> int:
        made = [e.act for e in self.kept if isinstance(e.act, Made)]
        return 1 + max((n for act in made for n in act.wheels), default=0)

    def notice(self) -> str:
        return self.words

    def solve(self) -> None:
        """What the recorder does after an entry."""
        wheels, _ = fold(standing(self.kept), self.styles, {p.name: p for p in self.places})
        self.countdowns = {
            n: solved(wheel, self.at)
            for n, wheel in wheels.items()
            if wheel.standing in (Standing.IN_BRINE, Standing.IN_DRY_SALT)
        }
        self._new = True

    def read(self, name: str, value: float | None, at: float = NOW) -> None:
        channel = Channel.named(name)
        self.latest[channel] = Reading(channel, at, value)
        self._new = True


def busy() -> FakeDesk:
    """Five places, six groups of wheels in salt, one of them later than planned, two alarms."""
    desk = FakeDesk()
    hours_ago = {
        made(1, 2, 3, 4, kind="alpine", place="upper cave", salting_done=True): 40 * 24,
        made(5, 6, 7, kind="tomme", place="lower cave", salting_done=True): 20 * 24,
        made(8, 9, place="drying rack", salting_done=True): 24,
        made(14, 15, 16, 17): 12.2,
        made(18, 19, kind="alpine"): 11.9,
        made(20, kind="tomme", lot="T-7"): 9.0,
        made(21, 22, 23): 4.0,
        made(24, 25, kind="tomme", place="salting tray"): 7.0,
        made(26): 0.5,
    }
    for act, ago in hours_ago.items():
        desk.append(act, NOW - ago * HOUR, "MK")
    desk.solve()
    desk.countdowns[20] = later(desk.countdowns[20])
    for name, value in READINGS.items():
        desk.read(name, value, NOW - 5)
    desk.alarms = [SILENT, TOO_DRY]
    return desk


def salted_tub() -> FakeDesk:
    """The busy dairy, whose tub was tested, had a batch go through it, was restored, filtered."""
    desk = busy()
    for ago, act in (
        (20, BrineMeasured("brine tub", strength=19.6, litres=60.0, ph=5.2)),
        (15, made(30, 31, 32, 33)),
        (13, Lifted((30, 31, 32, 33), "upper cave")),
        (12, BrineMeasured("brine tub", strength=18.9)),
        (11, Tended("brine tub", BrineWork.RESTORED, salt=900.0)),
        (10, Tended("brine tub", BrineWork.FILTERED)),
    ):
        desk.append(act, NOW - ago * DAY, "MK")
    desk.solve()
    return desk


def quiet() -> FakeDesk:
    """Nothing is wrong and nothing is due."""
    desk = FakeDesk(PLACES[:1] + PLACES[3:])
    desk.append(
        made(1, 2, kind="alpine", place="upper cave", salting_done=True), NOW - 40 * DAY, "MK"
    )
    desk.append(
        made(5, 6, kind="tomme", place="lower cave", salting_done=True), NOW - 9 * DAY, "MK"
    )
    desk.append(made(14, 15, 16, 17), NOW - 8 * HOUR, "MK")
    desk.solve()
    for name, value in READINGS.items():
        if "rack" not in name:
            desk.read(name, value, NOW - 5)
    desk.read("lower cave.humidity", 91.0, NOW - 5)
    return desk


@asynccontextmanager
async def dashboard(
    desk: FakeDesk, width: int = 80, height: int = 24
) -> AsyncIterator[Pilot[None]]:
    """The dashboard of this dairy on a screen of this size, drawn."""
    app = DashboardApp(desk, ascii_only=False)
    async with app.run_test(size=(width, height)) as pilot:
        await pilot.pause()
        yield pilot


_TEXT = re.compile(r'<text class="[^"]*" x="([^"]*)" y="([^"]*)"[^>]*>(.*?)</text>')
_CELL = 12.2
"""Width of a cell in a screenshot."""


def shown(app: App[None]) -> list[str]:
    """The visible rows of the screen, as in its screenshot."""
    rows: dict[float, str] = {}
    for x, y, words in _TEXT.findall(app.export_screenshot().rpartition("</clipPath>")[2]):
        row = rows.get(float(y), "").ljust(round(float(x) / _CELL))
        rows[float(y)] = row + unescape(words).replace("\xa0", " ")
    return [rows[y] for y in sorted(rows)]


async def click(pilot: Pilot[None], words: str) -> None:
    """Click on these words, wherever on the screen they are."""
    screen = pilot.app.screen
    for y, strip in enumerate(screen._compositor.render_strips()):
        x = strip.text.find(words)
        if x >= 0:
            widget, region = screen.get_widget_at(x, y)
            await pilot.click(widget, offset=(x - region.x, y - region.y))
            await pilot.pause()
            return
    pytest.fail(f"'{words}' is not on the screen")


@pytest.fixture(autouse=True)
def _terminal(monkeypatch: pytest.MonkeyPatch) -> None:
    """A terminal with all colours, whatever the tests run in."""
    monkeypatch.setenv("TERM", "xterm-256color")
    monkeypatch.setenv("COLORTERM", "truecolor")
    monkeypatch.delenv("NO_COLOR", raising=False)


@pytest.fixture
def scene() -> SimpleNamespace:
    """What the tests build their dairies from."""
    return SimpleNamespace(
        NOW=NOW,
        HOUR=HOUR,
        DAY=DAY,
        STYLES=STYLES,
        PLACES=PLACES,
        TOO_DRY=TOO_DRY,
        SILENT=SILENT,
        FakeDesk=FakeDesk,
        FakeReplay=FakeReplay,
        alarm=alarm,
        busy=busy,
        click=click,
        dashboard=dashboard,
        later=later,
        made=made,
        quiet=quiet,
        salted_tub=salted_tub,
        shown=shown,
        style=style,
        taken_up=taken_up,
        cut_through=cut_through,
    )
