"""The config as the rest of Cavewatch uses it."""

from dataclasses import dataclass, field
from pathlib import Path

from cavewatch.config.texts import shipped
from cavewatch.core.alarms.limits import Tunings
from cavewatch.core.alarms.texts import Texts
from cavewatch.core.broker import BrokerSettings
from cavewatch.core.notices import Heartbeat, Notice
from cavewatch.core.place import Place
from cavewatch.core.reading import Channel
from cavewatch.core.sensor import LogSettings, SensorSettings
from cavewatch.core.style import StyleBook
from cavewatch.units import System

_MISSED = 3
"""A channel is silent after this many readings that did not come."""


@dataclass(frozen=True, slots=True)
class Config:
    """All settings of one dairy."""

    name: str
    """Of the dairy, shown to people."""
    zone: str
    """IANA name of the time zone in which people see times."""
    units: System
    """In which people see values."""
    initials: str
    """Who makes journal entries if nobody else is named; may be empty."""
    store_path: Path
    """The SQLite file."""
    commit_every: float
    """How often readings are written to disk [s]."""
    places: tuple[Place, ...]
    """In the order of the file."""
    sensors: tuple[SensorSettings, ...]
    """Those that send lines, then those on Modbus, one-wire probes, those behind the MQTT broker,
    and logs that grow, each as in the file."""
    log: LogSettings | None
    """How a log file is read; None if the file says nothing of one."""
    log_every: float
    """How far the rows of a log are apart [s]."""
    styles: StyleBook
    """The style book with the maker's own changes."""
    path: Path
    """The config file."""
    keep_readings: float = 800 * 86400.0
    """How long single readings are kept; means by the minute and the hour stay for ever [s]."""
    tunings: Tunings = field(default_factory=dict)
    """Of the channels whose alarms the maker wants otherwise."""
    alarm_texts: Texts = field(default_factory=shipped)
    """What alarms say, with the maker's own changes."""
    mqtt: BrokerSettings | None = None
    """The broker of MQTT sensors and of what is published; None if the file names none."""
    bell: bool = True
    """Whether the dashboard rings the terminal's bell for an alarm."""
    notices: tuple[Notice, ...] = ()
    """Whom to tell of alarms, in the order of the file."""
    heartbeat: Heartbeat | None = None
    """The sign of life; None for none."""
    always_right: bool = False
    """Whether the machine's clock counts as right though nothing on it says so."""

    @property
    def channels(self) -> dict[Channel, float]:
        """Every channel that sensors or the log's fields feed, with the age at which it
        counts as silent [s]; where both feed one, the sensor's age holds.

        A log whose titles are channel names themselves adds its channels when it is read.
        """
        logged = {} if self.log is None else self.log.fields
        return {field.channel: _MISSED * self.log_every for field in logged.values()} | {
            field.channel: _MISSED * sensor.every
            for sensor in self.sensors
            for field in sensor.feeds
        }
