"""Tells makers of alarms: steps the notices, sends what they propose, tries again what fails."""

import contextlib
import json
import threading
from collections.abc import Callable, Collection, Iterable
from zoneinfo import ZoneInfo

from cavewatch import clock
from cavewatch.core.alarms.alarm import Alarm
from cavewatch.core.alarms.conditions import unsent
from cavewatch.core.alarms.engine import Condition
from cavewatch.core.alarms.texts import Words
from cavewatch.core.errors import CavewatchError
from cavewatch.core.notices import Ledger, Message, Notice, sent, step
from cavewatch.core.text import clean
from cavewatch.recorder.errand import Errand
from cavewatch.recorder.notice_words import worded
from cavewatch.recorder.sending import Send

FIRST_WAIT, LONGEST_WAIT = 30.0, 900.0
"""Before a message that failed is tried again: at first, doubled each time, and at most [s].
Judgement."""
LAST_WAIT = 2.0
"""For what is being sent when the recorder ends [s]. Judgement."""
_LOOK = 0.05
ALARMING = 2
"""An alarm is raised from this many failures in a row on: once may be the network. Judgement."""

Keep = Callable[[str], None]
"""Keeps a text; where it raises, it is called again at the next look."""


class Notifier:
    """The notices of one dairy, for the recorder's thread; waits for nothing until it is closed."""

    def __init__(
        self,
        notices: Iterable[Notice],
        *,
        dairy: str,
        zone: ZoneInfo,
        words: Words,
        send: Send,
        keep: Keep,
        kept: str | None,
        ticks: clock.Clock = clock.elapsed,
    ) -> None:
        """Take up where the last one left off.

        Args:
            notices: from the config.
            dairy: its name.
            zone: of its quiet hours.
            words: what alarms say.
            send: starts to send a message.
            keep: keeps what was told, for the next start.
            kept: what was kept last; None for nothing.
            ticks: a clock that never steps [s].
        """
        before = _read(kept)
        self._couriers = [_Courier(n, *before.get(n.name, (Ledger(), ""))) for n in notices]
        self._dairy, self._zone, self._words = dairy, zone, words
        self._send, self._keep, self._ticks = send, keep, ticks
        self._kept = kept
        self._heard_at = 0.0

    def hear(self, alarms: Collection[Alarm], at: float, sure: bool = True) -> None:
        """Look at the alarms, and tell what is to be told.

        Args:
            alarms: all that are not in NORM.
            at: now [s since 1970 UTC].
            sure: whether the clock is right; if not, it is never quiet.
        """
        if not self._couriers:
            return
        self._heard_at = at
        local = clock.local(at, self._zone)
        minute = 60 * local.hour + local.minute if sure else None
        ticks = self._ticks()
        for courier in self._couriers:
            courier.collect(at, ticks)
            courier.ledger, message = step(courier.notice, courier.ledger, alarms, at, minute)
            if courier.free(message, ticks):
                assert message is not None
                said = worded(message, self._dairy, at, self._zone)
                courier.take(message, self._send(courier.notice, said))
        self._remember()

    def conditions(self) -> tuple[Condition, ...]:
        """An alarm for each notice that failed again when it was tried again."""
        return tuple(
            unsent(courier.notice, courier.failure, self._words)
            for courier in self._couriers
            if courier.failures >= ALARMING
        )

    def trouble(self) -> str:
        """What could not be sent yet, in one line; empty when all went out."""
        return " · ".join(
            clean(f"notice '{courier.notice.name}' is not sent: {courier.failure}", 200)
            for courier in self._couriers
            if courier.failure
        )

    def close(self) -> None:
        """Let what is being sent go out, if it does so soon; else it is told at the next start."""
        wait, until = threading.Event().wait, self._ticks() + LAST_WAIT
        while any(courier.busy for courier in self._couriers) and self._ticks() < until:
            wait(_LOOK)
            for courier in self._couriers:
                courier.collect(self._heard_at, self._ticks())
        for courier in self._couriers:
            courier.drop()
        if self._couriers:
            self._remember()

    def _remember(self) -> None:
        plain = {
            each.notice.name: {"ledger": each.ledger.to_plain(), "failure": each.lasting}
            for each in self._couriers
        }
        text = json.dumps(plain, ensure_ascii=False)
        if text != self._kept:
            self._keep(text)
            self._kept = text


class _Courier:
    """One notice with the message that is under way."""

    def __init__(self, notice: Notice, ledger: Ledger, failure: str) -> None:
        self.notice = notice
        self.ledger = ledger
        self.failure = failure
        """What went wrong the last time; empty if nothing did."""
        self.failures = ALARMING if failure else 0
        """How often in a row."""
        self._wait_until = 0.0
        self._under_way: tuple[Message, Errand] | None = None

    @property
    def lasting(self) -> str:
        """The failure, if an alarm stands for it; it must stand through a restart."""
        return self.failure if self.failures >= ALARMING else ""

    @property
    def busy(self) -> bool:
        """Whether a message is under way."""
        return self._under_way is not None

    def free(self, message: Message | None, ticks: float) -> bool:
        """Whether to send this message now; none means that nothing waits any more."""
        if self._under_way is not None:
            return False
        if message is None:
            self.failure, self.failures, self._wait_until = "", 0, 0.0
            return False
        return ticks >= self._wait_until

    def take(self, message: Message, errand: Errand) -> None:
        """Have a message under way."""
        self._under_way = message, errand

    def collect(self, at: float, ticks: float) -> None:
        """See what became of the message that is under way."""
        if self._under_way is None:
            return
        message, errand = self._under_way
        failure = errand.look()
        if failure is None:
            return
        self._under_way = None
        self.failure = failure
        if failure:
            wait = min(FIRST_WAIT * 2.0 ** min(self.failures, 10), LONGEST_WAIT)
            self.failures, self._wait_until = self.failures + 1, ticks + wait
        else:
            self.failures, self._wait_until = 0, 0.0
            self.ledger = sent(self.ledger, message, at)

    def drop(self) -> None:
        """End what is under way."""
        if self._under_way is not None:
            self._under_way[1].stop()
            self._under_way = None


def _read(kept: str | None) -> dict[str, tuple[Ledger, str]]:
    """What was told, by name of the notice; nothing where it cannot be read: told twice is better
    than not at all."""
    found: dict[str, tuple[Ledger, str]] = {}
    with contextlib.suppress(ValueError, AttributeError, KeyError, TypeError, CavewatchError):
        for name, plain in json.loads(kept or "{}").items():
            found[name] = Ledger.from_plain(plain["ledger"]), str(plain["failure"])
    return found
