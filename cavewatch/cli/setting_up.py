"""The first start: a guided set-up where there is no config, then the dashboard."""

import os
import threading
from contextlib import closing
from dataclasses import replace
from pathlib import Path

from cavewatch import clock, styles
from cavewatch.cli.first_config import config_text
from cavewatch.cli.listening import USUAL, Ear, Told, overhear, whole_seconds
from cavewatch.config import parse
from cavewatch.core.errors import CavewatchError
from cavewatch.core.sensor import LineFormat
from cavewatch.core.style import StyleBook
from cavewatch.screens.setup.answers import Answers, PortHeard, ValueHeard
from cavewatch.screens.setup.app import SetUpApp
from sensors.decode.guess import unit
from sensors.faults import SensorError, shown
from sensors.ports import PortFound, serial_ports

_KEPT = 4
"""Lines of a port that are kept to be shown."""
_AGAIN = 2.0
"""How soon a port is opened again that could not be, or was lost [s]."""


class SetUpError(CavewatchError):
    """A config that cannot be written."""


def set_up(path: Path) -> bool:
    """Ask for a first config and write it to this path; False if the maker left instead."""
    machine = ThisMachine(path)
    try:
        return bool(SetUpApp(machine).run())
    finally:
        machine.release()


class ThisMachine:
    """The ports, the clock and the disk, as the set-up needs them."""

    def __init__(self, path: Path) -> None:
        """Prepare to write the config to this path."""
        self._path = path
        self._listeners: dict[str, _Listener] = {}
        self.zone = clock.machine_zone().key
        self.styles: StyleBook = styles.load()

    @property
    def path(self) -> str:
        """Where the config will be."""
        return str(self._path)

    def heard(self) -> list[PortHeard]:
        """The ports; each new one is listened to from now on."""
        found = {each.lasting: each for each in serial_ports()}
        for port in [port for port in self._listeners if port not in found]:
            self._listeners.pop(port).end()
        for port, each in found.items():
            if port not in self._listeners:
                self._listeners[port] = _Listener(port, each)
        return [listener.heard for listener in self._listeners.values()]

    def release(self) -> None:
        """End all listening; return when the ports are free for a recorder."""
        for listener in self._listeners.values():
            listener.end()
        for listener in self._listeners.values():
            listener.join()
        self._listeners.clear()

    def config(self, answers: Answers) -> str:
        """The text of the config, read once as the program will read it."""
        text = config_text(answers)
        parse(text, self._path)
        return text

    def write(self, text: str) -> None:
        """Write it, and never over anything; what cannot be written whole is taken away again."""
        try:
            self._path.parent.mkdir(parents=True, exist_ok=True)
        except OSError as fault:
            raise SetUpError(f"{self._path.parent} cannot be made: {fault.strerror}") from fault
        try:
            with self._path.open("x", encoding="utf-8") as file:
                try:
                    file.write(text)
                    file.flush()
                    os.fsync(file.fileno())
                except OSError:
                    self._path.unlink()
                    raise
        except FileExistsError as fault:
            raise SetUpError(
                f"{self._path} is there by now and is left as it is; leave with esc, and start "
                "again to use it"
            ) from fault
        except OSError as fault:
            raise SetUpError(f"{self._path} cannot be written: {fault.strerror}") from fault


class _Listener:
    """Listens to one port in a thread of its own until it is told to end."""

    def __init__(self, port: str, found: PortFound) -> None:
        self.heard = PortHeard(port, found.description, USUAL[0])
        """What came so far; replaced as a whole."""
        self._over = threading.Event()
        self._thread = threading.Thread(target=self._listen, args=(found.device,), daemon=True)
        self._thread.start()

    def end(self) -> None:
        """Ask it to end."""
        self._over.set()

    def join(self) -> None:
        """Wait until it let the port go."""
        self._thread.join()

    def _listen(self, device: str) -> None:
        while not self._over.is_set():
            try:
                self._once(device)
            except SensorError as fault:
                self.heard = replace(self.heard, trouble=str(fault))
            self._over.wait(_AGAIN)

    def _once(self, device: str) -> None:
        """Try all speeds once; at one that fits, stay."""
        before = 0
        with closing(overhear(device, USUAL)) as ears:
            for ear, came in ears:
                self._take(ear, came, before)
                if self._over.is_set():
                    return
                if ear.deaf:
                    before += ear.data

    def _take(self, ear: Ear, came: list[Told], before: int) -> None:
        lines = (*self.heard.lines, *((told.text, told.words) for told in came))[-_KEPT:]
        now = replace(self.heard, baud=ear.baud, data=before + ear.data, lines=lines, trouble="")
        heard = ear.told()
        if heard.last is not None:
            last = heard.last
            columns = heard.columns or tuple(last.values)
            now = replace(
                now,
                format=last.format,
                columns=columns if last.format is LineFormat.COLUMNS else (),
                every=whole_seconds(heard.every),
                values=tuple(
                    ValueHeard(name, _words(number, sent), unit(name, number, sent))
                    for name, (number, sent) in last.values.items()
                ),
            )
        self.heard = now


def _words(number: float | None, sent: str | None) -> str:
    """A value with the unit that was sent with it."""
    value = "no value" if number is None else f"{number:g}"
    return f"{value} {shown(sent)}" if sent else value
