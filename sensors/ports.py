"""Which serial ports are plugged in."""

from collections import defaultdict
from dataclasses import dataclass
from pathlib import Path

from sensors.faults import shown

_LINKS = (Path("/dev/serial/by-id"), Path("/dev/serial/by-path"), Path("/dev/cavewatch"))
"""Kept by udev: by the adapter's own number, by the socket that it is plugged into, and by the
socket in the words of our service's rule."""


@dataclass(frozen=True, slots=True)
class PortFound:
    """A serial port of this machine."""

    device: str
    """Path that may change when adapters are plugged in in another order."""
    description: str
    """What the adapter says of itself, fit to be shown."""
    stable: tuple[str, ...]
    """Paths for the settings that stay the same, as far as udev keeps any; the preferred first."""

    @property
    def lasting(self) -> str:
        """The path for the settings."""
        return self.stable[0] if self.stable else self.device


def serial_ports(links: tuple[Path, ...] = _LINKS) -> list[PortFound]:
    """The ports, by device path.

    Args:
        links: folders of links to the devices, the preferred one first.
    """
    from serial.tools.list_ports import comports  # noqa: PLC0415  imported by the few who look

    stable = _links_by_device(links)
    found = (PortFound(p.device, shown(p.description), tuple(stable[p.device])) for p in comports())
    return sorted(found, key=lambda port: port.device)


def _links_by_device(folders: tuple[Path, ...]) -> defaultdict[str, list[str]]:
    """One link from each folder that has any."""
    found: defaultdict[str, list[str]] = defaultdict(list)
    for folder in folders:
        links = sorted(folder.iterdir()) if folder.is_dir() else ()
        # The first by name counts, so it comes last.
        here = {
            str(link.resolve()): str(link) for link in reversed(links) if str(link).isprintable()
        }
        for device, link in here.items():
            found[device].append(link)
    return found
