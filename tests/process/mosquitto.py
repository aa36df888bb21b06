"""A real broker on a port of the loopback that the kernel chose, for one test."""

import shutil
import socket
import subprocess
import threading
import time
from pathlib import Path

from paho.mqtt.client import Client, MQTTv5
from paho.mqtt.enums import CallbackAPIVersion

PROGRAM = shutil.which("mosquitto") or shutil.which("mosquitto", path="/usr/sbin")
WITHIN = 60.0
"""Only reached by a failure [s]."""


def until(reached):
    """Wait for a condition and give its value."""
    end = time.monotonic() + WITHIN
    while not (value := reached()):
        assert time.monotonic() < end, f"not reached within {WITHIN} s"
        time.sleep(0.01)
    return value


def free_port():
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return probe.getsockname()[1]


class Broker:
    """Started, killed and started again on the same port."""

    def __init__(self, folder: Path, more: str = "allow_anonymous true\n"):
        self.port = free_port()
        self._config = folder / "mosquitto.conf"
        self._config.write_text(f"listener {self.port} 127.0.0.1\npersistence false\n{more}")
        self._process = None

    def start(self):
        self._process = subprocess.Popen(
            [PROGRAM, "-c", self._config], stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL
        )
        until(self._listens)

    def kill(self):
        if self._process is not None:
            self._process.kill()
            self._process.wait()
            self._process = None

    def _listens(self):
        assert self._process.poll() is None, "mosquitto has ended"
        try:
            socket.create_connection(("127.0.0.1", self.port), 1.0).close()
        except OSError:
            return False
        return True


class Visitor:
    """Another program at the broker: sends, and hears everything."""

    def __init__(self, port, topics="#"):
        self.heard = []
        self._joined = threading.Event()
        self._client = Client(CallbackAPIVersion.VERSION2, protocol=MQTTv5)
        self._client.on_connect = lambda client, *_: client.subscribe(topics, 1)
        self._client.on_subscribe = lambda *_: self._joined.set()
        self._client.on_message = lambda _client, _data, message: self.heard.append(message)
        self._client.connect("127.0.0.1", port)
        self._client.loop_start()
        assert self._joined.wait(WITHIN)

    def send(self, topic, payload, retain=False):
        self._client.publish(topic, payload, qos=1, retain=retain).wait_for_publish(WITHIN)

    def kept(self):
        """What stands on each topic now, as text."""
        standing = {message.topic: message.payload.decode() for message in self.heard}
        return {topic: text for topic, text in standing.items() if text}

    def leave(self):
        self._client.disconnect()
        self._client.loop_stop()
