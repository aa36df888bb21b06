"""A sensor that sends its readings to an MQTT broker."""

from collections import deque
from typing import TYPE_CHECKING

from cavewatch.clock import Clock
from cavewatch.core.reading import Reading
from cavewatch.core.sensor import TopicSettings
from sensors.broker import Link
from sensors.decode import LineDecoder
from sensors.source import SourceCondition

if TYPE_CHECKING:
    from paho.mqtt.client import Client, MQTTMessage

_KEPT = 10_000
"""Readings kept for a caller that does not take them; then the oldest go."""


class TopicSource:
    """Readings from the messages of one topic.

    A message that the broker had kept from before is no reading: nobody knows how
    old it is, and a sensor that has died would seem to live.
    """

    def __init__(self, settings: TopicSettings, clock: Clock) -> None:
        self.name = settings.name
        self._topic, self._clock = settings.topic, clock
        self._decoder = LineDecoder(settings)
        self._readings: deque[Reading] = deque(maxlen=_KEPT)
        self._heard_at: float | None = None
        self._link = Link(settings.broker, settings.name, self)

    def start(self) -> None:
        """Begin to listen; a broker that is not there yet is waited for."""
        self._link.start()

    def take(self) -> list[Reading]:
        """Everything that came since the last call, oldest first."""
        return [self._readings.popleft() for _ in range(len(self._readings))]

    def condition(self) -> SourceCondition:
        """How the connection is now, and what could not be read."""
        trouble, rejected = self._link.trouble, self._decoder.rejected
        text = trouble or "connected"
        if not trouble and self._heard_at is None and not rejected:
            text += "; no message has come yet"
        elif not trouble and rejected:
            messages = "1 message" if rejected == 1 else f"{rejected} messages"
            reason = self._decoder.last_rejection
            text += f"; {messages} could not be read, the last because {reason}"
        return SourceCondition(not trouble, text, self._heard_at, rejected)

    def close(self) -> None:
        """Part from the broker."""
        self._link.close()

    # What the link calls

    def joined(self, client: "Client") -> None:
        """Ask for the topic, and for nothing from before."""
        from paho.mqtt.subscribeoptions import SubscribeOptions  # noqa: PLC0415  an extra

        fresh = SubscribeOptions(qos=1, retainHandling=SubscribeOptions.RETAIN_DO_NOT_SEND)
        client.subscribe(self._topic, options=fresh)

    def heard(self, _client: "Client", message: "MQTTMessage") -> None:
        """Take one message."""
        if message.retain:
            return
        at = self._clock()
        if readings := self._decoder.message(bytes(message.payload), at):
            self._readings.extend(readings)
            self._heard_at = at

    def beat(self, client: "Client") -> None:
        """Nothing is to be done."""
