"""A live dairy: its config, its store, and whether a recorder is at work on it."""

from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path

from cavewatch import clock
from cavewatch.cli.desk import StoreDesk
from cavewatch.clock import SetBy, Stamp
from cavewatch.config import SERVICE_CONFIG, Config, default_path, load
from cavewatch.core.alarms.texts import Words
from cavewatch.core.errors import CavewatchError
from cavewatch.store import RecorderLock, Store
from cavewatch.units import Display

SENSOR = "sensor "
"""Under this and its name, the store's meta keeps a sensor's condition in words."""
UNSENT = "unsent"
"""Under this, the store's meta keeps in words which notices could not be sent or published."""
LAG = 2.0
"""The recorder looks every second: beyond `commit_every` a reading may wait so long for its
commit [s]."""
UNSET = (
    "clock not yet set: times are uncertain until the network sets it, or you set it and call "
    "'cavewatch clock right'"
)
"""What is said for as long as nobody has set the machine's clock."""


@dataclass(frozen=True, slots=True)
class Live:
    """One dairy on this machine."""

    config: Config
    store: Store
    lock: RecorderLock

    @classmethod
    def opened(cls, config_path: Path | None) -> "Live":
        """Read the config and open the store, making it if it is not there.

        Raises:
            CavewatchError: in one sentence or a few, for either.
        """
        return cls.of(config_of(config_path))

    @classmethod
    def of(cls, config: Config) -> "Live":
        """The same with a config that was read already."""
        return cls(config, Store.open(config.store_path), RecorderLock(config.store_path))

    def desk(self) -> StoreDesk:
        """What screens and commands look through."""
        # In the store even the newest reading of a quick sensor may be this old.
        late = self.config.commit_every + LAG
        return StoreDesk(
            self.store,
            clock.now,
            title=self.config.name,
            zone=clock.zone(self.config.zone),
            display=Display(self.config.units),
            initials=self.config.initials,
            styles=self.config.styles,
            places=self.config.places,
            channels={channel: age + late for channel, age in self.config.channels.items()},
            notice=self._notice,
            stamp=stamp_of(self.config),
        )

    @property
    def _start(self) -> str:
        """The command that starts the recorder."""
        served = self.config.path == SERVICE_CONFIG
        return "sudo systemctl start cavewatch" if served else "cavewatch record"

    def _notice(self) -> str:
        sure = self.store.judged(stamp_of(self.config)()).sure
        return " · ".join(text for text in ("" if sure else UNSET, self.told()) if text)

    def told(self) -> str:
        """What is to be known of the recorder and its sensors."""
        if self.lock.holder() is None:
            return f"no recorder is running: nothing is recorded until '{self._start}' is called"
        if trouble := self.lock.said():
            return trouble
        said = [UNSENT, *(SENSOR + sensor.name for sensor in self.config.sensors)]
        return " · ".join(text for key in said if (text := self.store.meta(key) or ""))


def config_of(config_path: Path | None) -> Config:
    """The config that was named, or the usual one."""
    path = config_path or default_path()
    if not path.exists():
        raise CavewatchError(
            f"there is no config at {path}; copy config.example.toml there, or name one: "
            "cavewatch --config my.toml"
        )
    return load(path)


def stamp_of(config: Config) -> Callable[[], Stamp]:
    """What tells the machine's time and who set it, the config's word for it included."""

    def stamp() -> Stamp:
        found = clock.stamp()
        trusted = config.always_right and not found.sure
        return replace(found, by=SetBy.MAKER) if trusted else found

    return stamp


def words_with(config: Config) -> Words:
    """What the alarms of this dairy say."""
    return Words(config.alarm_texts, clock.duration)
