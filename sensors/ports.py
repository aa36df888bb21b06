"""Which serial ports are plugged in."""

from dataclasses import dataclass
from pathlib import Path

from sensors.faults import shown

_LINKS = (Path("/dev/serial/by-id"), Path("/dev/serial/by-path"))
"""Kept by udev: by the adapter's own number, else by the socket that it is plugged into."""


@dataclass(frozen=True, slots=True)
class PortFound:
    """A serial port of this machine."""

    device: str
    """Path that may change when adapters are plugged in in another order."""
    description: str
    """What the adapter says of itself, fit to be shown."""
    stable: str | None
    """Path for the settings that stays the same, if udev keeps one."""


def serial_ports(links: tuple[Path, ...] = _LINKS) -> list[PortFound]:
    """The ports, by device path.

    Args:
        links: folders of links to the devices, the preferred one first.
    """
    from serial.tools.list_ports import comports  # noqa: PLC0415  imported by the few who look

    stable = _links_by_device(links)
    found = (PortFound(p.device, shown(p.description), stable.get(p.device)) for p in comports())
    return sorted(found, key=lambda port: port.device)


def _links_by_device(folders: tuple[Path, ...]) -> dict[str, str]:
    found: dict[str, str] = {}
    for folder in folders:
        for link in sorted(folder.iterdir()) if folder.is_dir() else ():
            if str(link).isprintable():
                found.setdefault(str(link.resolve()), str(link))
    return found
