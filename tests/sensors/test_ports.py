"""Ports plugged in, and what is said of one that cannot be read."""

import errno
from types import SimpleNamespace

import pytest

from sensors.port import trouble
from sensors.ports import PortFound, serial_ports


def test_each_port_comes_with_a_clean_description_and_its_stable_path(tmp_path, monkeypatch):
    devices = tmp_path / "dev"
    by_id, by_path, ours = tmp_path / "by-id", tmp_path / "by-path", tmp_path / "cavewatch"
    for folder in (devices, by_id, by_path, ours):
        folder.mkdir()
    for name in ("ttyUSB0", "ttyUSB1", "ttyS0"):
        (devices / name).touch()
    (by_id / "usb-adapter").symlink_to(devices / "ttyUSB0")
    (by_path / "usb-0").symlink_to(devices / "ttyUSB0")
    (by_path / "usb-1").symlink_to(devices / "ttyUSB1")
    (by_path / "usbv2-1").symlink_to(devices / "ttyUSB1")
    (ours / "usb-1-1").symlink_to(devices / "ttyUSB1")
    (ours / "usb-1-2\x1b[2J").symlink_to(devices / "ttyS0")
    plugged = [
        SimpleNamespace(device=str(devices / "ttyUSB1"), description="\x1b[31mAdapter\x07 [b]2"),
        SimpleNamespace(device=str(devices / "ttyUSB0"), description="Adapter"),
        SimpleNamespace(device=str(devices / "ttyS0"), description="n/a"),
    ]
    monkeypatch.setattr("serial.tools.list_ports.comports", lambda: plugged)
    found = serial_ports(links=(by_id, by_path, ours))
    assert found == [
        PortFound(str(devices / "ttyS0"), "n/a", ()),
        PortFound(
            str(devices / "ttyUSB0"),
            "Adapter",
            (str(by_id / "usb-adapter"), str(by_path / "usb-0")),
        ),
        PortFound(
            str(devices / "ttyUSB1"),
            "Adapter? (b)2",
            (str(by_path / "usb-1"), str(ours / "usb-1-1")),
        ),
    ]
    assert [port.lasting for port in found] == [
        str(devices / "ttyS0"),
        str(by_id / "usb-adapter"),
        str(by_path / "usb-1"),
    ]


def test_a_machine_without_links_still_lists_its_ports(tmp_path, monkeypatch):
    monkeypatch.setattr("serial.tools.list_ports.comports", list)
    assert serial_ports(links=(tmp_path / "by-id",)) == []


@pytest.mark.parametrize(
    ("fault", "lost", "words"),
    [
        (OSError(errno.ENOENT, ""), False, "no such device"),
        (OSError(errno.EACCES, ""), False, "permission denied; add the user to the group dialout"),
        (OSError(errno.EAGAIN, ""), False, "another program has it open"),
        (OSError(errno.EPERM, ""), False, "Operation not permitted"),
        (OSError(errno.EIO, ""), True, "the connection was lost; was it unplugged?"),
        (ValueError("Not a valid baudrate: -1\x1b[2J"), False, "Not a valid baudrate: -1"),
    ],
)
def test_what_keeps_a_port_from_being_read_is_said_in_words(fault, lost, words):
    said = trouble("/dev/ttyUSB0", fault, lost)
    assert said.startswith(f"waiting for /dev/ttyUSB0: {words}")
    assert said.isprintable()
