"""What a recorder tells beside the store: notices of alarms, the sign of life, MQTT topics."""

from collections.abc import Callable, Collection, Mapping
from typing import TYPE_CHECKING

from cavewatch import clock
from cavewatch.cli.live import UNSENT
from cavewatch.config import Config
from cavewatch.core.alarms.alarm import Alarm
from cavewatch.core.alarms.engine import Condition
from cavewatch.core.alarms.texts import Words
from cavewatch.core.dairy import Dairy
from cavewatch.core.reading import Channel, Reading
from cavewatch.recorder.heartbeat import Heart
from cavewatch.recorder.notifier import Notifier
from cavewatch.recorder.sending import sender
from cavewatch.units import Display

if TYPE_CHECKING:
    from cavewatch.recorder.publisher import Publisher

TOLD = "notices"
"""Under this, the store's meta keeps what was told, for the next start."""


class Telling:
    """The notices, the heartbeat and the topics of one dairy, for the recorder's thread."""

    def __init__(
        self,
        config: Config,
        words: Words,
        meta: Callable[[str], str | None],
        put_meta: Callable[[str, str], None],
    ) -> None:
        """Take up where the last recorder left off.

        Args:
            config: of the dairy.
            words: what alarms say.
            meta: a text that the store keeps, by its key.
            put_meta: keeps one; what it raises goes on to the caller.
        """
        folder = config.path.absolute().parent
        self._put_meta = put_meta
        self._display = Display(config.units)
        self._notifier = Notifier(
            config.notices,
            dairy=config.name,
            zone=clock.zone(config.zone),
            words=words,
            send=sender(folder, clock.elapsed),
            keep=lambda text: put_meta(TOLD, text),
            kept=meta(TOLD),
        )
        beat = config.heartbeat
        self._heart = None if beat is None else Heart(beat, folder, clock.elapsed)
        self._publisher = _publisher(config)
        self._shown: str | None = None

    def conditions(self) -> tuple[Condition, ...]:
        """What is abnormal about it."""
        return self._notifier.conditions()

    def after_step(self, alarms: Collection[Alarm], at: float, sure: bool, kept: bool) -> None:
        """Call after each step of the recorder.

        Args:
            alarms: all that are not in NORM.
            at: now [s since 1970 UTC].
            sure: whether the clock is right.
            kept: whether readings reach the disk; the sign of life is given only then.
        """
        self._notifier.hear([self._worded(alarm) for alarm in alarms], at, sure)
        trouble = [self._notifier.trouble()]
        if self._heart is not None:
            if kept:
                self._heart.beat()
            trouble.append(self._heart.trouble())
        if self._publisher is not None:
            trouble.append(self._publisher.trouble())
        text = " · ".join(filter(None, trouble))
        if text != self._shown:
            self._put_meta(UNSENT, text)
            self._shown = text

    def publish(
        self, dairy: Dairy, latest: Mapping[Channel, Reading], alarms: Collection[Alarm]
    ) -> None:
        """Hand over what is to be published, if the maker wants that; see `Publisher.show`."""
        if self._publisher is not None:
            self._publisher.show(dairy, latest, [self._worded(alarm) for alarm in alarms])

    def _worded(self, alarm: Alarm) -> Alarm:
        return alarm.worded(self._display.told)

    def close(self) -> None:
        """Leave nothing running."""
        self._notifier.close()
        if self._publisher is not None:
            self._publisher.close()
        if self._heart is not None:
            self._heart.close()


def _publisher(config: Config) -> "Publisher | None":
    """What publishes, if the maker wants that."""
    if config.mqtt is None or not config.mqtt.publish:
        return None
    from cavewatch.recorder.publisher import Publisher  # noqa: PLC0415  as with sources

    return Publisher(config.mqtt, config.name, Display(config.units).mass)
