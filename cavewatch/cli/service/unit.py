"""The systemd unit: what the recorder may do as a service, and no more."""

from collections.abc import Iterator
from pathlib import Path

from cavewatch.config import SERVICE_CONFIG, SERVICE_STORE, Config

STATE = SERVICE_STORE.parent
RUN = Path("/run/cavewatch")
"""For a heartbeat's file."""
_HOME = Path("/home")

_UNIT = """\
[Unit]
Description=Cavewatch recorder: reads sensors, keeps the record, raises alarms
After=systemd-modules-load.service{after}
# However often it fails, it is tried again: nobody may be there to start it.
StartLimitIntervalSec=0
{mounts}
[Service]
Type=notify
NotifyAccess=main
ExecStart={program} --config {config} record
Restart=always
RestartSec=5
# The recorder answers from the thread that keeps the readings. Three minutes leave a slow card
# and the countdowns of many wheels their time.
WatchdogSec=180
TimeoutStartSec=300
TimeoutStopSec=60
SyslogIdentifier=cavewatch
Environment=OMP_NUM_THREADS=1
OOMScoreAdjust=-500

# A user and group that stay, so that viewers in the group can share the store.
User=cavewatch
Group=cavewatch
SupplementaryGroups=dialout
UMask=0007
StateDirectory=cavewatch
StateDirectoryMode=2770
{writable}
# Serial ports and no other device; one-wire probes are files below /sys, which can be read.
DevicePolicy=closed
DeviceAllow=char-ttyUSB rw
DeviceAllow=char-ttyACM rw
DeviceAllow=char-ttyAMA rw
DeviceAllow=char-ttyS rw

{network}
# Everything but the state is read-only. /run/systemd/timesync tells whether the clock is set.
ProtectSystem=strict
ProtectHome={home}
PrivateTmp=yes
PrivateMounts=yes
ReadOnlyPaths=-/run/systemd/timesync
ProtectKernelTunables=yes
ProtectKernelModules=yes
ProtectKernelLogs=yes
ProtectControlGroups=yes
ProtectHostname=yes
# ProcSubset=pid would hide /proc/sys/kernel/random/boot_id, by which times are placed.
ProtectProc=invisible
# ProtectClock would also refuse to tell whether the clock is set (adjtimex). Without capabilities
# it cannot be changed anyway.
CapabilityBoundingSet=
AmbientCapabilities=
NoNewPrivileges=yes
LockPersonality=yes
MemoryDenyWriteExecute=yes
RemoveIPC=yes
RestrictNamespaces=yes
RestrictRealtime=yes
RestrictSUIDSGID=yes
SystemCallArchitectures=native
SystemCallErrorNumber=EPERM
SystemCallFilter=@system-service
SystemCallFilter=~@privileged @resources
SystemCallFilter=adjtimex clock_adjtime clock_adjtime64

[Install]
WantedBy=multi-user.target
"""

_NO_NETWORK = """\
# The config asks for no network, so there is none.
PrivateNetwork=yes
RestrictAddressFamilies=AF_UNIX
"""
_NETWORK = """\
# The config asks for the network: {why}.
RestrictAddressFamilies=AF_UNIX AF_INET AF_INET6
"""


def unit(config: Config, program: tuple[str, ...]) -> str:
    """The text of the unit.

    Args:
        config: as the service will read it.
        program: the words that start `cavewatch`.
    """
    why = ", ".join(_network(config))
    outside = config.store_path.parent != STATE
    return _UNIT.format(
        after=" network.target" if why else "",
        mounts=f"RequiresMountsFor={word(config.store_path.parent)}\n" if outside else "",
        program=" ".join(word(part).replace("$", "$$") for part in program),
        config=SERVICE_CONFIG,
        writable="".join(f"{line}\n" for line in _writable(config)),
        network=_NETWORK.format(why=why) if why else _NO_NETWORK,
        home="read-only"
        if any(path.is_relative_to(_HOME) for path in read_files(config))
        else "yes",
    )


def read_files(config: Config) -> list[Path]:
    """Files besides the config that the recorder reads."""
    named = [getattr(sensor, "file", "") for sensor in config.sensors]
    if config.mqtt is not None:
        named += [config.mqtt.password_file, config.mqtt.ca_file]
    return [Path(name) for name in named if name]


def word(text: str | Path) -> str:
    """One word of a unit's line, quoted where need be."""
    plain = str(text).replace("%", "%%")
    if not set(plain) & set(" \t\"'\\;"):
        return plain
    return '"' + plain.replace("\\", "\\\\").replace('"', '\\"') + '"'


def _network(config: Config) -> Iterator[str]:
    """What needs the network; a command of the maker's may, so it counts."""
    if config.mqtt is not None:
        yield "[mqtt]"
    if config.notices:
        yield "[[notice]]"
    if config.heartbeat is not None and config.heartbeat.command:
        yield "the command of [heartbeat]"


def _writable(config: Config) -> Iterator[str]:
    """What may be written besides the state directory."""
    folder = config.store_path.parent
    if folder != STATE:
        yield f"ReadWritePaths={word(folder)}"
    if config.heartbeat is None or not config.heartbeat.file:
        return
    beating = Path(config.heartbeat.file).parent
    if beating == RUN:
        yield f"RuntimeDirectory={RUN.name}"
        yield "RuntimeDirectoryMode=0755"
    elif beating not in (folder, STATE):
        yield f"ReadWritePaths=-{word(beating)}"
