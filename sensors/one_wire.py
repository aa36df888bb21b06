"""One-wire temperature probes behind the kernel's own driver."""

import errno
import os
from collections.abc import Callable
from pathlib import Path

from cavewatch.clock import Clock
from cavewatch.core.sensor import OneWireSettings
from sensors.decode.one_wire import one_wire
from sensors.faults import SensorError, shown
from sensors.polled import Round

_DEVICES = Path("/sys/bus/w1/devices")
_LONGEST = 4096
"""The kernel's text is less than 100 bytes; another file may be endless [bytes]."""


class Probe:
    """One probe; opening its file makes it measure, which takes up to a second."""

    def __init__(self, settings: OneWireSettings) -> None:
        self._settings = settings

    def ask(self, clock: Clock, _wait: Callable[[float], bool]) -> Round:
        """One reading."""
        try:
            with open(self._settings.file, "rb", buffering=0) as file:
                text = file.read(_LONGEST)
            return Round([one_wire(self._settings.field, text, clock())])
        except SensorError as fault:
            return Round((), (f"no fresh reading: {fault}",))
        except OSError as fault:
            return Round((), (f"waiting for {shown(self._settings.file, 80)}: {_why(fault)}",))

    def let_go(self) -> None:
        """Nothing is held open between two readings."""


def probe_files(devices: Path = _DEVICES) -> list[str]:
    """The kernel's files of all probes that are there."""
    return [str(file) for file in sorted(devices.glob("*/w1_slave")) if str(file).isprintable()]


def _why(fault: OSError) -> str:
    if fault.errno in (errno.ENOENT, errno.ENODEV):
        return "no such probe; is it plugged in, and one-wire switched on in the system?"
    return os.strerror(fault.errno) if fault.errno else shown(str(fault), 80)
