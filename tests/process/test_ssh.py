"""The dashboard over a real SSH login on loopback, and what happens when its connection goes."""

import os
import shlex
import shutil
import socket
import subprocess
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import suppress
from getpass import getuser
from pathlib import Path

import pytest
from premises import ROOT, Premises, Terminal, line, until

from cavewatch.core.reading import Channel, Quantity

SSHD = shutil.which("sshd") or shutil.which("sshd", path="/usr/sbin:/usr/local/sbin")
CAVE = Channel("cave", Quantity.TEMPERATURE)
STANDS_STILL = 5.0
"""Who draws nothing for so long after a change of the window's size waits for the link [s]."""
LEAST_THAT_WAITS = 20_000
"""So much at least fits between a dashboard and a link that takes nothing [bytes]."""
SERVER = """
ListenAddress 127.0.0.1
Port {port}
HostKey {folder}/host
AuthorizedKeysFile {folder}/user.pub
PidFile none
AuthenticationMethods publickey
PermitRootLogin prohibit-password
StrictModes no
UsePAM no
"""

pytestmark = pytest.mark.skipif(
    SSHD is None or shutil.which("ssh") is None, reason="OpenSSH is not installed"
)


class Link:
    """A wire of the test's own between client and server, which counts what goes over it."""

    def __init__(self, to: int) -> None:
        self._to = to
        self._listening = socket.create_server(("127.0.0.1", 0))
        self.port: int = self._listening.getsockname()[1]
        self.down = self.up = 0
        """Bytes from the server and to it, with what SSH puts around them."""
        self._flows = threading.Event()
        self._flows.set()
        self._ends: list[socket.socket] = []
        self._threads = [threading.Thread(target=self._accept)]
        self._threads[0].start()

    def _accept(self) -> None:
        with suppress(OSError):
            client, _ = self._listening.accept()
            server = socket.create_connection(("127.0.0.1", self._to))
            self._ends += [client, server]
            for source, sink in ((client, server), (server, client)):
                self._threads.append(threading.Thread(target=self._carry, args=(source, sink)))
                self._threads[-1].start()

    def _carry(self, source: socket.socket, sink: socket.socket) -> None:
        with suppress(OSError):
            while taken := source.recv(65536):
                if sink is self._ends[0]:
                    self.down += len(taken)
                    self._flows.wait()
                else:
                    self.up += len(taken)
                sink.sendall(taken)
        for end in (source, sink):
            with suppress(OSError):
                end.shutdown(socket.SHUT_RDWR)

    def stall(self) -> None:
        """Take no more from the server; what goes to it still goes."""
        self._flows.clear()

    def close(self) -> None:
        """Cut it."""
        self._flows.set()
        with suppress(OSError):
            self._listening.shutdown(socket.SHUT_RDWR)
        self._listening.close()
        for end in self._ends:
            with suppress(OSError):
                end.shutdown(socket.SHUT_RDWR)
        for thread in self._threads:
            thread.join()
        for end in self._ends:
            end.close()


@pytest.fixture
def server(tmp_path: Path) -> Iterator[int]:
    """The port of a server that lets the user of this test in."""
    assert SSHD is not None
    folder = tmp_path / "ssh"
    folder.mkdir()
    for name in ("host", "user"):
        command = ["ssh-keygen", "-q", "-t", "ed25519", "-N", "", "-f", str(folder / name)]
        subprocess.run(command, check=True)
    if os.getuid() == 0:
        Path("/run/sshd").mkdir(exist_ok=True)  # it asks for this when root starts it
    with socket.create_server(("127.0.0.1", 0)) as free:
        port: int = free.getsockname()[1]
    (folder / "config").write_text(SERVER.format(port=port, folder=folder))
    with (folder / "log").open("wb") as log:
        process = subprocess.Popen(
            [SSHD, "-D", "-e", "-f", str(folder / "config")], stdout=log, stderr=log
        )

    def listens() -> bool:
        if process.poll() is not None:
            pytest.skip(f"sshd does not start here: {(folder / 'log').read_text()}")
        with suppress(OSError), socket.create_connection(("127.0.0.1", port)):
            return True
        return False

    until(listens)
    yield port
    process.kill()
    process.wait()


@pytest.fixture
def premises(tmp_path: Path) -> Iterator[Premises]:
    found = Premises(tmp_path)
    yield found
    found.close()


@pytest.fixture
def link(server: int) -> Iterator[Link]:
    found = Link(server)
    yield found
    found.close()


def log_in(premises: Premises, link: Link) -> Terminal:
    """A dashboard as somebody has it who came in from outside."""
    folder = premises.config_path.parent / "ssh"
    remote = f"cd {shlex.quote(str(ROOT))} && exec {shlex.join(premises.command)}"
    options = {
        "IdentityFile": folder / "user",
        "IdentitiesOnly": "yes",
        "StrictHostKeyChecking": "no",
        "UserKnownHostsFile": "/dev/null",
        "LogLevel": "ERROR",
        "EscapeChar": "none",
    }
    given = [word for key, value in options.items() for word in ("-o", f"{key}={value}")]
    host = ["-p", str(link.port), f"{getuser()}@127.0.0.1"]
    return premises.terminal(["ssh", "-F", "none", "-tt", *given, *host, remote])


def dashboards(premises: Premises) -> list[int]:
    """Processes that show this dairy on a terminal of the server."""
    wanted = [word.encode() for word in premises.command]
    found = []
    for each in Path("/proc").iterdir():
        with suppress(OSError):
            if each.name.isdigit() and (each / "cmdline").read_bytes().split(b"\0")[:-1] == wanted:
                found.append(int(each.name))
    return found


def written(process: int) -> int:
    """Bytes that it has handed to the system so far."""
    counted = Path(f"/proc/{process}/io").read_text().split()
    return int(counted[counted.index("wchar:") + 1])


def soon(true: Callable[[], bool]) -> bool:
    """Whether it becomes true before it is certain that it will not."""
    end = time.monotonic() + STANDS_STILL
    while time.monotonic() < end:
        if true():
            return True
        time.sleep(0.02)
    return False


def recorded(premises: Premises) -> int:
    with premises.store() as store:
        return len(store.readings(CAVE, 0.0, 1e12))


def test_a_login_that_is_cut_ends_its_dashboard_and_never_the_recording(
    premises: Premises, link: Link
) -> None:
    premises.plug_in(line(12.0, 90.0))
    recorder = premises.recording()
    far = log_in(premises, link)
    until(lambda: "12.0 " in far.shown)
    drawn = link.down
    print(f"\nthe first picture took {drawn} bytes over SSH; {far.bytes} came to the terminal")
    assert len(dashboards(premises)) == 1

    far.process.kill()
    far.process.wait()
    until(lambda: not dashboards(premises))
    before = recorded(premises)
    until(lambda: recorded(premises) >= before + 3)
    assert recorder.poll() is None


def test_a_link_that_stalls_stops_neither_recording_nor_alarms_and_its_dashboard_ends_with_it(
    premises: Premises, link: Link
) -> None:
    board = premises.plug_in(line(12.0, 90.0))
    recorder = premises.recording()
    far = log_in(premises, link)
    until(lambda: "12.0 " in far.shown)

    [dashboard] = dashboards(premises)
    link.stall()
    drawn = written(dashboard)
    columns = 120
    while True:
        so_far, columns = written(dashboard), 239 - columns
        far.resize(columns, 40)
        if not soon(lambda so_far=so_far: written(dashboard) > so_far):
            break
    assert written(dashboard) > drawn + LEAST_THAT_WAITS
    before = recorded(premises)
    until(lambda: recorded(premises) >= before + 5)
    board.kill()
    premises.plug_in(line(12.0, 99.0))
    with premises.store() as store:
        until(lambda: "cave.humidity high" in store.alarms())
    print(f"\n{written(dashboard) - drawn} bytes were written into the stalled link")

    far.process.kill()
    far.process.wait()
    until(lambda: not dashboards(premises))
    assert recorder.poll() is None


def test_the_dashboard_of_a_login_starts_a_recorder_that_outlives_the_login(
    premises: Premises, link: Link
) -> None:
    premises.plug_in(line(12.0, 90.0))
    far = log_in(premises, link)
    until(lambda: "12.0 " in far.shown)
    far.process.kill()
    far.process.wait()
    try:
        until(lambda: not dashboards(premises))
        before = recorded(premises)
        until(lambda: recorded(premises) >= before + 3)
    finally:
        stopped = premises.call("record", "--stop")
    assert stopped.returncode == 0, stopped.stderr
