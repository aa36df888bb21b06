"""The systemd unit and what stands beside it, held against systemd's own tools."""

import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from cavewatch.cli.service.files import MODULES, SYSUSERS, UDEV
from cavewatch.cli.service.plan import objections
from cavewatch.cli.service.unit import unit, word
from cavewatch.config import SERVICE_CONFIG, SERVICE_STORE, Config, parse

DAIRY = '[dairy]\nname = "Test"\nzone = "UTC"\n[[place]]\nname = "cave"\nkind = "cave"\n'
PROGRAM = (sys.executable, "-I", "-m", "cavewatch")
NOTICE = '[[notice]]\nname = "lamp"\ncommand = ["/bin/true"]\n'
MQTT = '[mqtt]\nhost = "localhost"\n'
BEAT_FILE = '[heartbeat]\nfile = "/run/cavewatch/alive"\n'
BEAT_COMMAND = '[heartbeat]\ncommand = ["/bin/true"]\n'

analyze = pytest.mark.skipif(
    shutil.which("systemd-analyze") is None, reason="systemd-analyze is not installed"
)


def served(*more: str) -> Config:
    return parse(DAIRY + "".join(more), SERVICE_CONFIG)


def settings(text: str) -> list[str]:
    return [line for line in text.splitlines() if line and not line.startswith("#")]


def exposure(tmp_path: Path, text: str) -> float:
    file = tmp_path / "cavewatch.service"
    file.write_text(text)
    done = subprocess.run(
        ["systemd-analyze", "security", "--offline=true", "--no-pager", str(file)],
        capture_output=True,
        text=True,
        check=True,
    )
    found = re.search(r"Overall exposure level for cavewatch.service: ([\d.]+)", done.stdout)
    assert found is not None, done.stdout
    return float(found[1])


@analyze
@pytest.mark.parametrize("more", ["", MQTT, NOTICE, BEAT_FILE, BEAT_COMMAND])
def test_systemd_finds_nothing_wrong_with_the_unit(tmp_path: Path, more: str) -> None:
    file = tmp_path / "cavewatch.service"
    file.write_text(unit(served(more), PROGRAM))
    done = subprocess.run(
        ["systemd-analyze", "verify", "--man=no", str(file)],
        capture_output=True,
        text=True,
        check=False,
    )
    assert (done.returncode, done.stdout, done.stderr) == (0, "", "")


@analyze
def test_the_unit_leaves_little_exposed(tmp_path: Path) -> None:
    assert exposure(tmp_path, unit(served(), PROGRAM)) <= 1.5
    assert exposure(tmp_path, unit(served(MQTT), PROGRAM)) <= 2.5


@pytest.mark.parametrize(
    ("more", "why"),
    [
        (MQTT, "[mqtt]"),
        (NOTICE, "[[notice]]"),
        (BEAT_COMMAND, "the command of [heartbeat]"),
        (MQTT + NOTICE, "[mqtt], [[notice]]"),
    ],
)
def test_the_network_is_there_for_what_needs_it(more: str, why: str) -> None:
    text = unit(served(more), PROGRAM)
    assert f"the network: {why}." in text
    assert "PrivateNetwork=yes" not in settings(text)
    assert "RestrictAddressFamilies=AF_UNIX AF_INET AF_INET6" in settings(text)


@pytest.mark.parametrize("more", ["", BEAT_FILE])
def test_and_for_nothing_else(more: str) -> None:
    text = unit(served(more), PROGRAM)
    assert "PrivateNetwork=yes" in settings(text)
    assert "RestrictAddressFamilies=AF_UNIX" in settings(text)


def test_the_unit_lets_the_recorder_tell_whether_the_clock_is_set() -> None:
    lines = settings(unit(served(), PROGRAM))
    # What systemd's own list of clock calls would refuse comes back after it.
    refused = lines.index("SystemCallFilter=~@privileged @resources")
    assert lines.index("SystemCallFilter=adjtimex clock_adjtime clock_adjtime64") > refused
    assert not any(line.startswith(("ProtectClock=", "ProcSubset=")) for line in lines)
    assert "CapabilityBoundingSet=" in lines


def test_the_service_is_watched_and_never_given_up() -> None:
    lines = settings(unit(served(), PROGRAM))
    for line in ("Type=notify", "WatchdogSec=180", "Restart=always", "StartLimitIntervalSec=0"):
        assert line in lines
    [start] = [line for line in lines if line.startswith("ExecStart=")]
    assert start == (
        f"ExecStart={sys.executable} -I -m cavewatch --config /etc/cavewatch/config.toml record"
    )


def test_the_group_shares_the_store() -> None:
    lines = settings(unit(served(), PROGRAM))
    assert {"StateDirectory=cavewatch", "StateDirectoryMode=2770", "UMask=0007"} <= set(lines)
    assert served().store_path == SERVICE_STORE == Path("/var/lib/cavewatch/cavewatch.sqlite")


def test_a_store_and_a_heartbeat_elsewhere_may_be_written(tmp_path: Path) -> None:
    disk = tmp_path / "cheese disk"
    disk.mkdir()
    store = f'[store]\npath = "{disk}/d.sqlite"\n'
    lines = settings(unit(served(store, '[heartbeat]\nfile = "/srv/beat/alive"\n'), PROGRAM))
    assert f'ReadWritePaths="{disk}"' in lines
    assert f'RequiresMountsFor="{disk}"' in lines
    assert "ReadWritePaths=-/srv/beat" in lines
    assert "RuntimeDirectory=cavewatch" in settings(unit(served(BEAT_FILE), PROGRAM))


def test_words_of_the_unit_are_quoted() -> None:
    assert word("/opt/cavewatch/bin/python") == "/opt/cavewatch/bin/python"
    assert word('/a b/100 % "x"') == '"/a b/100 %% \\"x\\""'


def test_what_the_service_could_not_run_write_or_see_is_told() -> None:
    home = ("/home/maker/cavewatch/bin/python", "-m", "cavewatch")
    good = ("/opt/cavewatch/bin/python", "-m", "cavewatch")
    assert list(objections(served(), good)) == []
    [program] = objections(served(), home)
    assert "cannot run /home/maker/cavewatch/bin/python" in program
    [store] = objections(served('[store]\npath = "/tmp/d.sqlite"\n'), good)
    assert "cannot write to /tmp/d.sqlite" in store
    probe = '[[one_wire]]\nname = "p"\nfile = "/root/w1_slave"\nchannel = "cave.temperature"\n'
    [file] = objections(served(probe), good)
    assert "cannot see /root/w1_slave" in file


def test_a_file_in_a_home_folder_may_be_read_and_not_written() -> None:
    probe = '[[one_wire]]\nname = "p"\nfile = "/home/m/w1"\nchannel = "cave.temperature"\n'
    assert "ProtectHome=read-only" in settings(unit(served(probe), PROGRAM))
    assert "ProtectHome=yes" in settings(unit(served(), PROGRAM))


@pytest.mark.skipif(shutil.which("systemd-sysusers") is None, reason="no systemd-sysusers")
def test_systemd_can_make_the_user(tmp_path: Path) -> None:
    file = tmp_path / "cavewatch.conf"
    file.write_text(SYSUSERS)
    (tmp_path / "root/etc").mkdir(parents=True)
    subprocess.run(
        ["systemd-sysusers", f"--root={tmp_path / 'root'}", str(file)],
        check=True,
        capture_output=True,
    )
    made = (tmp_path / "root/etc/passwd").read_text()
    assert re.search(r"^cavewatch:.*:/var/lib/cavewatch:\S*nologin$", made, re.MULTILINE)
    assert "cavewatch:" in (tmp_path / "root/etc/group").read_text()


def test_the_drivers_of_the_permitted_ports_are_loaded_at_start() -> None:
    assert settings(MODULES) == ["usbserial", "cdc_acm"]


# A bus with an adapter of two ports and a board, as the kernel shows them below /sys; udev is
# asked in a file system of its own what it would call them.
_UDEV_SCRIPT = r"""
set -e
S=$1/sys; B=$S/devices/platform/usb1/1-1
mkdir -p $S/class/tty $S/bus/usb $S/bus/usb-serial $S/dev/char
device() { # folder, subsystem
    mkdir -p $1; ln -sfn $(realpath --relative-to=$1 $S/$2) $1/subsystem; }
device $B/1-1.3 bus/usb; echo DEVTYPE=usb_device > $B/1-1.3/uevent
device $B/1-1.3/1-1.3:1.0 bus/usb; echo DEVTYPE=usb_interface > $B/1-1.3/1-1.3:1.0/uevent
for n in 0 1; do
    P=$B/1-1.3/1-1.3:1.0/ttyUSB$n
    device $P bus/usb-serial; echo > $P/uevent; echo $n > $P/port_number
    device $P/tty/ttyUSB$n class/tty
    printf "MAJOR=188\nMINOR=$n\nDEVNAME=ttyUSB$n\n" > $P/tty/ttyUSB$n/uevent
    ln -s $(realpath --relative-to=$S/class/tty $P/tty/ttyUSB$n) $S/class/tty/ttyUSB$n
done
P=$B/1-1.2/1-1.2:1.0
device $B/1-1.2 bus/usb; echo DEVTYPE=usb_device > $B/1-1.2/uevent
device $P bus/usb; echo DEVTYPE=usb_interface > $P/uevent
device $P/tty/ttyACM0 class/tty
printf "MAJOR=166\nMINOR=0\nDEVNAME=ttyACM0\n" > $P/tty/ttyACM0/uevent
ln -s $(realpath --relative-to=$S/class/tty $P/tty/ttyACM0) $S/class/tty/ttyACM0
mount -t tmpfs run /run
mkdir -p /run/udev/rules.d
cp $1/60-cavewatch.rules /run/udev/rules.d
mount -t tmpfs dev /dev
mount --bind $S /sys
export SYSTEMD_DEVICE_VERIFY_SYSFS=0
for t in ttyUSB0 ttyUSB1 ttyACM0; do $2 test /sys/class/tty/$t 2>&1; done
"""


def test_udev_names_ports_by_their_sockets(tmp_path: Path) -> None:
    udevadm = shutil.which("udevadm")
    if udevadm is None:
        pytest.skip("udevadm is not installed")
    if subprocess.run(["unshare", "--mount", "true"], capture_output=True, check=False).returncode:
        pytest.skip("no file system of its own may be made here")
    (tmp_path / "60-cavewatch.rules").write_text(UDEV)
    done = subprocess.run(
        ["unshare", "--mount", "bash", "-c", _UDEV_SCRIPT, "-", str(tmp_path), udevadm],
        capture_output=True,
        text=True,
        check=False,
    )
    assert "Invalid" not in done.stdout
    assert re.findall(r"^DEVLINKS=(.*)", done.stdout, re.MULTILINE) == [
        "/dev/cavewatch/usb-1-1.3:1.0-port0",
        "/dev/cavewatch/usb-1-1.3:1.0-port1",
        "/dev/cavewatch/usb-1-1.2:1.0",
    ]
