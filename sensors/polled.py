"""A source that is asked for its readings, in a thread of its own, for months."""

import threading
from collections import deque
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Protocol

from cavewatch.clock import Clock
from cavewatch.core.reading import Reading
from sensors.faults import shown
from sensors.source import SourceCondition

_FIRST_PAUSE = 0.5
"""After the first round with trouble, doubling up to the usual time between rounds [s]."""
_KEPT = 10_000
"""Readings kept for a caller that does not take them; then the oldest go."""
_PATIENCE = 2.0
"""How long closing waits for a round to end [s]; the thread ends with it in any case."""


@dataclass(frozen=True, slots=True)
class Round:
    """What asking gave."""

    readings: Sequence[Reading]
    troubles: tuple[str, ...] = ()
    """What did not answer as it should, one sentence each, fit to be shown."""
    refused: int | None = None
    """How much of it could not be read; None for one of each trouble."""


class Device(Protocol):
    """Something that can be asked; only one thread calls it."""

    def ask(self, clock: Clock, wait: Callable[[float], bool]) -> Round:
        """Ask for everything once; `wait` pauses [s] and gives True if the source is closing."""

    def let_go(self) -> None:
        """Free what is held open; the next `ask` opens it again."""


class PolledSource:
    """Asks a device again and again: at an even pace, or sooner where there was trouble."""

    def __init__(self, name: str, every: float, device: Device, clock: Clock) -> None:
        self.name = name
        self._every, self._device, self._clock = every, device, clock
        self._readings: deque[Reading] = deque(maxlen=_KEPT)
        self._condition = SourceCondition(False, "not started", None, 0)
        self._closing = threading.Event()
        self._thread = threading.Thread(target=self._run, name=f"asking {name}", daemon=True)

    def start(self) -> None:
        """Begin to ask; what is not there yet is waited for."""
        self._thread.start()

    def take(self) -> list[Reading]:
        """Everything that came since the last call, oldest first."""
        return [self._readings.popleft() for _ in range(len(self._readings))]

    def condition(self) -> SourceCondition:
        """How the device was in the last round."""
        return self._condition

    def close(self) -> None:
        """Stop asking and let go of the device."""
        self._closing.set()
        if self._thread.is_alive():
            self._thread.join(_PATIENCE)

    def _run(self) -> None:
        pause = _FIRST_PAUSE
        while not self._closing.is_set():
            # A thread that has died would be a silent sensor for good.
            try:
                found = self._device.ask(self._clock, self._closing.wait)
            except Exception as fault:
                self._device.let_go()
                found = Round((), (shown(str(fault), 80),))
            self._readings.extend(found.readings)
            self._tell(found)
            self._closing.wait(min(pause, self._every) if found.troubles else self._every)
            pause = 2.0 * min(pause, self._every) if found.troubles else _FIRST_PAUSE
        self._device.let_go()
        self._condition = SourceCondition(
            False, "closed", self._condition.heard_at, self._condition.rejected
        )

    def _tell(self, found: Round) -> None:
        """Replace the condition as a whole, so that other threads never see half of one."""
        heard_at = found.readings[-1].at if found.readings else self._condition.heard_at
        refused = len(found.troubles) if found.refused is None else found.refused
        rejected = self._condition.rejected + refused
        text = "; ".join(found.troubles) or "connected"
        self._condition = SourceCondition(not found.troubles, text, heard_at, rejected)
