"""A dairy being recorded: everything that goes on from beat to beat."""

import contextlib
from collections.abc import Callable, Iterator
from typing import TypeVar

from cavewatch import clock
from cavewatch.cli.live import SENSOR, stamp_of, words_with
from cavewatch.cli.sources import source_of
from cavewatch.cli.telling import Telling
from cavewatch.config import Config
from cavewatch.core.alarms.engine import Condition
from cavewatch.recorder import Recorder
from cavewatch.recorder.safekeeping import Safekeeping
from cavewatch.recorder.timekeeper import Timekeeper
from cavewatch.store import DamagedStoreError, RecorderLock, StoreError, UnwritableStoreError
from sensors.source import Source

_T = TypeVar("_T")


class Recording:
    """Store, sources and recorder of one dairy, and what goes along with them.

    Whoever drives it calls `beat` about once a second, from one thread, and `close`
    at the end.
    """

    def __init__(self, config: Config, lock: RecorderLock) -> None:
        """Open the store, start the sources, and take up where the store left off.

        Args:
            config: of the dairy.
            lock: held by this process.

        Raises:
            StoreError: if there can be no store.
        """
        self._config = config
        self._lock = lock
        self._words = words_with(config)
        self._kept = Safekeeping(
            config.store_path,
            self._words,
            config.keep_readings,
            clock.now,
            self._when,
            clock.elapsed,
        )
        stamp = stamp_of(config)
        self._timekeeper = self._despite_damage(lambda: Timekeeper(self._kept.store, stamp))
        time = self._timekeeper
        newest = self._despite_damage(self._kept.store.latest)
        self._sources: list[Source] = [
            source_of(each, time.now, lambda: time.sure, newest) for each in config.sensors
        ]
        self._said: dict[str, str] = {}
        self._trouble = ""
        for source in self._sources:
            source.start()
        self._recorder = self._despite_damage(self._begun)
        holding = self._kept.holding
        self._telling = self._despite_damage(
            lambda: Telling(config, self._words, holding.meta, holding.put_meta)
        )

    def beat(self) -> None:
        """Bring everything up to now.

        Raises:
            StoreError: where there is no going on with the store.
        """
        try:
            anew = self._timekeeper.look(self._settle)
            if self._kept.look() or anew:
                self._begin_anew()
            self._recorder.step(self._own())
            self._tell_of_sources()
            self._afterwards()
        except DamagedStoreError as fault:
            self._kept.renew(fault)
            self._begin_anew()
        except UnwritableStoreError as fault:
            self._kept.fail(fault)
        self._say(self._kept.trouble())

    def close(self) -> None:
        """Keep what waits, and let everything go."""
        try:
            self._recorder.flush()
            self._telling.close()
        finally:
            for source in self._sources:
                source.close()
            self._kept.close()

    def _despite_damage(self, make: Callable[[], _T]) -> _T:
        """What is made from the store, which is set aside if it turns out to be damaged."""
        try:
            return make()
        except DamagedStoreError as fault:
            self._kept.renew(fault)
            return make()

    def _begin_anew(self) -> None:
        """Go on from the store as it is now, with what the recorder had not written yet."""
        self._recorder.flush()
        self._recorder = self._begun()

    def _begun(self) -> Recorder:
        """A recorder that takes up where the store left off."""
        config = self._config
        return Recorder(
            self._kept.holding,
            self._sources,
            self._timekeeper.now,
            config.places,
            config.channels,
            config.styles,
            self._words,
            config.tunings,
            config.commit_every,
        )

    def _own(self) -> Iterator[Condition]:
        """What is abnormal with the recorder itself."""
        yield from self._kept.conditions()
        yield from self._telling.conditions()

    def _afterwards(self) -> None:
        """Whatever goes by a step that is done: its readings are committed, or held in memory."""
        alarms, time = self._recorder.alarms.values(), self._timekeeper
        kept = self._kept.holding.trouble is None
        self._telling.after_step(alarms, time.now(), time.sure, kept)
        if (dairy := self._recorder.dairy) is not None:
            self._telling.publish(dairy, self._recorder.latest, alarms)

    def _settle(self) -> None:
        """Write all there is; raise UnwritableStoreError if that cannot be."""
        self._recorder.gather()
        if self._kept.holding.trouble is not None:
            raise self._kept.holding.trouble

    def _say(self, trouble: str) -> None:
        """Tell viewers what no store can tell them; where even that fails, they see it is old."""
        if trouble != self._trouble:
            with contextlib.suppress(StoreError):
                self._lock.say(trouble)
                self._trouble = trouble

    def _when(self) -> str:
        """The present, fit for a file's name."""
        return f"{clock.local(clock.now(), clock.zone(self._config.zone)):%Y-%m-%dT%H%M%S}"

    def _tell_of_sources(self) -> None:
        """Keep for viewers what each sensor says of itself, where that changed."""
        for source in self._sources:
            condition = source.condition()
            text = "" if condition.connected else f"{source.name}: {condition.text}"
            if self._said.get(source.name) != text:
                self._kept.holding.put_meta(SENSOR + source.name, text)
                self._said[source.name] = text
