"""A connection to an MQTT broker that is kept up for months: lost, refused, never given up.

MQTT 5, because only there a client says how long a message may be: a broker then holds
back what would fill the memory.
"""

import os
import socket
import ssl
import threading
from typing import TYPE_CHECKING, Protocol

from cavewatch.clock import elapsed
from cavewatch.core.broker import BrokerSettings
from sensors.faults import SensorError, shown

if TYPE_CHECKING:
    from paho.mqtt.client import Client, MQTTMessage
    from paho.mqtt.reasoncodes import ReasonCode

_BEAT = 1.0
"""Longest wait for something to do [s]; messages and closing end it at once."""
_FIRST_PAUSE, _LONGEST_PAUSE = 0.5, 30.0
"""Between attempts to reach the broker, doubling [s]."""
_ANSWERS_WITHIN = 10.0
"""What has not let us in by then is no MQTT broker [s]."""
_KEEP_ALIVE = 30
"""So long after its last sign a broker, or this machine for it, counts as gone [s]."""
_LONGEST = 65_536
"""Longest message that the broker may send [bytes]."""
_QUEUED = 1000
"""Messages that may wait for a slow broker."""
_PATIENCE = 2.0
"""How long closing waits for the thread [s]; it ends with the process in any case."""


class Peer(Protocol):
    """Who talks through a link; only the link's thread calls it."""

    def joined(self, client: "Client") -> None:
        """The broker has let us in, for the first time or again."""

    def heard(self, client: "Client", message: "MQTTMessage") -> None:
        """A message came."""

    def beat(self, client: "Client") -> None:
        """Some time passed, a second at most."""


class Link:
    """One connection, kept up by a thread of its own."""

    def __init__(
        self, settings: BrokerSettings, name: str, peer: Peer, will: tuple[str, str] | None = None
    ) -> None:
        """Prepare; `will` is what the broker keeps as topic and text once the link is lost."""
        self._settings, self._peer, self._will = settings, peer, will
        self._where = f"the MQTT broker {shown(settings.host, 60)}:{settings.port}"
        self.trouble = "not started"
        """Why nothing can come or go, in one sentence fit to be shown; empty if all is well."""
        self._refused = ""
        self._client: Client | None = None
        self._closing = threading.Event()
        self._thread = threading.Thread(target=self._run, name=f"broker of {name}", daemon=True)

    def start(self) -> None:
        """Begin; a broker that is not there yet is waited for."""
        self._thread.start()

    def close(self, last: tuple[str, str] | None = None) -> None:
        """Say a last word, kept by the broker as topic and text, and part from it."""
        self._closing.set()
        client = self._client
        if client is not None:
            if last is not None:
                client.publish(*last, qos=1, retain=True)
            client.disconnect()
        if self._thread.is_alive():
            self._thread.join(_PATIENCE)

    def _run(self) -> None:
        pause = _FIRST_PAUSE
        while not self._closing.is_set():
            # A thread that has died would be a silent sensor for good.
            try:
                self._stay()
            except Exception as fault:
                words = _why(fault)
            else:
                words = "the connection was lost"
            if not self.trouble and not self._refused:
                pause = _FIRST_PAUSE
            self.trouble = f"waiting for {self._where}: {self._refused or words}"
            self._client, self._refused = None, ""
            self._closing.wait(pause)
            pause = min(2 * pause, _LONGEST_PAUSE)
        self.trouble = "closed"

    def _stay(self) -> None:
        """Connect, and stay until the connection ends."""
        from paho.mqtt.packettypes import PacketTypes  # noqa: PLC0415  an extra
        from paho.mqtt.properties import Properties  # noqa: PLC0415

        terms = Properties(PacketTypes.CONNECT)  # type: ignore[no-untyped-call]
        terms.MaximumPacketSize = _LONGEST
        self._client = client = self._made()
        try:
            client.connect(self._settings.host, self._settings.port, _KEEP_ALIVE, properties=terms)
            latest = elapsed() + _ANSWERS_WITHIN
            while not client.loop(_BEAT):
                if client.is_connected():
                    self._peer.beat(client)
                elif elapsed() > latest:
                    raise TimeoutError
        finally:
            # After a fault it is not sure that the client has closed it.
            if (held := client.socket()) is not None:
                held.close()

    def _made(self) -> "Client":
        """A client that was never connected, so that nothing of an earlier time is in it."""
        from paho.mqtt.client import Client, MQTTv5  # noqa: PLC0415  an extra
        from paho.mqtt.enums import CallbackAPIVersion  # noqa: PLC0415

        settings = self._settings
        client = Client(CallbackAPIVersion.VERSION2, protocol=MQTTv5)
        client.max_queued_messages_set(_QUEUED)
        # Told that somebody else waits for the socket, it never writes from another thread.
        client.on_socket_register_write = lambda *_: None
        client.on_connect = self._answered
        client.on_subscribe = self._subscribed
        client.on_publish = self._published
        client.on_message = lambda client, _, message: self._peer.heard(client, message)
        if settings.user:
            client.username_pw_set(settings.user, _password(settings.password_file))
        if settings.tls:
            client.tls_set_context(_trust(settings.ca_file))
        if self._will is not None:
            client.will_set(*self._will, qos=1, retain=True)
        return client

    def _answered(
        self, client: "Client", _data: object, _flags: object, reason: "ReasonCode", _more: object
    ) -> None:
        if reason.is_failure:
            self._refused = (
                f"it refuses ({shown(str(reason))}); are user and password right, "
                "and does it speak MQTT 5?"
            )
            return
        self.trouble = ""
        self._peer.joined(client)

    def _subscribed(
        self,
        client: "Client",
        _data: object,
        _number: int,
        reasons: "list[ReasonCode]",
        _more: object,
    ) -> None:
        if any(reason.is_failure for reason in reasons):
            self._refused = "it does not let this user read the topic; change its access rules"
            client.disconnect()

    def _published(
        self, client: "Client", _data: object, _number: int, reason: "ReasonCode", _more: object
    ) -> None:
        if reason.is_failure:
            self._refused = "it does not let this user publish there; change its access rules"
            client.disconnect()


def _password(file: str) -> str | None:
    """The first line of the file; None for no file."""
    if not file:
        return None
    try:
        with open(file, encoding="utf-8") as opened:
            return opened.readline(1000).rstrip("\r\n")
    except (OSError, UnicodeDecodeError) as fault:
        words = fault.strerror if isinstance(fault, OSError) else "it is not text"
        raise SensorError(f"the password file {shown(file, 80)} cannot be read: {words}") from None


def _trust(ca_file: str) -> ssl.SSLContext:
    """What a broker's certificate is held against."""
    try:
        return ssl.create_default_context(cafile=ca_file or None)
    except (OSError, ValueError) as fault:
        absent = isinstance(fault, FileNotFoundError)
        words = "it is not there" if absent else "it is no certificate in PEM form"
        raise SensorError(f"ca_file {shown(ca_file, 80)} cannot be used: {words}") from None


def _why(fault: Exception) -> str:
    """What keeps the broker from being reached, and what a person can do about it."""
    if isinstance(fault, SensorError):
        return str(fault)
    if isinstance(fault, ImportError):
        return "the package paho-mqtt is missing; install Cavewatch with its extra 'mqtt'"
    if isinstance(fault, ssl.SSLCertVerificationError):
        return (
            f"its certificate is not trusted ({shown(fault.verify_message)}); "
            "name the one that vouches for it as ca_file"
        )
    if isinstance(fault, ssl.SSLError | ConnectionResetError):
        return "it hung up at once; do port and tls fit together?"
    if isinstance(fault, socket.gaierror):
        return "no machine of this name is known; is the network there, and host right?"
    if isinstance(fault, TimeoutError):
        return "no answer; is the port right?"
    if isinstance(fault, OSError) and fault.errno:
        return os.strerror(fault.errno)
    return shown(str(fault), 80)
