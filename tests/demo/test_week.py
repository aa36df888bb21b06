"""The demo's week: made anew byte for byte, and holding what it promises."""

from bisect import bisect_right
from collections.abc import Iterable
from functools import cache
from itertools import pairwise
from pathlib import Path

import pytest

import demo
from cavewatch.config import load
from cavewatch.core import journal
from cavewatch.core.alarms.limits import Side, Watch, tuning, watched
from cavewatch.core.brine.life import life
from cavewatch.core.journal import Entry, Lifted, Salted, Turned
from cavewatch.core.ranges import range_of
from cavewatch.core.reading import Channel, Quantity
from cavewatch.core.salting.clock import WarmthRecord
from cavewatch.core.salting.countdowns import countdown
from cavewatch.core.salting.surroundings import Surroundings
from cavewatch.core.sensor import LogSettings
from cavewatch.core.style import Method
from cavewatch.core.wheel import Standing, Wheel, fold
from cavewatch.store.journal_file import read
from demo import days, entries, rooms, weather, week
from demo.days import END, START, march
from sensors.log import LogFile

HERE = Path(demo.__file__).parent
CONFIG = load(HERE / "week.toml")
PLACES = {place.name: place for place in CONFIG.places}
ENTRIES = read(HERE / "week.journal.jsonl")
HOUR = 3600.0
IN_SALT = (Standing.IN_BRINE, Standing.IN_DRY_SALT)


@cache
def readings() -> dict[str, list[tuple[float, float]]]:
    """Time and value of every reading of the log, by channel."""
    log = LogFile(HERE / "week.csv", CONFIG.log or LogSettings(fields={}))
    found: dict[str, list[tuple[float, float]]] = {str(c): [] for c in log.channels}
    for reading in log.readings():
        assert reading.value is not None
        found[str(reading.channel)].append((reading.at, reading.value))
    assert log.refused == 0
    assert log.faults == []
    return found


def wheels(at: float, entries: Iterable[Entry] = tuple(ENTRIES)) -> dict[int, Wheel]:
    """The wheels as they stand at a time, ended ones left out."""
    found, misfits = fold([e for e in entries if e.at <= at], CONFIG.styles, PLACES)
    assert misfits == ()
    return {n: wheel for n, wheel in found.items() if wheel.standing is not Standing.ENDED}


def every_hour() -> list[float]:
    return [START + n * HOUR for n in range(int((END - START) / HOUR))]


def test_the_readings_come_out_byte_for_byte() -> None:
    assert week.log().encode("ascii") == (HERE / "week.csv").read_bytes()


def test_the_journal_comes_out_byte_for_byte() -> None:
    assert week.journal().encode("ascii") == (HERE / "week.journal.jsonl").read_bytes()


def test_the_log_has_a_row_every_30_s_for_a_week_and_stays_small() -> None:
    times = [at for at, _ in readings()["upper cave.temperature"]]
    assert times[0] == START
    assert len(times) == 20160
    assert {later - sooner for sooner, later in pairwise(times)} == {30.0}
    assert (HERE / "week.csv").stat().st_size < 1_300_000


def test_every_channel_of_the_log_is_at_a_place_of_the_config() -> None:
    assert {Channel.named(name).place for name in readings()} <= set(PLACES)


@pytest.mark.parametrize("module", [demo, days, entries, rooms, weather, week])
def test_each_module_says_that_it_is_invented(module: object) -> None:
    assert "invented" in str(module.__doc__).lower()


def test_the_config_and_the_journal_say_that_they_are_invented() -> None:
    assert "invented" in (HERE / "week.toml").read_text(encoding="utf-8").splitlines()[0]
    assert "invented" in CONFIG.name
    first = ENTRIES[0].act
    assert isinstance(first, journal.Noted)
    assert "invented" in first.text


def test_the_tubs_probe_is_silent_for_one_hour_of_wednesday_and_no_other_channel_is() -> None:
    gaps = {
        name: [(a, b) for (a, _), (b, _) in pairwise(values) if b - a > 30.0]
        for name, values in readings().items()
    }
    ((before, after),) = gaps.pop("tub.temperature")
    assert before == march(4, 10, 30) - 30.0
    assert after - before == HOUR + 30.0
    assert not any(gaps.values())


def test_only_the_dry_humidifier_and_the_warm_night_pass_an_edge_long_enough_to_alarm() -> None:
    abnormal: dict[str, list[float]] = {}
    known = [wheels(at).values() for at in every_hour()]
    for name, values in readings().items():
        channel = Channel.named(name)
        place = PLACES[channel.place]
        limits = [
            range_of(place, channel.quantity, known[n], at) for n, at in enumerate(every_hour())
        ]
        assert not any(limit.clash for limit in limits)
        for side in Side:
            watch = Watch()
            for at, value in values:
                limit = limits[int((at - START) / HOUR)]
                watch = watched(watch, side, limit, value, at, tuning(place.kind, channel.quantity))
                if watch.abnormal:
                    abnormal.setdefault(f"{name} {side}", []).append(at)
    assert set(abnormal) == {"upper cave.humidity low", "lower cave.temperature high"}
    dry, warm = abnormal["upper cave.humidity low"], abnormal["lower cave.temperature high"]
    assert march(5, 15) < dry[0] < march(5, 20)
    assert march(6, 7, 10) < dry[-1] < march(6, 12)
    assert march(6, 22) < warm[0] < march(7, 2)
    assert march(7, 6, 50) < warm[-1] < march(7, 9)


def test_the_humidity_sinks_slowly_while_the_humidifier_is_dry() -> None:
    values = [v for at, v in readings()["upper cave.humidity"] if week.DRY[0] <= at < week.DRY[1]]
    hourly = [sum(values[n : n + 120]) / 120 for n in range(0, len(values) - 119, 120)]
    assert hourly[0] > 85.0
    assert hourly[-1] < 81.0
    assert max(sooner - later for sooner, later in pairwise(hourly)) < 2.0


def test_an_open_door_warms_and_dries_a_cave_for_a_few_minutes() -> None:
    times = [at for at, _ in readings()["lower cave.humidity"]]
    humidity = [value for _, value in readings()["lower cave.humidity"]]
    opened = march(3, 7)  # the morning round comes within twenty minutes of seven
    first, last = bisect_right(times, opened), bisect_right(times, opened + 2 * HOUR)
    before = sum(humidity[first - 60 : first]) / 60
    assert min(humidity[first:last]) < before - 3.0
    assert abs(sum(humidity[last - 60 : last]) / 60 - before) < 1.5


def test_the_compressors_keep_their_caves_within_half_a_degree() -> None:
    for cave, build in (("upper cave", week.UPPER), ("lower cave", week.LOWER)):
        night = [
            value
            for at, value in readings()[f"{cave}.temperature"]
            if march(3, 22) <= at < march(4, 6)
        ]
        assert max(abs(value - build.set_point) for value in night) < 0.5
        assert max(night) - min(night) > 0.5


def test_five_styles_and_more_are_in_brine_or_dry_salt_during_the_week() -> None:
    salted = {
        (wheel.style.id, wheel.standing)
        for at in every_hour()
        for wheel in wheels(at).values()
        if wheel.standing in IN_SALT
    }
    assert len({style for style, _ in salted}) >= 5
    assert {standing for _, standing in salted} == set(IN_SALT)


def test_a_wheel_is_in_salt_at_every_hour() -> None:
    bare = [
        at for at in every_hour() if not any(w.standing in IN_SALT for w in wheels(at).values())
    ]
    assert bare == []


def test_the_week_begins_with_wheels_in_salt_in_both_caves_and_from_milled_curd() -> None:
    at_start = wheels(START).values()
    assert {wheel.place for wheel in at_start} >= {"tub", "tray", "upper cave", "lower cave"}
    assert any(w.method is Method.MILLED and w.place == "upper cave" for w in at_start)


def test_entries_are_written_in_the_order_of_their_numbers_and_after_the_deed() -> None:
    assert [entry.id for entry in ENTRIES] == list(range(1, len(ENTRIES) + 1))
    assert all(a.written <= b.written for a, b in pairwise(ENTRIES))
    assert all(entry.at <= entry.written for entry in ENTRIES)
    assert ENTRIES[-1].written < END


def test_the_slip_of_the_pen_does_not_count() -> None:
    (slip,) = [entry.act for entry in ENTRIES if isinstance(entry.act, journal.Voided)]
    wrong = ENTRIES[slip.entry - 1].act
    assert isinstance(wrong, Salted)
    assert wrong not in [entry.act for entry in journal.standing(ENTRIES)]


def test_one_wheel_of_the_gouda_is_turned_hours_after_the_others() -> None:
    turned: dict[int, float] = {}
    for entry in ENTRIES:
        if isinstance(entry.act, Turned):
            for number in set(entry.act.wheels) & set(range(43, 49)):
                turned.setdefault(number, entry.at)
    late = turned.pop(48)
    assert len(set(turned.values())) == 1
    assert late - turned[47] > 5 * HOUR


def _surroundings() -> dict[str, Surroundings]:
    """Hourly means of the log, and the brine as the journal has it."""
    found = {}
    for name, place in PLACES.items():
        values = readings().get(f"{name}.{Quantity.TEMPERATURE}", [(START, 14.0)])
        hours = range(0, len(values), 120)
        means = [sum(v for _, v in values[n : n + 120]) / len(values[n : n + 120]) for n in hours]
        strengths: tuple[tuple[float, float], ...] = ()
        if place.brine is not None:
            strengths = life(place, ENTRIES, fold(ENTRIES, CONFIG.styles, PLACES)[0], END).strengths
        record = WarmthRecord([values[n][0] for n in hours], means)
        found[name] = Surroundings(record, strengths)
    return found


def test_wheels_are_lifted_with_the_salt_that_their_style_wants() -> None:
    surroundings = _surroundings()
    lifted = [entry for entry in ENTRIES if isinstance(entry.act, Lifted)]
    assert len(lifted) >= 7
    for entry in lifted:
        before = wheels(entry.at, ENTRIES[: entry.id - 1])
        assert isinstance(entry.act, Lifted)
        for number in {entry.act.wheels[0], entry.act.wheels[-1]}:
            found = countdown(before[number], surroundings, entry.at)
            style, aims = before[number].style, found.target
            assert aims.low < found.salt.expected < aims.high, (style.id, number)
