"""A recorder that is killed at random moments, under load, while entries are made beside it."""

import random
import sqlite3
import time
from collections import defaultdict
from collections.abc import Iterable, Iterator
from contextlib import closing
from pathlib import Path

import pytest
from premises import Maker, Premises, line, until

from cavewatch import clock
from cavewatch.cli.live import words_with
from cavewatch.core.alarms.table import State, after
from cavewatch.core.countdown import Countdown
from cavewatch.core.journal import Entry
from cavewatch.core.reading import Channel, Quantity, Reading
from cavewatch.recorder import Recorder
from cavewatch.recorder.memory import Memory
from cavewatch.store import Store

CAVE = [Channel("cave", quantity) for quantity in Quantity]
SWINGING = line(12.0, 99.0) * 100 + line(12.0, 90.0) * 100


class Witness:
    """What outsiders have seen of one dairy, and hold against its store after each kill."""

    def __init__(self, premises: Premises) -> None:
        self.premises = premises
        self.makers: list[Maker] = []
        self._readings: set[Reading] = set()
        self._countdowns: dict[int, Countdown] = {}

    def look(self) -> None:
        """See what any viewer can see."""
        with self.premises.store() as store:
            self._readings |= set(readings(store))

    def check(self) -> None:
        """Everything that was told or seen is there, and nothing contradicts anything."""
        confirmed = {n: told for maker in self.makers for n, told in dict(maker.confirmed).items()}
        path = self.premises.config.store_path
        with closing(sqlite3.connect(path)) as connection:
            assert connection.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
        with self.premises.store() as store:
            entries = store.entries()
            written = {entry.id: repr(entry.act) for entry in entries}
            assert confirmed.items() <= written.items()
            assert len(written) == len(entries)
            assert self._readings <= set(readings(store))
            check_roll_ups(store)
            check_alarms(store)
            countdowns = {each.wheel: each for each in store.countdowns()}
        for wheel, before in self._countdowns.items():
            now = countdowns[wheel]
            if now.basis == before.basis:
                assert times(now) == pytest.approx(times(before), abs=0.5)
        self._countdowns = countdowns


def readings(store: Store) -> Iterator[Reading]:
    for channel in CAVE:
        yield from store.readings(channel, 0.0, 1e12)


def check_roll_ups(store: Store) -> None:
    for channel in CAVE:
        kept = store.readings(channel, 0.0, 1e12)
        for width in (60, 3600):
            by_bin: dict[float, list[float]] = defaultdict(list)
            for reading in kept:
                assert reading.value is not None
                by_bin[reading.at // width * width].append(reading.value)
            bins = {each.at: each for each in store.bins(channel, width, 0.0, 1e12)}
            assert {at: len(values) for at, values in by_bin.items()} == {
                at: each.n for at, each in bins.items()
            }
            for at, values in by_bin.items():
                assert (bins[at].low, bins[at].high) == (min(values), max(values))


def check_alarms(store: Store) -> None:
    """Each transition goes on where the one before left the alarm: none is raised twice."""
    states: dict[str, State] = {}
    for transition in store.transitions(0.0):
        key = transition.alarm.key
        assert transition.before is states.get(key, State.NORM), key
        assert after(transition.before, transition.trigger) is transition.alarm.state
        states[key] = transition.alarm.state
    standing = {key: state for key, state in states.items() if state is not State.NORM}
    assert {key: alarm.state for key, alarm in store.alarms().items()} == standing


def times(countdown: Countdown) -> list[float]:
    return [at for step in countdown.steps for at in (step.at.low, step.at.expected, step.at.high)]


def undisturbed(premises: Premises, entries: Iterable[Entry]) -> dict[int, Countdown]:
    """What a recorder works out that was never killed, from the same journal."""
    config, memory = premises.config, Memory(entries)
    recorder = Recorder(
        memory,
        (),
        clock.now,
        config.places,
        config.channels,
        config.styles,
        words_with(config),
        config.tunings,
    )
    recorder.step()
    return {each.wheel: each for each in memory.countdowns()}


def first_life(premises: Premises) -> float:
    """How long a recorder takes here to be at work [s]; this one is killed then."""
    began = time.monotonic()
    recorder = premises.record()
    with premises.store() as store:
        until(store.latest)
    recorder.kill()
    recorder.wait()
    return time.monotonic() - began


def torment(premises: Premises, kills: int, seed: int) -> None:
    chance = random.Random(seed)
    premises.plug_in(SWINGING)
    witness = Witness(premises)
    witness.makers.append(premises.maker(seed))
    longest = 2 * first_life(premises)
    for number in range(kills):
        recorder = premises.record()
        time.sleep(chance.uniform(0.0, longest))
        if chance.random() < 0.5:
            witness.look()
        maker = witness.makers[-1]
        alone = chance.random() < 0.3
        if alone:
            # With nobody left who has the store open, whoever opens it next must repair it.
            assert maker.process.poll() is None, "the maker was refused an entry"
            maker.close()
        assert recorder.poll() is None
        recorder.kill()
        recorder.wait()
        if chance.random() < 0.5:
            witness.check()
        if alone:
            witness.makers.append(premises.maker(seed + 1000 + number))
    until(lambda: witness.makers[-1].confirmed)
    witness.makers[-1].close()
    witness.check()

    recorder = premises.record()
    with premises.store() as store:
        entries = store.entries()
        expected = undisturbed(premises, entries)
        bases = {wheel: each.basis for wheel, each in expected.items()}
        until(lambda: {each.wheel: each.basis for each in store.countdowns()} == bases)
        until(lambda: store.transitions(0.0))
    assert expected, "nothing was in salt; the test proved nothing of countdowns"
    recorder.kill()
    recorder.wait()
    witness.check()
    with premises.store() as store:
        found = store.countdowns()
    for each in found:
        assert times(each) == pytest.approx(times(expected[each.wheel]), abs=0.5)


@pytest.fixture
def premises(tmp_path: Path) -> Iterator[Premises]:
    found = Premises(tmp_path)
    yield found
    found.close()


def test_nothing_confirmed_is_lost_however_often_the_recorder_is_killed(
    premises: Premises,
) -> None:
    torment(premises, kills=8, seed=1)


@pytest.mark.long
def test_nothing_confirmed_is_lost_in_two_hundred_kills(premises: Premises) -> None:
    torment(premises, kills=200, seed=2)
