"""The only module that reads time, and the one that turns instants into local words.

Instants are seconds since 1970-01-01 UTC. People see the dairy's zone, with
summer time handled by the zone database. A small machine without a battery
clock starts with a wrong time until the network sets it: a `Stamp` therefore
tells the time since it was switched on as well, and who set its clock.
"""

import os
import re
import time
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import StrEnum
from functools import cache
from pathlib import Path
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from cavewatch.core.errors import CavewatchError
from cavewatch.core.text import clean

Clock = Callable[[], float]
"""Gives the present instant [s since 1970 UTC]; live, replay and test differ here."""


class TimeError(CavewatchError):
    """A time that cannot be read, or a zone that is not known."""


def now() -> float:
    """The present, from the machine's clock [s since 1970 UTC]."""
    return time.time()


def elapsed() -> float:
    """Seconds on a clock that never steps; only differences mean something."""
    return time.monotonic()


class SetBy(StrEnum):
    """Who says that the machine's clock is right."""

    NETWORK = "the network"
    BATTERY = "the battery clock"
    MACHINE = "the machine"
    """In a container, say, which has no clock of its own to tell."""
    MAKER = "the maker"


@dataclass(frozen=True, slots=True)
class Stamp:
    """One moment on the clocks of one machine."""

    wall: float
    """[s since 1970 UTC], right only if somebody set the clock."""
    boot: str
    """Names the time from one switching on to the next."""
    up: float
    """Time since then [s], asleep or awake; it never steps."""
    by: SetBy | None
    """Who says that `wall` is right; None if nobody does."""

    @property
    def sure(self) -> bool:
        """Whether anybody says that the clock is right."""
        return self.by is not None

    @property
    def offset(self) -> float:
        """What is to be added to a time since the switching on for one since 1970 UTC [s]."""
        return self.wall - self.up


def stamp() -> Stamp:
    """The present, as this machine knows it."""
    wall = now()
    return Stamp(wall, boot_id(), since_boot(), set_by(wall))


@cache
def boot_id(file: Path = Path("/proc/sys/kernel/random/boot_id")) -> str:
    """What the kernel calls the time since the machine was switched on; empty if it has no name."""
    try:
        return file.read_text("ascii").strip()
    except (OSError, UnicodeDecodeError):
        return ""


def since_boot() -> float:
    """Seconds since the machine was switched on, on a clock that never steps."""
    return time.clock_gettime(getattr(time, "CLOCK_BOOTTIME", time.CLOCK_MONOTONIC))


def _kernel_says_set() -> bool:
    """Whether a time service keeps the kernel's clock; asked without changing anything."""
    import ctypes  # noqa: PLC0415 (costs 10 ms, and where systemd keeps the time nobody asks)

    try:
        # A zeroed `struct timex`, with room to spare, asks; 5 is TIME_ERROR (adjtimex(2)).
        state = ctypes.CDLL(None).adjtimex(ctypes.create_string_buffer(1024))
    except (OSError, AttributeError):
        return False
    return 0 <= int(state) < 5


BATTERY_NEAR = 60.0
"""A battery clock so near the machine's vouches for it [s]; judgement."""


def set_by(
    wall: float, root: Path = Path("/"), kernel: Callable[[], bool] = _kernel_says_set
) -> SetBy | None:
    """Who set the machine's clock; None for one that nobody has set since it was switched on.

    Args:
        wall: the clock's time [s since 1970 UTC].
        root: of the file system.
        kernel: whether the kernel says that a time service keeps its clock.
    """
    if (root / "run/systemd/timesync/synchronized").exists() or kernel():
        return SetBy.NETWORK
    battery = root / "sys/class/rtc"
    if not battery.exists() and not (root / "run/systemd/system").exists():
        return SetBy.MACHINE
    try:
        near = abs(int((battery / "rtc0/since_epoch").read_text("ascii")) - wall) <= BATTERY_NEAR
    except (OSError, ValueError):
        return None
    return SetBy.BATTERY if near else None


def zone(name: str) -> ZoneInfo:
    """The time zone of this IANA name; raise TimeError for an unknown one."""
    try:
        return ZoneInfo(name)
    except (ZoneInfoNotFoundError, ValueError, OSError) as fault:
        raise TimeError(
            f"'{name}' is not a known time zone; write one such as 'Europe/Dublin' or 'UTC'"
        ) from fault


def machine_zone() -> ZoneInfo:
    """The time zone of this machine: $TZ, or the one that /etc/localtime points to; else UTC."""
    _, _, linked = os.path.realpath("/etc/localtime").partition("zoneinfo/")
    for name in (os.environ.get("TZ", "").lstrip(":"), linked):
        try:
            return zone(name)
        except TimeError:
            continue
    return zone("UTC")


def local(at: float, where: ZoneInfo) -> datetime:
    """The instant as wall time in the zone."""
    return datetime.fromtimestamp(at, where)


def iso(at: float, where: ZoneInfo) -> str:
    """ISO 8601 with offset, to the second: '2026-03-01T16:30:00+00:00'."""
    return local(at, where).isoformat(timespec="seconds")


_WORDS = {"today": 0, "yesterday": -1, "tomorrow": 1}
_DAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
_AGO = re.compile(r"(?:(\d+)\s*d)?\s*(?:(\d+)\s*h)?\s*(?:(\d+)\s*(?:m|min))?\s+ago")


def is_relative(text: str) -> bool:
    """Whether a typed time counts from now ('now', '3 h ago'), so that it moves with the clock."""
    words = text.strip().lower()
    ago = _AGO.fullmatch(words)
    return words in ("", "now") or bool(ago and any(ago.groups()))


def instant(text: str, present: float, where: ZoneInfo, *, ahead: bool = False) -> float:
    """What a person typed as a time [s since 1970 UTC].

    'now', '16:30' (today), 'yesterday 16:30', 'Fri 16:30', '2026-03-01 16:30', ISO 8601
    with or without offset, '3 h 20 min ago'. A wall time that the clock shows twice
    is the first of the two.

    Args:
        text: as typed.
        present: [s since 1970 UTC].
        where: the zone whose clock is meant.
        ahead: whether a day of the week is the next such day, as for what is planned, and
            not the last one, as for what has happened; the present is either.

    Raises:
        TimeError: saying what may be written instead; a wall time that the
            clock skips in spring is refused too.
    """
    words, text = text.strip().lower(), clean(text, 40)
    if words in ("", "now"):
        return present
    ago = _AGO.fullmatch(words)
    if ago and any(ago.groups()):
        days, hours, minutes = (int(part or 0) for part in ago.groups())
        return present - timedelta(days=days, hours=hours, minutes=minutes).total_seconds()
    head, _, tail = words.partition(" ")
    today = local(present, where).date()
    if re.fullmatch(r"\d{1,2}:\d{2}", words):
        head, tail = "today", words
    weekday = _weekday(head) if tail else None
    days_off = _WORDS.get(head) if weekday is None else (weekday - today.weekday()) % 7
    if days_off is not None and tail:
        words = f"{today + timedelta(days=days_off)}T{tail.strip().rjust(5, '0')}"
    try:
        typed = datetime.fromisoformat(words.upper())
    except ValueError:
        raise TimeError(
            f"'{text}' is not a time; write 'now', '16:30', 'yesterday 16:30', 'Fri 16:30', "
            "'2026-03-01 16:30' or '3 h 20 min ago'"
        ) from None
    if weekday is not None:
        near = (typed if typed.tzinfo else typed.replace(tzinfo=where)).timestamp()
        typed += timedelta(days=7 * ((ahead and near < present) - (not ahead and near > present)))
    if typed.tzinfo is not None:
        return typed.timestamp()
    at = typed.replace(tzinfo=where).timestamp()
    if local(at, where).replace(tzinfo=None) != typed:
        raise TimeError(f"'{text}' does not exist: the clock skips it when summer time begins")
    return at


def _weekday(word: str) -> int | None:
    """Which day of the week a word names, in three letters or more: 'fri', 'friday'."""
    found = (n for n, day in enumerate(_DAYS) if len(word) >= 3 and day.startswith(word))
    return next(found, None)


def duration(seconds: float) -> str:
    """A length of time in the words of the dairy: '3 d 4 h', '2 h 05 min', '12 min', '40 s'."""
    whole = round(abs(seconds))
    days, rest = divmod(whole, 86400)
    hours, rest = divmod(rest, 3600)
    minutes, left = divmod(rest, 60)
    if days:
        return f"{days} d {hours} h"
    if hours:
        return f"{hours} h {minutes:02d} min"
    return f"{minutes} min" if minutes else f"{left} s"


def moment(at: float, present: float, where: ZoneInfo) -> str:
    """An instant as people say it: '16:30', 'tomorrow 06:40', 'Thu 06:40', '3 Mar 06:40'."""
    then, today = local(at, where), local(present, where)
    days = (then.date() - today.date()).days
    clock = then.strftime("%H:%M")
    if days == 0:
        return clock
    if days in (-1, 1):
        return f"{'tomorrow' if days > 0 else 'yesterday'} {clock}"
    if 1 < days < 7:
        return f"{then.strftime('%a')} {clock}"
    return f"{then.day} {then.strftime('%b')} {clock}"


class ReplayClock:
    """Time that runs at a chosen speed from a chosen start, and can be paused or set."""

    def __init__(self, start: float, speed: float, ticks: Clock = elapsed) -> None:
        self._at, self._speed, self._running = start, speed, True
        self._ticks = ticks
        self._read = ticks()

    def __call__(self) -> float:
        """The replayed instant [s since 1970 UTC]."""
        ticks = self._ticks()
        if self._running:
            self._at += (ticks - self._read) * self._speed
        self._read = ticks
        return self._at

    @property
    def speed(self) -> float:
        """Replayed seconds per second."""
        return self._speed

    @speed.setter
    def speed(self, speed: float) -> None:
        self()
        self._speed = speed

    @property
    def running(self) -> bool:
        """False while paused."""
        return self._running

    @running.setter
    def running(self, running: bool) -> None:
        self()
        self._running = running

    def set(self, at: float) -> None:
        """Jump to an instant."""
        self()
        self._at = at
