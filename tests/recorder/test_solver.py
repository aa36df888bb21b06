"""The recorder's countdowns: pinned plans, learned rates, shared tubs, and what is kept of them."""

import math
from collections.abc import Callable, Iterator
from dataclasses import replace
from itertools import pairwise

import pytest

from cavewatch.config.texts import shipped
from cavewatch.core.alarms.texts import Words
from cavewatch.core.countdown import Countdown
from cavewatch.core.dairy import Dairy
from cavewatch.core.journal import Act, Assayed, BrineMeasured, Lifted, Made, Noted, Salted
from cavewatch.core.place import Place
from cavewatch.core.reading import Channel, Quantity, Reading
from cavewatch.core.salting.clock import WarmthRecord
from cavewatch.core.signal.record import UNKNOWN
from cavewatch.core.style import Method, Style
from cavewatch.recorder import Recorder
from cavewatch.recorder.record import record
from cavewatch.store import Store

HOUR = 3600.0
BEGIN = 400_000 * HOUR
WARM = Channel("tub", Quantity.TEMPERATURE)
WORDS = Words(shipped(), lambda s: f"{s:g} s")


class Probe:
    """A sensor that gives what it was fed."""

    def __init__(self) -> None:
        self.fed: list[Reading] = []

    def take(self) -> list[Reading]:
        found, self.fed = self.fed, []
        return found


class Desk:
    """A recorder whose clock is moved by hand."""

    def __init__(self, style: Style, places: dict[str, Place]) -> None:
        self.now = BEGIN
        self.probe = Probe()
        self.store = Store.in_memory()
        self.style, self.places = style, places
        self.recorder = self.started()

    def started(self) -> Recorder:
        return Recorder(
            self.store,
            [self.probe],
            lambda: self.now,
            self.places.values(),
            {WARM: math.inf},
            {self.style.id: self.style},
            WORDS,
            {},
        )

    def enter(self, act: Act, ago: float = 0.0) -> None:
        self.store.append(self.now - ago, self.now, "TT", act)

    def go(self, hours: float, celsius: float = 12.0) -> None:
        """Let time pass, with a reading every ten minutes."""
        for _ in range(round(hours * 6)):
            self.now += HOUR / 6
            self.probe.fed.append(Reading(WARM, self.now, celsius))
            self.recorder.step()

    def see(self) -> Dairy:
        self.recorder.step()
        return self.recorder._picture(self.now)

    def countdown(self, number: int = 1) -> Countdown:
        return self.see().countdowns[number]

    def strength(self) -> float:
        view = next(view for view in self.see().places if view.place.name == "tub")
        assert view.strength is not None
        return view.strength


def made(*numbers: int, weight: float = 2500.0) -> Made:
    return Made(numbers, "meadow", Method.BRINE, weight, "tub")


@pytest.fixture
def desk(style: Style, places: dict[str, Place]) -> Iterator[Desk]:
    found = Desk(style, places)
    yield found
    found.store.close()


def test_the_first_countdown_pins_its_plan_and_a_shift_is_told(desk: Desk) -> None:
    desk.enter(made(1))
    pinned = desk.countdown().pinned
    desk.enter(Salted((1,), 22.0))
    desk.go(4)
    assert desk.countdown().pinned == pinned
    assert desk.countdown().shift == ""
    desk.enter(BrineMeasured("tub", 18.0))
    found = desk.countdown()
    assert found.pinned == pinned
    assert "min later than planned: brine" in found.shift


def test_the_pin_outlives_the_recorder(desk: Desk) -> None:
    desk.enter(made(1))
    pinned = desk.countdown().pinned
    desk.go(1)
    desk.recorder = desk.started()
    desk.enter(BrineMeasured("tub", 18.0))
    found = desk.countdown()
    assert found.pinned == pinned
    assert found.shift


def test_the_strength_that_is_shown_is_the_one_that_countdowns_go_by(desk: Desk) -> None:
    desk.enter(made(*range(1, 13)))
    desk.enter(Salted(tuple(range(1, 13)), 22.0))
    desk.see()
    desk.go(12)
    shown = desk.strength()
    assert 19.0 < shown < 19.8
    assert f"brine {shown:.1f} %" in desk.countdown().reason
    assert desk.store.brines() == desk.recorder._solver.brines
    desk.enter(BrineMeasured("tub", 19.0))
    assert desk.strength() == pytest.approx(19.0)


def test_with_the_last_wheel_out_the_journal_alone_tells_the_strength(desk: Desk) -> None:
    desk.enter(made(1))
    desk.go(24)
    desk.enter(Lifted((1,), "near cave"))
    view = next(view for view in desk.see().places if view.place.name == "tub")
    assert view.life is not None
    # 2.5 kg at the style's aim of 1.8 % took 45 g and gave 101 g of water.
    assert view.life.strength.expected == pytest.approx(19.91, abs=0.01)
    desk.go(1)
    assert desk.store.brines() == []


def test_more_cheese_in_the_tub_moves_the_lift_of_what_is_in_it(desk: Desk) -> None:
    desk.enter(made(1))
    alone = desk.countdown().steps[-1].at.expected
    desk.enter(made(*range(2, 21)))
    desk.see()
    desk.go(1)
    assert desk.countdown().steps[-1].at.expected > alone + 600


def test_an_entry_that_moves_nothing_leaves_deadlines_as_they_are_to_the_second(desk: Desk) -> None:
    desk.enter(made(1))
    desk.enter(made(2, weight=3000.0))
    desk.enter(Salted((1, 2), 30.0))
    before = desk.countdown(2).steps
    desk.go(0.5)
    desk.enter(Noted("cracked rim", (1,)))
    assert desk.countdown(2).steps == before


def brined_for(desk: Desk, numbers: tuple[int, ...], hours: float) -> None:
    desk.enter(made(*numbers), ago=hours * HOUR)
    desk.enter(Salted(numbers, 30.0), ago=hours * HOUR - 60.0)


def test_an_assay_moves_the_rate_and_the_countdowns_say_so(desk: Desk) -> None:
    brined_for(desk, (1,), 20.0)
    salt = desk.countdown().salt.expected
    desk.enter(Lifted((1,), "near cave"))
    desk.enter(made(2))
    before = desk.countdown(2)
    desk.enter(Assayed((1,), 0.8 * salt, 0.05))
    after = desk.countdown(2)
    assert "from 1 of your wheels" in after.reason
    assert after.steps[-1].at.expected > before.steps[-1].at.expected + HOUR
    assert "as learned since" in after.shift


def test_an_assay_that_cannot_be_is_left_out_and_said(desk: Desk) -> None:
    brined_for(desk, (1,), 20.0)
    desk.see()
    desk.enter(Lifted((1,), "near cave"))
    desk.enter(made(2))
    before = desk.countdown(2)
    desk.enter(Assayed((1,), 9.5, 0.05))
    found = desk.see()
    assert any(words.startswith("wheel 1 is left out") for words in found.misfits)
    assert desk.store.doubts() == [words for words in found.misfits if "wheel 1" in words]
    assert found.countdowns[2].reason == before.reason


def fed(store: Store, celsius: Callable[[float], float], until: float, every: float) -> None:
    count = round((until - BEGIN) / every)
    readings = [
        Reading(WARM, BEGIN + n * every, round(celsius(n * every), 2)) for n in range(count)
    ]
    store.add_readings(readings)


def test_the_last_day_is_in_minutes_and_what_was_before_in_hours(
    places: dict[str, Place],
) -> None:
    store = Store.in_memory()
    until = BEGIN + 30 * HOUR
    fed(store, lambda at: 12.0 + at / HOUR / 10, until, 60.0)
    times, temperatures = record(store, places["tub"], UNKNOWN, BEGIN, until)
    store.close()
    steps = [later - sooner for sooner, later in pairwise(times)]
    assert steps == [HOUR] * 6 + [60.0] * (24 * 60)
    assert temperatures[0] == pytest.approx(12.05, abs=0.01)
    assert temperatures[6] == pytest.approx(12.6, abs=0.01)
    # From now on, the mean of the last day.
    assert temperatures[-1] == pytest.approx(13.8, abs=0.01)


def test_hourly_means_put_the_diffusion_clock_less_than_a_fifth_of_a_per_cent_wrong(
    places: dict[str, Place],
) -> None:
    store = Store.in_memory()

    def swinging(at: float) -> float:
        return 12.0 + 2.0 * math.sin(2 * math.pi * at / HOUR)

    fed(store, swinging, BEGIN + 40 * HOUR, 60.0)
    hourly = WarmthRecord(*record(store, places["tub"], UNKNOWN, BEGIN, BEGIN + 40 * HOUR))
    store.close()
    minutes = [n * 60.0 for n in range(10 * 60)]
    exact = WarmthRecord(minutes, [swinging(at) for at in minutes])
    off = hourly.days(BEGIN, BEGIN + 10 * HOUR) / exact.days(0.0, 10 * HOUR) - 1.0
    assert 0.0005 < abs(off) < 0.002


def test_where_nothing_was_measured_the_config_or_a_cool_room_stands_in(
    places: dict[str, Place],
) -> None:
    store = Store.in_memory()
    tub = places["tub"]
    assert tub.brine is not None
    warm = replace(tub, brine=replace(tub.brine, temperature=14.0))
    assert record(store, warm, UNKNOWN, BEGIN, BEGIN + HOUR) == ([BEGIN + HOUR], [14.0])
    assert record(store, places["tray"], UNKNOWN, BEGIN, BEGIN + HOUR) == ([BEGIN + HOUR], [12.0])
    store.close()
