"""Who set the machine's clock, and what a stamp tells."""

import subprocess
import sys
from pathlib import Path

import pytest

from cavewatch import clock
from cavewatch.clock import SetBy, Stamp, set_by

WALL = 1_767_355_200.0


def put(root: Path, name: str, text: str = "") -> None:
    (root / name).parent.mkdir(parents=True, exist_ok=True)
    (root / name).write_text(text)


def no() -> bool:
    return False


def test_systemd_says_that_the_network_set_it(tmp_path: Path) -> None:
    put(tmp_path, "run/systemd/timesync/synchronized")
    assert set_by(WALL, tmp_path, no) is SetBy.NETWORK


def test_the_kernel_says_that_a_time_service_keeps_it(tmp_path: Path) -> None:
    (tmp_path / "run/systemd/system").mkdir(parents=True)
    assert set_by(WALL, tmp_path, lambda: True) is SetBy.NETWORK


@pytest.mark.parametrize(
    ("apart", "by"), [(0, SetBy.BATTERY), (-60, SetBy.BATTERY), (61, None), (-(10**9), None)]
)
def test_a_battery_clock_vouches_for_one_that_shows_the_same(
    tmp_path: Path, apart: int, by: SetBy | None
) -> None:
    put(tmp_path, "sys/class/rtc/rtc0/since_epoch", f"{int(WALL) + apart}\n")
    assert set_by(WALL, tmp_path, no) is by


@pytest.mark.parametrize("text", ["", "soon", "\x1b[31m7", "9" * 5000])
def test_a_battery_clock_that_cannot_be_read_vouches_for_nothing(tmp_path: Path, text: str) -> None:
    put(tmp_path, "sys/class/rtc/rtc0/since_epoch", text)
    assert set_by(WALL, tmp_path, no) is None


def test_a_machine_without_battery_clock_and_network_has_a_clock_that_nobody_set(
    tmp_path: Path,
) -> None:
    (tmp_path / "run/systemd/system").mkdir(parents=True)
    (tmp_path / "sys/class/rtc").mkdir(parents=True)
    assert set_by(WALL, tmp_path, no) is None
    (tmp_path / "sys/class/rtc").rmdir()
    assert set_by(WALL, tmp_path, no) is None


def test_where_nothing_can_tell_the_machine_is_believed(tmp_path: Path) -> None:
    assert set_by(WALL, tmp_path, no) is SetBy.MACHINE


def test_a_stamp_tells_boot_and_time_since_it() -> None:
    before, stamp, after = clock.stamp(), clock.stamp(), clock.stamp()
    assert before.boot == stamp.boot == clock.boot_id()
    assert before.up <= stamp.up <= after.up
    assert stamp.offset == stamp.wall - stamp.up
    assert Stamp(WALL, "a", 1.0, SetBy.NETWORK).sure
    assert not Stamp(WALL, "a", 1.0, None).sure


def test_a_machine_whose_boots_have_no_name_has_the_empty_one(tmp_path: Path) -> None:
    assert clock.boot_id(tmp_path / "none") == ""
    put(tmp_path, "boot", "0f-1e\n")
    assert clock.boot_id(tmp_path / "boot") == "0f-1e"


def test_asking_the_kernel_changes_nothing_and_needs_no_right() -> None:
    code = "from cavewatch.clock import _kernel_says_set; print(_kernel_says_set())"
    said = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert said.stdout.strip() in ("True", "False")
    assert said.stderr == ""
