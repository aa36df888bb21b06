"""How to reach an MQTT broker, and what is published there."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class BrokerSettings:
    """The one broker of a dairy."""

    host: str
    """Name or address."""
    port: int
    tls: bool
    """Whether the connection is encrypted, and the broker's certificate checked."""
    ca_file: str
    """Certificate that vouches for the broker's; empty for those that the system trusts."""
    user: str
    """Empty for a broker that lets anybody in."""
    password_file: str
    """Its first line is the password; empty for none."""
    prefix: str
    """First part of the topics that are published."""
    publish: bool
    """Whether readings, alarms and the next work are published."""
