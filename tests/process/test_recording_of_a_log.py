"""The recorder with a log that grows: rows from while it did not run are kept too."""

import threading
from collections.abc import Iterator
from contextlib import closing, contextmanager
from datetime import UTC, datetime
from pathlib import Path

from mosquitto import until

from cavewatch.cli.record import run
from cavewatch.clock import now
from cavewatch.config import Config, parse
from cavewatch.core.reading import Channel, Quantity
from cavewatch.store import Store

CONFIG = """\
[dairy]
name = "Test dairy (invented)"
zone = "UTC"
[clock]
always_right = true
[store]
path = "dairy.sqlite"
commit_every = 1
[[place]]
name = "cave"
kind = "cave"
temperature = [10, 13]
[[follow]]
name = "logger"
file = "log.csv"
every = 60
[follow.fields]
T = "cave.temperature"
[tuning."cave.temperature"]
on_delay = 0
off_delay = 0
"""
WARMTH = Channel("cave", Quantity.TEMPERATURE)


@contextmanager
def recorded(config: Config) -> Iterator[None]:
    ended = threading.Event()
    recorder = threading.Thread(target=run, args=(config, ended))
    recorder.start()
    try:
        yield
    finally:
        ended.set()
        recorder.join()


def test_rows_of_a_time_without_a_recorder_are_kept_and_raise_their_alarm(tmp_path: Path) -> None:
    log, began = tmp_path / "log.csv", now() - 3600.0

    def add(minute: int, value: float) -> float:
        at = round(began) + 60.0 * minute
        with log.open("a") as file:
            file.write(f"{datetime.fromtimestamp(at, UTC):%Y-%m-%dT%H:%M:%S},{value}\n")
        return at

    log.write_text("time,T\n")
    old = add(0, 12.0)
    config = parse(CONFIG, tmp_path / "my.toml")
    with closing(Store.open(config.store_path)) as store:

        def kept() -> dict[float, float | None]:
            return {reading.at: reading.value for reading in store.readings(WARMTH, 0.0, 1e12)}

        with recorded(config):
            until(lambda: store.meta("sensor logger") == "")
            first = add(1, 12.1)
            until(lambda: first in kept())
        away = [add(minute, 12.2 if minute < 20 else 13.4) for minute in range(2, 40)]
        with recorded(config):
            until(lambda: away[-1] in kept())
            until(lambda: "cave.temperature high" in store.alarms())
        assert list(kept()) == [first, *away]
        assert old not in kept()
        assert store.alarms()["cave.temperature high"].since == away[18]
