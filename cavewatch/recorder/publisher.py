"""Readings, alarms and the next work, published at an MQTT broker as they change."""

from collections.abc import Callable, Iterable, Mapping
from typing import TYPE_CHECKING

from cavewatch.core.alarms.alarm import Alarm
from cavewatch.core.broker import BrokerSettings
from cavewatch.core.dairy import Dairy
from cavewatch.core.reading import Channel, Reading
from cavewatch.recorder.topics import level, messages
from sensors.broker import Link

if TYPE_CHECKING:
    from paho.mqtt.client import Client, MQTTMessage

THERE, GONE = "online", "offline"
"""Text of the topic `available`; the broker itself says the second when the recorder is lost."""

_Shown = tuple[Dairy, Mapping[Channel, Reading], tuple[Alarm, ...]]


class Publisher:
    """Keeps the topics of one dairy at the broker as the recorder last showed it.

    Every text is retained, so that who comes later sees it at once. A topic that says
    nothing any more is taken away, also one that an earlier run has left.
    """

    def __init__(self, settings: BrokerSettings, dairy: str, mass: Callable[[float], str]) -> None:
        """Prepare; `dairy` is its name, `mass` gives words for a mass [g]."""
        self._under = f"{settings.prefix}/{level(dairy)}/"
        self._mass = mass
        self._available = f"{self._under}available"
        self._link = Link(settings, "publisher", self, (self._available, GONE))
        self._shown: _Shown | None = None
        self._told: _Shown | None = None
        self._texts: dict[str, str] = {}
        self._sent: dict[str, str] = {}

    def show(
        self, dairy: Dairy, latest: Mapping[Channel, Reading], alarms: Iterable[Alarm]
    ) -> None:
        """Hand over what is known now; called again and again from one thread.

        Args:
            dairy: the picture that was drawn last.
            latest: newest reading of each channel, as it was sent.
            alarms: as they stand.
        """
        first = self._shown is None
        self._shown = dairy, latest, tuple(alarms)
        if first:
            self._link.start()

    def trouble(self) -> str:
        """Why nothing is published, as one sentence; empty if all is well."""
        started = self._shown is not None
        return f"publishing: {self._link.trouble}" if started and self._link.trouble else ""

    def close(self) -> None:
        """Say that the recorder is gone, and part from the broker."""
        self._link.close((self._available, GONE))

    # What the link calls

    def joined(self, client: "Client") -> None:
        """Say everything anew, and look for what an earlier run has left."""
        from paho.mqtt.subscribeoptions import SubscribeOptions  # noqa: PLC0415  an extra

        self._sent, self._told = {}, None
        self._keep(client, self._available, THERE)
        self.beat(client)
        client.subscribe(f"{self._under}#", options=SubscribeOptions(qos=1, noLocal=True))

    def heard(self, client: "Client", message: "MQTTMessage") -> None:
        """Take away what is kept there and nobody says any more."""
        old = message.topic not in self._texts and message.topic != self._available
        if message.retain and old:
            self._keep(client, message.topic, "")

    def beat(self, client: "Client") -> None:
        """Say what has changed."""
        shown = self._shown
        if shown is None or (shown == self._told and self._sent == self._texts):
            return
        found = messages(*shown, self._mass)
        self._told = shown
        self._texts = {self._under + topic: text for topic, text in found.items()}
        for topic in self._sent.keys() - self._texts:
            if not self._keep(client, topic, ""):
                del self._sent[topic]
        for topic, text in self._texts.items():
            # What a slow broker has no room for is left for the next beat.
            if self._sent.get(topic) != text and not self._keep(client, topic, text):
                self._sent[topic] = text

    @staticmethod
    def _keep(client: "Client", topic: str, text: str) -> int:
        """Let the broker keep a text, or none; 0 if that is on its way."""
        return client.publish(topic, text, qos=1, retain=True).rc
