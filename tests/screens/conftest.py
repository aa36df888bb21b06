"""A dairy in memory for the dashboard: the interface of the real desks, a clock that stands."""

import math
import re
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from dataclasses import replace
from datetime import UTC, datetime
from html import unescape
from types import SimpleNamespace
from zoneinfo import ZoneInfo

import pytest
from textual.app import App
from textual.pilot import Pilot

from cavewatch.core.alarms.alarm import Alarm, Explanation, Priority
from cavewatch.core.alarms.table import State, Trigger, after
from cavewatch.core.countdown import Action, Content, Countdown, Footing, Span, Step
from cavewatch.core.dairy import Dairy, picture
from cavewatch.core.errors import CavewatchError
from cavewatch.core.journal import Acknowledged, Act, Entry, Made, standing
from cavewatch.core.place import Place, PlaceKind, TubBrine
from cavewatch.core.reading import Channel, Reading
from cavewatch.core.shape import Form, Proportions
from cavewatch.core.style import (
    BrinePlan,
    DryPlan,
    Figure,
    Limits,
    Method,
    Stage,
    Style,
)
from cavewatch.core.wheel import Event, Standing, Wheel, fold
from cavewatch.screens import DashboardApp
from cavewatch.units import Display

NOW = datetime(2026, 3, 3, 15, 30, tzinfo=UTC).timestamp()
HOUR, DAY = 3600.0, 86400.0
SOURCE = "invented for the tests"


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


def later(countdown: Countdown) -> Countdown:
    """The countdown of a wheel whose lift was planned 100 min sooner."""
    assert countdown.pinned is not None
    pinned = replace(countdown.pinned, lift=countdown.pinned.lift - 6000.0)
    shift = "lift 1 h 40 min later than planned: brine 18.9 % in the mean, not 20.1 %"
    return replace(countdown, pinned=pinned, shift=shift)


class FakeReplay:
    """Handles that only remember."""

    def __init__(self) -> None:
        self.speed = 600.0
        self.running = True
        self.progress = 0.42
        self.finished = False
        self.skipped = 0

    def pause(self) -> None:
        self.running = not self.running

    def faster(self) -> None:
        self.speed *= 10

    def slower(self) -> None:
        self.speed /= 10

    def next_alarm(self) -> None:
        self.skipped += 1


class FakeDesk:
    """A dairy whose journal, readings and alarms are lists."""

    title = "Hillside dairy"
    zone = ZoneInfo("Europe/Dublin")
    display = Display()
    initials = "MK"

    def __init__(self, places: tuple[Place, ...] = PLACES) -> None:
        self.styles = STYLES
        self.places = places
        self.replay: FakeReplay | None = None
        self.at = NOW
        self.entries: list[Entry] = []
        self.latest: dict[Channel, Reading] = {}
        self.silent_after = 60.0
        self.alarms: list[Alarm] = []
        self.countdowns: dict[int, Countdown] = {}
        self.words = ""
        self.refusal = ""
        self.typed = False
        self.drawn = 0
        self.asked: list[Channel] = []
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
            self.entries,
            self.latest,
            self.alarms,
            self.countdowns.values(),
        )

    def trend(self, channel: Channel, since: float, until: float, bins: int) -> list[float | None]:
        self.asked.append(channel)
        value = self.latest[channel].value
        if value is None:
            return [None] * bins
        starts = (since + n * (until - since) / bins for n in range(bins))
        return [value + 0.6 * math.sin(start / (2 * HOUR)) for start in starts]

    def append(self, act: Act, at: float, by: str, *, typed: bool = False) -> Entry:
        self.typed = typed
        if self.refusal:
            raise CavewatchError(self.refusal)
        entry = Entry(len(self.entries) + 1, at, self.at, by, act)
        self.entries.append(entry)
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
        made = [e.act for e in self.entries if isinstance(e.act, Made)]
        return 1 + max((n for act in made for n in act.wheels), default=0)

    def notice(self) -> str:
        return self.words

    def solve(self) -> None:
        """What the recorder does after an entry."""
        wheels, _ = fold(standing(self.entries), self.styles, {p.name: p for p in self.places})
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
        dashboard=dashboard,
        later=later,
        made=made,
        quiet=quiet,
        shown=shown,
        style=style,
    )
