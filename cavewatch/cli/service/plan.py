"""From a config to the steps that make a service of it, or undo that."""

from collections.abc import Iterator
from pathlib import Path

from cavewatch.cli.service.files import MODULES, SYSUSERS, UDEV, USER
from cavewatch.cli.service.steps import Called, Removed, Step, Written
from cavewatch.cli.service.unit import STATE, read_files, unit
from cavewatch.config import SERVICE_CONFIG, Config

NAME = "cavewatch.service"
_SYSUSERS = Path("/etc/sysusers.d/cavewatch.conf")
_MODULES = Path("/etc/modules-load.d/cavewatch.conf")
_UDEV = Path("/etc/udev/rules.d/60-cavewatch.rules")
_UNIT = Path("/etc/systemd/system") / NAME

_RELOAD_PORTS = (
    Called(("udevadm", "control", "--reload"), needed=False),
    Called(("udevadm", "trigger", "--subsystem-match=tty"), needed=False),
)
_RELOAD_UNITS = Called(("systemctl", "daemon-reload"))

_HIDDEN = tuple(map(Path, ("/home", "/root", "/tmp", "/var/tmp", "/run/user")))
"""What the service does not see, or cannot rely on."""


def written(config: Config, program: tuple[str, ...]) -> tuple[Written, ...]:
    """The files of the service, the user's first; the config is not among them."""
    return (
        Written(_SYSUSERS, SYSUSERS),
        Written(_MODULES, MODULES),
        Written(_UDEV, UDEV),
        Written(_UNIT, unit(config, program)),
    )


def installing(
    config: Config, text: str | None, program: tuple[str, ...], maker: str | None
) -> Iterator[Step]:
    """All that makes the service, in order.

    Args:
        config: as the service will read it.
        text: of the config file; None if it is in its place already.
        program: the words that start `cavewatch`.
        maker: who is to look at the dairy and to make entries; None for nobody.
    """
    users, modules, udev, service = written(config, program)
    yield users
    yield Called(("systemd-sysusers", str(users.path)))
    if maker is not None:
        yield Called(("usermod", "--append", "--groups", USER, maker))
    if text is not None:
        yield Written(SERVICE_CONFIG, text, 0o640, USER)
    else:
        yield Called(("chgrp", USER, str(SERVICE_CONFIG)))
        yield Called(("chmod", "0640", str(SERVICE_CONFIG)))
    folder = config.store_path.parent
    if folder != STATE:
        owner = ("-o", USER, "-g", USER, "-m", "2770")
        yield Called(("install", "-d", *owner, str(folder)))
    yield modules
    yield Called(("systemctl", "restart", "systemd-modules-load.service"), needed=False)
    yield udev
    yield from _RELOAD_PORTS
    yield service
    yield _RELOAD_UNITS
    yield Called(("systemctl", "enable", NAME))
    yield Called(("systemctl", "restart", NAME))


def removing() -> Iterator[Step]:
    """All that ends the service; config, store, user and group stay."""
    yield Called(("systemctl", "disable", "--now", NAME), needed=False)
    for path in (_UNIT, _UDEV, _MODULES, _SYSUSERS):
        yield Removed(path)
    yield _RELOAD_UNITS
    yield from _RELOAD_PORTS


def objections(config: Config, program: tuple[str, ...]) -> Iterator[str]:
    """Why this cannot be a service yet, each in one sentence that says what to do."""
    for file in (Path(program[0]), Path(program[0]).resolve()):
        if _hidden(file):
            yield (
                f"the service cannot run {file}, which is in a folder of its own users; set "
                "Cavewatch up in /opt/cavewatch, as the README says"
            )
            break
    if _hidden(config.store_path) or config.store_path.is_relative_to("/etc"):
        yield (
            f"[store] path: the service cannot write to {config.store_path}; leave the key out "
            f"for {STATE}, or write a whole path on a disk of your own"
        )
    for file in read_files(config):
        if _hidden(file) and not file.is_relative_to("/home"):
            yield f"the service cannot see {file}; put it elsewhere, such as into {STATE}"


def _hidden(path: Path) -> bool:
    return any(path.is_relative_to(folder) for folder in _HIDDEN)
