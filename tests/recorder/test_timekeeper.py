"""A power cut with wheels in brine, on a machine whose clock is then wrong until it is set."""

import math
from collections.abc import Callable, Iterator

import pytest

from cavewatch.clock import SetBy, Stamp
from cavewatch.config.texts import shipped
from cavewatch.core.alarms.texts import Words
from cavewatch.core.countdown import Countdown
from cavewatch.core.journal import Made, Noted, Salted, Turned
from cavewatch.core.place import Place
from cavewatch.core.reading import Channel, Quantity, Reading
from cavewatch.core.style import Method, Style
from cavewatch.recorder import Recorder
from cavewatch.recorder.timekeeper import Timekeeper
from cavewatch.store import Store, StoreFullError

MINUTE, HOUR = 60.0, 3600.0
BEGIN = 400_000 * HOUR + 0.25
WARM = Channel("tub", Quantity.TEMPERATURE)
WORDS = Words(shipped(), lambda s: f"{s:g} s")
CUT = 30 * HOUR


class Machine:
    """A machine and its clock."""

    def __init__(self) -> None:
        self.at = self.booted = BEGIN
        self.error, self.boot = 0.0, "boot 0"
        self.by: SetBy | None = SetBy.NETWORK

    def stamp(self) -> Stamp:
        return Stamp(self.at + self.error, self.boot, self.since_boot(), self.by)

    def since_boot(self) -> float:
        return self.at - self.booted

    def switched_on(self, error: float) -> None:
        self.booted, self.error, self.boot = self.at, error, self.boot + "+"
        self.by = None if error else SetBy.NETWORK

    def set(self, error: float = 0.0, by: SetBy | None = SetBy.NETWORK) -> None:
        self.error, self.by = error, by


class Dairy:
    """A recorder at work on a machine; a probe in the tub sends every minute."""

    def __init__(self, style: Style, places: dict[str, Place]) -> None:
        self.machine, self.store = Machine(), Store.in_memory()
        self.style, self.places = style, places
        self.sent: list[Reading] = []
        self.started()

    def started(self) -> None:
        self.keeper = Timekeeper(self.store, self.machine.stamp, self.machine.since_boot)
        self.begun()

    def begun(self) -> None:
        self.recorder = Recorder(
            self.store,
            [self],
            self.keeper.now,
            self.places.values(),
            {WARM: math.inf},
            {self.style.id: self.style},
            WORDS,
            {},
        )

    def take(self) -> list[Reading]:
        found, self.sent = self.sent, []
        return found

    def sends(self) -> None:
        """Values by true time, as the machine's clock has it."""
        hours = (self.machine.at - BEGIN) / HOUR
        self.sent.append(Reading(WARM, self.keeper.now(), round(12.0 + math.sin(hours), 2)))

    def step(self) -> None:
        if self.keeper.look(self.recorder.gather):
            self.begun()
        self.recorder.step()

    def go(self, minutes: float) -> None:
        for _ in range(round(minutes)):
            self.machine.at += MINUTE
            self.sends()
            self.step()

    def enter(self, act: Made | Turned | Noted | Salted, ago: float = 0.0) -> None:
        """As a viewer does, with a time that counts from now."""
        wall = self.machine.at + self.machine.error
        self.store.append(wall - ago, wall, "MK", act)

    def enters_typed(self, act: Turned, at: float) -> None:
        wall = self.machine.at + self.machine.error
        self.store.append(at, wall, "MK", act, typed=True)

    def countdown(self, number: int) -> Countdown:
        return next(c for c in self.store.countdowns() if c.wheel == number)

    def readings(self) -> list[tuple[float, float | None]]:
        return [(each.at, each.value) for each in self.store.readings(WARM, 0.0, 1e11)]


def power_cut(dairy: Dairy, error: float, then: Callable[[Dairy], None]) -> None:
    """An hour in brine, the cut, and half an hour after it."""
    dairy.enter(Made((1, 2), "meadow", Method.BRINE, 9000.0, "tub"))
    dairy.enter(Salted((1, 2), 20.0))
    dairy.go(60)
    dairy.recorder.flush()
    dairy.machine.at += CUT
    dairy.machine.switched_on(error)
    dairy.started()
    dairy.step()
    dairy.go(5)
    dairy.enter(Turned((1,)))
    dairy.enter(Noted("power cut"), ago=2 * HOUR)
    dairy.enters_typed(Turned((2,)), at=BEGIN + 30.5 * HOUR)
    dairy.go(5)
    then(dairy)
    dairy.go(20)
    # Deadlines that hardly move are left as they were; an entry makes them exact.
    dairy.enter(Turned((1, 2)))
    dairy.step()
    dairy.recorder.flush()


@pytest.fixture
def dairies(style: Style, places: dict[str, Place]) -> Iterator[Callable[[], Dairy]]:
    made: list[Dairy] = []

    def new() -> Dairy:
        made.append(Dairy(style, places))
        return made[-1]

    yield new
    for dairy in made:
        dairy.store.close()


def set_by_network(dairy: Dairy) -> None:
    dairy.machine.set()


@pytest.mark.parametrize(
    "error",
    [-CUT - 20 * MINUTE, -CUT, 5 * HOUR, -10 * 365 * 24 * HOUR],
    ids=["saved before the cut", "saved at the cut", "ahead", "years behind"],
)
def test_after_a_power_cut_all_is_as_if_the_clock_had_been_right(
    dairies: Callable[[], Dairy], error: float
) -> None:
    right, wrong = dairies(), dairies()
    power_cut(right, 0.0, lambda _: None)
    power_cut(wrong, error, set_by_network)

    assert wrong.readings() == right.readings()
    for width in (60, 3600):
        bins = [dairy.store.bins(WARM, width, 0.0, 1e11) for dairy in (right, wrong)]  # type: ignore[arg-type]
        assert bins[1] == bins[0]
    for mine, theirs in zip(wrong.store.entries(), right.store.entries(), strict=True):
        assert mine.act == theirs.act
        assert (mine.at, mine.written) == pytest.approx((theirs.at, theirs.written), abs=1e-3)
    for number in (1, 2):
        mine, theirs = wrong.countdown(number), right.countdown(number)
        assert mine.started_at == pytest.approx(theirs.started_at, abs=1e-3)
        assert [s.action for s in mine.steps] == [s.action for s in theirs.steps]
        for one, other in zip(mine.steps, theirs.steps, strict=True):
            assert one.at.expected == pytest.approx(other.at.expected, abs=1.0)
            assert (one.at.low, one.at.high) == pytest.approx(
                (other.at.low, other.at.high), abs=1.0
            )
    assert wrong.store._rows("SELECT * FROM unplaced") == []


def test_it_is_the_same_if_a_person_sets_the_clock_before_the_network_does(
    dairies: Callable[[], Dairy],
) -> None:
    dairy = dairies()
    power_cut(dairy, -CUT, lambda _: None)
    before = [value for _, value in dairy.readings()]
    dairy.machine.set(error=-240.0, by=None)
    dairy.go(3)
    dairy.machine.set()
    dairy.go(3)
    dairy.recorder.flush()

    times = [at for at, _ in dairy.readings()]
    began = BEGIN + HOUR + CUT
    assert times[60:] == [math.floor(began + n * MINUTE) for n in range(1, len(times) - 59)]
    assert len(times) == len(before) + 6
    turned = next(entry for entry in dairy.store.entries() if entry.act == Turned((1,)))
    assert turned.at == pytest.approx(began + 5 * MINUTE, abs=1e-3)


def test_a_second_cut_before_the_clock_was_set_leaves_the_first_as_it_was(
    dairies: Callable[[], Dairy],
) -> None:
    dairy = dairies()
    dairy.machine.switched_on(-CUT)
    dairy.started()
    dairy.go(3)
    dairy.recorder.flush()
    first = dairy.readings()
    dairy.machine.at += CUT
    dairy.machine.switched_on(-3 * CUT)
    dairy.started()
    dairy.go(3)
    dairy.machine.set()
    dairy.go(1)
    dairy.recorder.flush()

    assert dairy.readings()[:3] == first
    assert [at for at, _ in dairy.readings()[3:]] == [
        math.floor(BEGIN + 3 * MINUTE + CUT + n * MINUTE) for n in range(1, 5)
    ]


def test_a_clock_that_turns_out_right_moves_nothing(dairies: Callable[[], Dairy]) -> None:
    dairy = dairies()
    dairy.machine.switched_on(1.0)
    dairy.started()
    dairy.go(3)
    assert not dairy.keeper.sure
    before = dairy.keeper.now()
    dairy.machine.set(error=0.5)

    assert dairy.keeper.look()
    assert dairy.keeper.sure
    assert dairy.keeper.now() == pytest.approx(before, abs=1.0)
    assert not dairy.keeper.look()


def test_a_reading_on_its_way_when_the_clock_is_set_is_placed_too(
    dairies: Callable[[], Dairy],
) -> None:
    dairy = dairies()
    dairy.machine.switched_on(-CUT)
    dairy.started()
    dairy.machine.at += MINUTE
    dairy.sends()
    dairy.machine.set()
    dairy.step()

    assert [at for at, _ in dairy.readings()] == [math.floor(BEGIN + MINUTE)]


def test_a_recorder_that_starts_after_the_clock_was_set_places_what_another_left(
    dairies: Callable[[], Dairy],
) -> None:
    dairy = dairies()
    dairy.machine.switched_on(-CUT)
    dairy.started()
    dairy.go(3)
    dairy.recorder.flush()
    dairy.machine.set()
    dairy.started()

    assert [at for at, _ in dairy.readings()] == [math.floor(BEGIN + n * MINUTE) for n in (1, 2, 3)]


def test_a_clock_that_is_put_back_while_it_was_sure_moves_and_loses_nothing(
    dairies: Callable[[], Dairy],
) -> None:
    dairy = dairies()
    dairy.go(10)
    dairy.recorder.flush()
    before = dairy.readings()
    dairy.machine.set(error=-5 * MINUTE - 3.0)
    dairy.go(4)
    assert not dairy.keeper.sure
    dairy.go(4)
    dairy.recorder.flush()

    assert dairy.keeper.sure
    assert set(before) < set(dairy.readings())
    assert len(dairy.readings()) == 18


def test_while_the_disk_is_full_the_old_clock_goes_on(
    dairies: Callable[[], Dairy], monkeypatch: pytest.MonkeyPatch
) -> None:
    dairy = dairies()
    dairy.machine.switched_on(-CUT)
    dairy.started()
    dairy.go(3)
    behind = dairy.keeper.now()
    dairy.machine.set()

    def full(_: Stamp) -> None:
        raise StoreFullError("no room")

    with monkeypatch.context() as patch:
        patch.setattr(dairy.store, "place", full)
        assert not dairy.keeper.look(dairy.recorder.gather)
        assert dairy.keeper.now() == behind
        dairy.go(1)
    dairy.go(1)
    dairy.recorder.flush()

    assert dairy.keeper.now() == dairy.machine.at
    assert [at for at, _ in dairy.readings()] == [
        math.floor(BEGIN + n * MINUTE) for n in range(1, 6)
    ]


def test_the_rows_of_the_journal_keep_their_stamps(dairies: Callable[[], Dairy]) -> None:
    dairy = dairies()
    power_cut(dairy, -CUT, set_by_network)

    rows = dairy.store._rows("SELECT boot, up, unsure, typed, written FROM journal ORDER BY id")
    assert [row[:4] for row in rows] == [
        ("boot 0", 0.0, 0, 0),
        ("boot 0", 0.0, 0, 0),
        ("boot 0+", 300.0, 1, 0),
        ("boot 0+", 300.0, 1, 0),
        ("boot 0+", 300.0, 1, 1),
        ("boot 0+", 1800.0, 0, 0),
    ]
    assert rows[2][4] == BEGIN + HOUR + 300.0
