"""The recorder with a one-wire probe: from the kernel's file into the store."""

import threading
import time
from pathlib import Path

from cavewatch.cli.live import SENSOR
from cavewatch.cli.record import run
from cavewatch.config import parse
from cavewatch.core.reading import Channel, Quantity
from cavewatch.store import Store

CONFIG = """\
[dairy]
name = "Test dairy (invented)"
zone = "UTC"
[store]
path = "dairy.sqlite"
commit_every = 1
[[place]]
name = "tub"
kind = "tray"
[[one_wire]]
name = "dip"
file = "{probe}"
channel = "tub.temperature"
every = 1
[[modbus]]
name = "wire"
port = "/dev/no-such-adapter"
[[modbus.slave]]
id = 1
registers = "tenths"
[modbus.slave.fields]
humidity = "tub.humidity"
"""


def test_a_probe_is_recorded_and_an_absent_wire_is_told(tmp_path: Path) -> None:
    probe = tmp_path / "w1_slave"
    nine = "b8 00 4b 46 7f ff 0c 10 1e"
    probe.write_text(f"{nine} : crc=1e YES\n{nine} t=11500\n")
    config = parse(CONFIG.format(probe=probe), tmp_path / "my.toml")
    ended = threading.Event()
    recorder = threading.Thread(target=run, args=(config, ended))
    store = Store.open(config.store_path)
    recorder.start()
    try:
        channel = Channel("tub", Quantity.TEMPERATURE)
        deadline = time.monotonic() + 60.0
        while not (readings := store.readings(channel, 0.0, 1e12)):
            assert time.monotonic() < deadline
            time.sleep(0.05)
        while not (said := store.meta(SENSOR + "wire")):
            assert time.monotonic() < deadline
            time.sleep(0.05)
    finally:
        ended.set()
        recorder.join()
        store.close()
    assert readings[0].value == 11.5
    assert said == "wire: waiting for /dev/no-such-adapter: no such device"
