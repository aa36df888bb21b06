"""The sign of life: a file and a command, every so often, and what is said when they fail."""

import os
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from cavewatch.core.notices import Heartbeat
from cavewatch.recorder.errand import PATIENCE
from cavewatch.recorder.heartbeat import Heart

EVERY = 20.0
TOUCH = ("sh", "-c", "echo x >> run")


class Ticks:
    """A clock that goes only when it is told to."""

    at = 0.0

    def __call__(self) -> float:
        return self.at


@pytest.fixture
def ticks() -> Ticks:
    return Ticks()


@pytest.fixture
def heart(tmp_path: Path, ticks: Ticks) -> Iterator[Callable[..., Heart]]:
    made: list[Heart] = []

    def make(file: str = "", command: tuple[str, ...] = ()) -> Heart:
        made.append(Heart(Heartbeat(file, command, EVERY), tmp_path, ticks))
        return made[-1]

    yield make
    for each in made:
        each.close()


def until(reached: Callable[[], bool]) -> None:
    deadline = time.monotonic() + 30.0
    while not reached():
        assert time.monotonic() < deadline, "did not happen in time"
        time.sleep(0.01)


def test_the_file_is_made_and_then_touched_every_so_often(
    heart: Callable[..., Heart], ticks: Ticks, tmp_path: Path
) -> None:
    beating, file = heart(file="alive"), tmp_path / "alive"
    beating.beat()
    os.utime(file, (0, 0))
    ticks.at = EVERY - 1.0
    beating.beat()
    assert file.stat().st_mtime == 0
    ticks.at = EVERY
    beating.beat()
    assert file.stat().st_mtime > 0
    assert beating.trouble() == ""


def test_a_file_keeps_what_is_in_it(heart: Callable[..., Heart], tmp_path: Path) -> None:
    (tmp_path / "alive").write_text("mine")
    heart(file="alive").beat()
    assert (tmp_path / "alive").read_text() == "mine"


def test_a_file_that_cannot_be_touched_is_told_until_it_can(
    heart: Callable[..., Heart], ticks: Ticks, tmp_path: Path
) -> None:
    beating = heart(file="absent/alive")
    beating.beat()
    assert beating.trouble() == (
        f"heartbeat: {tmp_path}/absent/alive cannot be touched: No such file or directory"
    )
    (tmp_path / "absent").mkdir()
    ticks.at = EVERY
    beating.beat()
    assert beating.trouble() == ""


def test_a_pipe_that_nobody_reads_holds_nobody(heart: Callable[..., Heart], tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe")
    beating = heart(file="pipe")
    beating.beat()
    assert "cannot be touched" in beating.trouble()


def test_the_command_runs_every_so_often(
    heart: Callable[..., Heart], ticks: Ticks, tmp_path: Path
) -> None:
    beating, out = heart(command=TOUCH), tmp_path / "run"

    def ran(times: int) -> bool:
        beating.beat()
        return out.exists() and out.read_text() == "x\n" * times and beating._errand is None

    until(lambda: ran(1))
    ticks.at = EVERY
    until(lambda: ran(2))
    assert beating.trouble() == ""


def test_a_command_that_fails_is_told_until_it_works(
    heart: Callable[..., Heart], ticks: Ticks, tmp_path: Path
) -> None:
    beating = heart(command=("sh", "-c", "test -e ok || { echo no network >&2; exit 7; }"))

    def says(words: str) -> bool:
        beating.beat()
        return beating.trouble() == words

    until(lambda: says("heartbeat: sh ended with status 7: no network"))
    (tmp_path / "ok").touch()
    ticks.at = EVERY
    until(lambda: says(""))


def test_a_command_that_hangs_is_not_started_again_beside_itself(
    heart: Callable[..., Heart], ticks: Ticks, tmp_path: Path
) -> None:
    beating = heart(command=("sh", "-c", "echo x >> run; exec sleep 600"))
    beating.beat()
    until((tmp_path / "run").exists)
    child = beating._errand
    for ticks.at in (EVERY, 2 * EVERY):
        beating.beat()
        assert beating._errand is child
    ticks.at = PATIENCE
    beating.beat()
    assert "sh was ended after 60 s" in beating.trouble()
