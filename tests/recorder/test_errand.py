"""Programs that run beside the recorder: real children, a clock that stands."""

import os
import sys
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from cavewatch.recorder.errand import PATIENCE, Errand


class Ticks:
    """A clock that goes only when it is told to."""

    def __init__(self) -> None:
        self.at = 100.0

    def __call__(self) -> float:
        return self.at


@pytest.fixture
def ticks() -> Ticks:
    return Ticks()


Begin = Callable[..., Errand]


@pytest.fixture
def begin(tmp_path: Path, ticks: Ticks) -> Iterator[Begin]:
    """Starts a Python program of these lines."""
    begun: list[Errand] = []

    def run(program: str, *words: str, **more: object) -> Errand:
        command = (sys.executable, "-c", program, *words)
        begun.append(Errand(command, ticks, folder=tmp_path, **more))  # type: ignore[arg-type]
        return begun[-1]

    yield run
    for errand in begun:
        errand.stop()


def end(errand: Errand) -> str:
    deadline = time.monotonic() + 30.0
    while (found := errand.look()) is None:
        assert time.monotonic() < deadline, "it did not end"
        time.sleep(0.01)
    return found


def gone(process: int) -> bool:
    """Whether it is no more, or waits for its parent to look."""
    try:
        return Path(f"/proc/{process}/stat").read_text().rpartition(")")[2].split()[0] == "Z"
    except FileNotFoundError:
        return True


def test_arguments_variables_and_text_reach_the_program_as_they_are(
    begin: Begin, tmp_path: Path
) -> None:
    program = "import os, sys; open('out', 'w').write(sys.argv[1] + os.environ['X'] + input())"
    errand = begin(program, "a; $(b) 'c' ≤ 5 °C\n", variables={"X": "–y"}, text="z")
    assert end(errand) == ""
    assert (tmp_path / "out").read_text() == "a; $(b) 'c' ≤ 5 °C\n–yz"


def test_a_failure_is_told_with_the_last_line_that_the_program_said(begin: Begin) -> None:
    errand = begin("import sys; print('one\\n\\x1b[2Jtwo', file=sys.stderr); sys.exit(3)")
    assert end(errand).endswith(" ended with status 3: [2Jtwo")
    assert end(begin("import os; os.kill(os.getpid(), 9)")).endswith(" ended by signal 9")


@pytest.mark.parametrize("command", ["/absent/program", "absent-program", "/etc/passwd"])
def test_a_program_that_cannot_be_started_has_failed_at_once(
    command: str, tmp_path: Path, ticks: Ticks
) -> None:
    found = Errand((command,), ticks, folder=tmp_path).look()
    assert found is not None
    assert found.startswith(f"{command} cannot be started: ")


def test_a_folder_that_is_gone_is_a_failure_too(tmp_path: Path, ticks: Ticks) -> None:
    found = Errand(("true",), ticks, folder=tmp_path / "absent").look()
    assert found is not None
    assert "cannot be started" in found


def test_a_program_that_hangs_is_ended_with_all_it_started(
    begin: Begin, ticks: Ticks, tmp_path: Path
) -> None:
    errand = begin(
        "import os, subprocess, time\n"
        "child = subprocess.Popen(['sleep', '600'])\n"
        "open('pid.new', 'w').write(str(child.pid)); os.rename('pid.new', 'pid')\n"
        "time.sleep(600)"
    )
    deadline = time.monotonic() + 30.0
    while not (tmp_path / "pid").exists():
        assert time.monotonic() < deadline
        time.sleep(0.01)
    ticks.at += PATIENCE - 1.0
    assert errand.look() is None
    ticks.at += 1.0
    assert f"was ended after {PATIENCE:g} s" in end(errand)
    child = int((tmp_path / "pid").read_text())
    while not gone(child):
        assert time.monotonic() < deadline
        time.sleep(0.01)


def test_a_program_that_says_more_than_a_pipe_holds_is_listened_to(begin: Begin) -> None:
    program = "import sys; sys.stderr.write('x' * 5_000_000 + '\\nwhy'); sys.exit(1)"
    assert end(begin(program)).endswith("status 1: why")


def test_a_program_that_reads_nothing_holds_nobody(begin: Begin) -> None:
    assert end(begin("import os; os.close(0)", text="x" * 8000)) == ""


def test_what_a_program_leaves_behind_is_not_waited_for(begin: Begin, tmp_path: Path) -> None:
    program = (
        "import subprocess\nopen('pid', 'w').write(str(subprocess.Popen(['sleep', '600']).pid))"
    )
    assert end(begin(program)) == ""
    os.kill(int((tmp_path / "pid").read_text()), 9)


def test_no_descriptor_is_left_open(begin: Begin) -> None:
    end(begin("pass"))
    before = len(os.listdir("/proc/self/fd"))
    for _ in range(5):
        end(begin("import sys; sys.exit('no')"))
    begin("import time; time.sleep(600)").stop()
    assert len(os.listdir("/proc/self/fd")) == before
