"""A live dairy: its config, its store, and whether a recorder is at work on it."""

from dataclasses import dataclass
from pathlib import Path

from cavewatch import clock
from cavewatch.cli.desk import StoreDesk
from cavewatch.config import Config, default_path, load
from cavewatch.core.alarms.texts import Words
from cavewatch.core.errors import CavewatchError
from cavewatch.core.reading import Quantity
from cavewatch.store import RecorderLock, Store
from cavewatch.units import Display

SENSOR = "sensor "
"""Under this and its name, the store's meta keeps a sensor's condition in words."""


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
        return StoreDesk(
            self.store,
            clock.now,
            title=self.config.name,
            zone=clock.zone(self.config.zone),
            display=Display(self.config.units),
            initials=self.config.initials,
            styles=self.config.styles,
            places=self.config.places,
            channels=self.config.channels,
            notice=self._notice,
        )

    def _notice(self) -> str:
        if self.lock.holder() is None:
            return "no recorder is running: nothing is recorded until 'cavewatch record' is started"
        return " · ".join(
            text
            for sensor in self.config.sensors
            if (text := self.store.meta(SENSOR + sensor.name) or "")
        )


def config_of(config_path: Path | None) -> Config:
    """The config that was named, or the usual one."""
    path = config_path or default_path()
    if not path.exists():
        raise CavewatchError(
            f"there is no config at {path}; copy config.example.toml there, or name one: "
            "cavewatch --config my.toml"
        )
    return load(path)


def words_with(config: Config) -> Words:
    """What the alarms of this dairy say, in the maker's units."""
    display = Display(config.units)
    value = {Quantity.TEMPERATURE: display.temperature, Quantity.HUMIDITY: display.humidity}
    difference = {
        Quantity.TEMPERATURE: display.temperature_difference,
        Quantity.HUMIDITY: display.humidity_difference,
    }
    return Words(
        texts=config.alarm_texts,
        show=lambda quantity, number: value[quantity](number),
        apart=lambda quantity, number: difference[quantity](number),
        length=clock.duration,
    )
