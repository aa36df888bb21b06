"""Listening to a serial port of which nothing is known: what comes is shown and made out."""

import math
from collections.abc import Generator
from dataclasses import dataclass, replace
from itertools import pairwise
from statistics import median

import click

from cavewatch import clock
from sensors.decode import formats
from sensors.decode.guess import Understood, titles, understood
from sensors.decode.lines import CAP, Line, LineBuffer
from sensors.faults import SensorError, shown
from sensors.port import why

USUAL = (9600, 115_200, 4800, 19_200, 38_400, 57_600, 2400)
"""Speeds that are tried where nothing readable comes, the most usual first; from memory."""
_ENOUGH = 5
"""So many lines that make sense are enough."""
_SPOILT = 8
"""So many bytes that are no text mean a wrong speed; fewer may come as a port is opened."""
_READ_TIMEOUT = 0.2
_TEXT = bytes(range(32, 127)) + b"\t\r\n"
_MOST_SHOWN = 200
"""Lines shown; of a port that floods, the rest is only counted."""


@dataclass(frozen=True, slots=True)
class Heard:
    """What came from a port."""

    baud: int
    """The speed at which it was heard."""
    data: int
    """How much came at all speeds [byte]."""
    last: Understood | None
    """The last line that made sense."""
    columns: tuple[str, ...]
    """Names from a line of titles."""
    every: float | None
    """How far the last lines that made sense were apart [s]; None for fewer than two."""


@dataclass(frozen=True, slots=True)
class Told:
    """One line that came, fit to be shown."""

    after: float
    """Since the listening began [s]."""
    text: str
    words: str
    """What was made out of it, or why nothing was."""


class Ear:
    """Makes out the lines that come at one speed."""

    def __init__(self, baud: int, began: float) -> None:
        self.baud, self._began = baud, began
        self._lines = LineBuffer()
        self._times: list[float] = []
        self._columns: tuple[str, ...] = ()
        self._last: Understood | None = None
        self._spoilt = 0
        """Bytes that are no text."""
        self.data = 0
        """Bytes that came at all."""

    @property
    def satisfied(self) -> bool:
        """Whether enough has come."""
        return len(self._times) >= _ENOUGH

    @property
    def deaf(self) -> bool:
        """Whether what came cannot be text at this speed."""
        return not self._times and self._spoilt >= _SPOILT

    def hear(self, data: bytes, at: float) -> list[Told]:
        """What came at this time [s on the clock that never steps], line by line."""
        self.data += len(data)
        self._spoilt += len(data.translate(None, _TEXT))
        return [
            Told(
                at - self._began,
                shown(line.text.decode("ascii", errors="replace"), 60),
                self._made_out(line, at),
            )
            for line in self._lines.feed(data)
        ]

    def told(self) -> Heard:
        """What came at this speed."""
        apart = [later - earlier for earlier, later in pairwise(self._times)]
        every = median(apart) if apart else None
        return Heard(self.baud, self.data, self._last, self._columns, every)

    def _made_out(self, line: Line, at: float) -> str:
        try:
            if line.too_long:
                raise SensorError(f"it is longer than {CAP} bytes")
            text = formats.plain(line.text)
            if names := titles(text):
                self._columns = names
                return f"titles of columns: {', '.join(map(shown, names))}"
            if not line.whole:
                return "the first line, whose beginning may be missing"
            found = understood(text, self._columns)
        except SensorError as fault:
            return f"cannot be read: {fault}"
        self._last = found
        self._times = [*self._times[1 - _ENOUGH :], at]
        values = (
            f"{shown(name)} = {'no value' if value is None else f'{value:g}'}{unit or ''}"
            for name, (value, unit) in found.values.items()
        )
        return f"{found.format}: {', '.join(values)}"


def overhear(port: str, bauds: tuple[int, ...]) -> Generator[tuple[Ear, list[Told]], None, None]:
    """Listen until what comes is text at none of the speeds, or the caller has had enough.

    Gives, at least five times a second, the ear of the speed that is tried and the lines that
    came since; an ear that is deaf is the last of its speed.

    Args:
        port: path of the device.
        bauds: the speeds to try, the next where what comes is no text.

    Raises:
        SensorError: if the port cannot be opened or is lost.
    """
    from serial import Serial  # noqa: PLC0415  only those who use a port pay for it

    began = clock.elapsed()
    lost = False
    try:
        with Serial(port, bauds[0], timeout=_READ_TIMEOUT, exclusive=True) as device:
            lost = True
            for baud in bauds:
                device.baudrate = baud
                device.reset_input_buffer()
                ear = Ear(baud, began)
                yield ear, []
                while not ear.deaf:
                    came = device.read(min(max(1, device.in_waiting), 4096))
                    yield ear, ear.hear(came, clock.elapsed())
    # Drivers raise more than OSError: termios.error, ValueError for a rate they do not know.
    except Exception as fault:
        words = "the connection was lost; was it unplugged?" if lost else why(fault)
        raise SensorError(f"{shown(port, 80)}: {words}") from fault


def listen(port: str, bauds: tuple[int, ...], seconds: float) -> Heard:
    """Show what comes until it is understood, the time is over, or Ctrl-C is pressed.

    Args:
        port: path of the device.
        bauds: the speeds to try, the next where what comes is no text.
        seconds: how long in all.

    Raises:
        SensorError: if the port cannot be opened or is lost.
    """
    end = clock.elapsed() + seconds
    ears: list[Ear] = []
    lines = 0
    try:
        for ear, came in overhear(port, bauds):
            if ear not in ears:
                ears.append(ear)
                lines = 0
                click.echo(f"listening to {shown(port, 80)} at {ear.baud} baud; Ctrl-C ends it")
            for told in came[: _MOST_SHOWN - lines]:
                click.echo(f"{told.after:6.1f} s  {told.text}\n          {told.words}")
            lines = min(_MOST_SHOWN, lines + len(came))
            if ear.satisfied or clock.elapsed() >= end:
                break
            if ear.deaf:
                click.echo("what comes is no text at this speed")
    except KeyboardInterrupt:
        click.echo()
    heard = ears[-1].told() if ears else Ear(bauds[0], end).told()
    return replace(heard, data=sum(ear.data for ear in ears))


def whole_seconds(every: float | None) -> int | None:
    """How often a sensor sends, as a setting."""
    return None if every is None else max(1, math.ceil(every - 0.05))
