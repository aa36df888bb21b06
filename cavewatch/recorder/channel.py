"""What has been seen of one channel: the state that the pure watches and trends are stepped with.

Readings count in the order of their times. One that repeats the last or comes after
a later one changes nothing; neither does one from the future, which a clock
that is not set yet may write. If the clock was put back, so that what was seen
lies in the future, watching begins anew, and what is abnormal stays so.
"""

import math
from collections.abc import Container, Iterable, Iterator
from dataclasses import replace

from cavewatch.core.alarms.conditions import (
    Here,
    clash,
    drift,
    forecast,
    out_of_range,
    rate,
    silent,
    unwatched,
)
from cavewatch.core.alarms.drift import DAY, drifted
from cavewatch.core.alarms.engine import Condition
from cavewatch.core.alarms.figures import FORECAST
from cavewatch.core.alarms.forecast import Foretold, crossing, foretold
from cavewatch.core.alarms.limits import (
    MINUTE,
    Side,
    Tuning,
    Watch,
    calm,
    due,
    edge_of,
    lost,
    passed,
    turned,
    watched,
)
from cavewatch.core.alarms.means import BLOCK, Block, block
from cavewatch.core.alarms.rate import too_fast
from cavewatch.core.alarms.texts import Words
from cavewatch.core.ranges import Range
from cavewatch.core.reading import Channel, Reading, SignalStatus
from cavewatch.core.signal.health import Signal, Why, health
from cavewatch.core.signal.record import UNKNOWN, SensorRecord

AHEAD = MINUTE
"""A reading may be so far ahead of the clock [s]."""
FAILED_FOR = 2 * MINUTE
"""A sensor that says it has no value is believed after this long [s]."""
DOUBT = Tuning(0.0, on_delay=10 * MINUTE, off_delay=10 * MINUTE)
"""How long a signal must be doubtful, and then good, before that is told; judgement."""
DOUBTED = Side.LOW
"""Which delays of `DOUBT` count; both are the same."""
TRUSTED = (SignalStatus.GOOD, SignalStatus.MAINTENANCE)
"""Only these may move a limit or a trend (NAMUR NE 107: the signal is valid)."""
KEPT = int(DAY / BLOCK)
STOOD = {
    "unwatched": (SignalStatus.OUT_OF_SPECIFICATION, Why.NOISE),
    "tested": (SignalStatus.CHECK, Why.TESTED),
    "check due": (SignalStatus.MAINTENANCE, Why.CHECK_OLD),
}
"""What a doubt that stood before the start was about, by the end of its alarm's key; the
alarm keeps its own words."""


class ChannelWatch:
    """One channel's watches, the health of its signal, and its trends."""

    def __init__(
        self,
        channel: Channel,
        age: float,
        started: float,
        last: Reading | None,
        abnormal: Container[str],
    ) -> None:
        """Begin.

        Args:
            channel: whose.
            age: at which its newest reading counts as silent [s].
            started: now [s since 1970 UTC]; silence is counted from here.
            last: its newest reading.
            abnormal: keys of the alarms whose cause was there; each goes on until its value
                has been seen inside.
        """
        self.channel = channel
        self.last = last
        self.record: SensorRecord = UNKNOWN
        self.changed = False
        """Whether a reading moved something since time last passed."""
        self._age = age
        self._silent = f"{channel} silent" in abnormal
        self._heard_at = started
        self._good_at, self._value = -math.inf, math.nan
        self._signal: Signal | None = None
        stood = [doubt for key, doubt in STOOD.items() if f"{channel} {key}" in abnormal]
        self._doubt = stood[0] if stood else STOOD["unwatched"]
        self._doubted = Watch(bool(stood))
        self._limits: Range | None = None
        self._tuned = DOUBT
        self._watches = {side: Watch(f"{channel} {side}" in abnormal) for side in Side}
        self._low = self._high = 0.0
        self._turns_at = math.inf
        self._series: list[tuple[float, float]] = []
        self._blocks: list[Block] = []
        self._block_end = math.inf
        self._was_out = False
        # Trends that stood go on until their blocks say otherwise; an alarm keeps its own words.
        sides = (Side.LOW, Side.HIGH)
        drifts = [side for side in sides if f"{channel} drift {side}" in abnormal]
        ahead = [side for side in sides if f"{channel} {side}{FORECAST}" in abnormal]
        self._drift: tuple[Side, float] | None = (drifts[0], math.nan) if drifts else None
        self._rate: float | None = 0.0 if f"{channel} rate" in abnormal else None
        self._foretold = Foretold(ahead[0]) if ahead else Foretold()

    def recall(self, readings: Iterable[Reading]) -> None:
        """Take those from before the start, by time, once the record is there.

        What is known of the signal, and the trends, go on from there.
        """
        waiting: list[tuple[float, float]] = []
        for reading in readings:
            self._signal, status, _ = health(self._signal, reading, self.record)
            value = self._believed(replace(reading, status=status))
            if value is None:
                continue
            if waiting and reading.at // BLOCK > waiting[0][0] // BLOCK:
                self._blocks += _blocks(waiting, self._age)
                waiting = []
            waiting.append((reading.at, value))
        end = math.inf if not waiting else (waiting[0][0] // BLOCK + 1) * BLOCK
        if waiting and end > self._heard_at:
            # Still open at the start: what comes completes it, so that no time has two blocks.
            self._series, self._block_end = waiting, end
        else:
            self._blocks += _blocks(waiting, self._age)

    def see(self, limits: Range, tuned: Tuning) -> None:
        """Take the range that holds from now on."""
        first = self._limits is None
        self._limits, self._tuned = limits, tuned
        self._settle()
        if first and self.last is not None and self._good_at == self.last.at:
            self._weigh(self._value, self._good_at)

    # Readings

    def read(self, reading: Reading, now: float) -> Reading:
        """Take one reading as it was sent; gives it back with the status of its signal.

        Args:
            reading: of this channel.
            now: the clock's time [s since 1970 UTC].
        """
        at, last, newest = reading.at, self.last, now + AHEAD
        if at > newest:
            return reading
        if last is not None and at <= last.at:
            if last.at <= newest:
                return reading
            self._begin_anew(at)
        self._signal, status, why = health(self._signal, reading, self.record)
        if status is not reading.status:
            reading = replace(reading, status=status)
        self.last = reading
        if reading.value is None:
            return reading
        if self._silent:
            self.changed = True
        self._heard_at = at
        if why is not None or self._doubted.abnormal or self._doubted.turning_since is not None:
            self._doubt_it(status, why, at)
        value = self._believed(reading)
        if value is not None:
            self._take(value, at)
        return reading

    def _believed(self, reading: Reading) -> float | None:
        """Its value as a limit or a trend may take it; None where it cannot be trusted."""
        return self.record.corrected(reading).value if reading.status in TRUSTED else None

    def _begin_anew(self, at: float) -> None:
        self._signal = None
        self._watches = {side: lost(watch) for side, watch in self._watches.items()}
        self._doubted = lost(self._doubted)
        self._good_at, self._heard_at = -math.inf, at
        self._series, self._blocks, self._block_end = [], [], math.inf

    def _doubt_it(self, status: SignalStatus, why: Why | None, at: float) -> None:
        if why is not None:
            self._doubt = status, why
        wants = (why is not None) is not self._doubted.abnormal
        after = turned(passed(self._doubted, DOUBTED, at, DOUBT), DOUBTED, wants, at, DOUBT)
        self.changed |= after is not self._doubted
        self._doubted = after

    def _take(self, value: float, at: float) -> None:
        """Take a value that can be trusted."""
        known_until = self._good_at + self._age
        if at > known_until:
            self._pass(known_until)
            self._set({side: lost(watch) for side, watch in self._watches.items()})
        self._good_at, self._value = at, value
        if at >= self._block_end:
            self._close(at)
        elif self._block_end == math.inf:
            self._block_end = (at // BLOCK + 1) * BLOCK
        self._series.append((at, value))
        if self._limits is not None and not self._low < value < self._high:
            self._weigh(value, at)

    def _weigh(self, value: float, at: float) -> None:
        limits, tuned = self._limits, self._tuned
        assert limits is not None
        self._set(
            {
                side: watched(watch, side, limits, value, at, tuned)
                for side, watch in self._watches.items()
            }
        )

    def _set(self, watches: dict[Side, Watch]) -> None:
        if all(watches[side] is watch for side, watch in self._watches.items()):
            return
        self._watches = watches
        self.changed = True
        if self._out:
            self._was_out = True
            self._foretold = Foretold()  # it has come true
            self._drift, self._rate, self._foretold = None, None, Foretold()
        self._settle()

    def _settle(self) -> None:
        """Work out which values, and which time, would change a watch."""
        if self._limits is not None:
            self._low, self._high = calm(self._watches.items(), self._limits, self._tuned)
        self._turns_at = min(due(watch, side, self._tuned) for side, watch in self._watches.items())

    @property
    def _out(self) -> bool:
        return any(watch.abnormal for watch in self._watches.values())

    def _close(self, at: float) -> None:
        """End the blocks that lie before `at`, and look where the channel is going."""
        while self._block_end <= at:
            end, known_until = self._block_end, self._series[-1][0] + self._age
            found = block(self._series, end - BLOCK, self._age, self._was_out)
            if found is not None:
                self._blocks.append(found)
                del self._blocks[:-KEPT]
            self._was_out = self._out
            self._series = self._series[-1:]
            self._trend(end)
            self._block_end += BLOCK
            if known_until < end:
                self._block_end = max(self._block_end, (at // BLOCK + 1) * BLOCK)

    def _trend(self, end: float) -> None:
        limits, tuned, blocks = self._limits, self._tuned, self._blocks
        if limits is None:
            return
        was = None if self._drift is None else self._drift[0]
        found = (
            drifted(blocks, end, limits, tuned, was),
            too_fast(blocks, end, limits, tuned, self._rate is not None),
            foretold(self._foretold, crossing(blocks, end, limits, tuned)),
        )
        self.changed |= found != (self._drift, self._rate, self._foretold)
        self._drift, self._rate, self._foretold = found

    # Time

    def due(self) -> float:
        """When time alone changes something [s since 1970 UTC]; infinite if it does not."""
        turns = self._turns_at if self._turns_at <= self._good_at + self._age else math.inf
        return turns if self._silent else min(turns, self._silent_at)

    def pass_time(self, at: float) -> None:
        """Let time pass up to now."""
        self._pass(min(at, self._good_at + self._age))
        self._silent = at >= self._silent_at
        self.changed = False

    @property
    def _silent_at(self) -> float:
        failed = self.last is not None and self.last.value is None
        return self._heard_at + (max(self._age, FAILED_FOR) if failed else self._age)

    def _pass(self, at: float) -> None:
        tuned = self._tuned
        self._set({side: passed(w, side, at, tuned) for side, w in self._watches.items()})

    # What is abnormal

    def conditions(self, here: Here, words: Words) -> Iterator[Condition]:
        """Everything that is abnormal with the channel now, once time has passed."""
        limits, channel, tuned = self._limits, self.channel, self._tuned
        if self._silent:
            yield silent(channel, self.last, here, words)
        elif self._doubted.abnormal:
            yield unwatched(channel, *self._doubt, here, words)
        if limits is None:
            return
        if limits.clash:
            yield clash(channel, limits, here, words)
            return
        for side, watch in self._watches.items():
            edge = edge_of(limits, side, tuned)
            if watch.abnormal and edge is not None:
                found = out_of_range(channel, side, edge, self._value, here, words)
                yield replace(found, latching=tuned.latching)
        if self._drift is not None:
            side, day = self._drift
            if (edge := edge_of(limits, side, tuned)) is not None:
                yield drift(channel, side, edge, day, here, words)
        if self._silent or (self._doubted.abnormal and self._doubt[0] not in TRUSTED):
            return
        if self._rate is not None:
            yield rate(channel, self._rate, here, words)
        ahead = self._foretold
        if ahead.side is not None and (edge := edge_of(limits, ahead.side, tuned)) is not None:
            yield forecast(channel, ahead.side, edge, ahead.left, here, words)


def _blocks(series: list[tuple[float, float]], holds: float) -> Iterator[Block]:
    """The block of means that lie in the same one; none where too little is known."""
    if series:
        found = block(series, series[0][0] // BLOCK * BLOCK, holds)
        if found is not None:
            yield found
