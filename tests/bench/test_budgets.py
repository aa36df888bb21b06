"""The budgets of a small machine, each beside what is demanded and the floor. Asserts no figure.

Real processes on real pseudo-terminals, 120 columns by 40 rows, 60 wheels in brine, 12 places,
4 channels every 10 s, byte-code warm; takes about ten minutes. Bytes to the disk are those that the
kernel counts for the process (`write_bytes`: whole pages, without what the file system adds).
CPU times are told as this machine takes them and, behind that, as the machine would on which the
budgets were set: scaled by the time that importing Textual takes here and took there.
Floors are those of hand-written programs that do nothing else.
"""

import os
import sqlite3
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import closing
from functools import cache
from pathlib import Path
from statistics import median

import pytest
from premises import ROOT, Premises, Terminal, until

from cavewatch.core.journal import Made, Salted
from cavewatch.core.reading import Channel, Quantity, Reading
from cavewatch.core.style import Method
from cavewatch.store import Store

CHANNELS = [Channel(f"cave {n}", quantity) for n in (1, 2) for quantity in Quantity]
PLACES = "".join(f'[[place]]\nname = "rack {n}"\nkind = "rack"\n' for n in range(9))
CONFIG = f"""
[dairy]
name = "Bench dairy (invented)"
zone = "UTC"
[store]
path = "dairy.sqlite"
commit_every = "{{commit_every}} s"
[[place]]
name = "cave 1"
kind = "cave"
temperature = [10, 14]
humidity = [85, 95]
[[place]]
name = "cave 2"
kind = "cave"
temperature = [10, 14]
humidity = [85, 95]
[[place]]
name = "tub"
kind = "tub"
[place.brine]
strength = "20 %"
temperature = 12
{PLACES}
[[sensor]]
name = "board"
port = "{{port}}"
every = "10 s"
[sensor.fields]
T1 = "cave 1.temperature"
H1 = "cave 1.humidity"
T2 = "cave 2.temperature"
H2 = "cave 2.humidity"
"""
TEXTUAL = (
    "import textual.app\n"
    "from textual.widgets import Button, DataTable, Footer, Input, Select, Static"
)
REFERENCE = 0.18
"""CPU time of importing that on the machine that the budgets were set on [s]."""
TICKS = os.sysconf("SC_CLK_TCK")
MINUTE, DAY = 60, 86400
WATCHED = 60.0
"""How long something is looked at, at rest [s]."""
FIVE_YEARS, RAW_DAYS = 5 * 365 * DAY, 60
ENDED = 5826 * 3 * 100_000 // DAY * DAY
"""When the five years end [s since 1970 UTC]."""


@cache
def slower() -> float:
    """How many times as long this machine takes."""
    return spent([sys.executable, "-c", TEXTUAL]) / REFERENCE


def taken(number: float, digits: int) -> str:
    """A CPU time here, and there."""
    return f"{number:.{digits}f} ({number / slower():.{digits}f})"


def tell(what: str, found: str, demand: str = "", floor: str = "") -> None:
    print(f"{what:62} {found:>18}   demand {demand or '-':>12}   floor {floor or '-'}")


def spoken(humidity: float = 90.0) -> bytes:
    return f"T1=12.10 H1={humidity:.1f} T2=12.90 H2=91.0\n".encode()


def cpu(process: int) -> float:
    """That a process has used so far [s], its children left out."""
    fields = Path(f"/proc/{process}/stat").read_text().rpartition(")")[2].split()
    return (int(fields[11]) + int(fields[12])) / TICKS


def memory(process: int) -> float:
    """Resident [MB]."""
    said = Path(f"/proc/{process}/status").read_text().split()
    return int(said[said.index("VmRSS:") + 1]) / 1000


def on_disk(process: int) -> int:
    """Bytes sent towards the disk so far."""
    said = Path(f"/proc/{process}/io").read_text().split()
    return int(said[said.index("write_bytes:") + 1])


def spent(command: list[str]) -> float:
    """CPU time of a whole command [s]; the median of five."""
    found = []
    for _ in range(5):
        before = os.times()
        subprocess.run(command, cwd=ROOT, stdout=subprocess.DEVNULL, check=False)
        after = os.times()
        found.append(
            after.children_user
            + after.children_system
            - before.children_user
            - before.children_system
        )
    return median(found)


def timed(act: Callable[[], object], times: int) -> float:
    """CPU time of one call [ms], warm; the least of several."""
    found = []
    for _ in range(times):
        before = time.process_time()
        act()
        found.append(time.process_time() - before)
    return min(found) * 1000


@pytest.fixture
def dairy(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Callable[..., Premises]]:
    """Makes a dairy with a store that is there, and byte-code that is warm."""
    monkeypatch.delenv("PYTHONDONTWRITEBYTECODE", raising=False)
    monkeypatch.setenv("PYTHONPYCACHEPREFIX", str(tmp_path / "bytecode"))
    made: list[Premises] = []

    def make(wheels: int, commit_every: int = 10) -> Premises:
        folder = tmp_path / str(len(made))
        folder.mkdir()
        made.append(Premises(folder, CONFIG, commit_every))
        now = time.time()
        with made[-1].store() as store:
            for first in range(1, wheels + 1, 3):
                trio, at = (first, first + 1, first + 2), now - 1200.0 * first
                store.append(at, now, "AB", Made(trio, "gouda", Method.BRINE, 2500.0, "tub"))
                store.append(at, now, "AB", Salted(trio, 20.0))
        made[-1].call("status")  # compiles
        return made[-1]

    yield make
    for each in made:
        each.close()


def first_frame(premises: Premises) -> tuple[Terminal, float]:
    """A dashboard, and the CPU time that it took to show the places [s]."""
    shown = premises.terminal()
    until(lambda: "cave 1" in shown.shown)
    return shown, cpu(shown.process.pid)


@pytest.mark.bench
def test_budget_of_starts(dairy: Callable[..., Premises]) -> None:
    premises = dairy(60)
    premises.plug_in(spoken(), 10.0)
    textual = spent([sys.executable, "-c", TEXTUAL])
    print()
    tell("import of textual with six widgets, CPU-s", taken(textual, 3))

    starts = []
    for _ in range(3):
        recorder = premises.recording()
        starts.append(cpu(recorder.pid))
        recorder.terminate()
        recorder.wait()
    tell("recorder until it holds its lock, CPU-s", taken(median(starts), 3))
    premises.recording()
    frames = []
    for _ in range(5):
        shown, used = first_frame(premises)
        frames.append(used)
        shown.press("q")
        shown.process.wait()
    used = median(frames)
    tell("dashboard to the first frame, CPU-s", taken(used, 3), floor="0.1")
    tell("  as a multiple of the import of textual", f"{used / textual:.2f}", "<= 2.2", "0.6")
    for words in (["status"], ["status", "--line"]):
        used = spent([*premises.command, *words])
        tell(f"{' '.join(words)}, CPU-s", taken(used, 3), "< 1")


@pytest.mark.bench
@pytest.mark.parametrize(("wheels", "commit_every"), [(0, 10), (0, 60), (60, 10)])
def test_budget_of_the_recorder(
    dairy: Callable[..., Premises], wheels: int, commit_every: int
) -> None:
    premises = dairy(wheels, commit_every)
    premises.plug_in(spoken(), 10.0)
    pid = premises.recording().pid
    with premises.store() as store:
        until(store.latest)
        until(lambda: len(store.countdowns()) == wheels)
    time.sleep(2 * commit_every)
    used, written = cpu(pid), on_disk(pid)
    time.sleep(WATCHED)
    used, written = cpu(pid) - used, on_disk(pid) - written
    print(f"\nrecorder, {wheels} wheels in brine, commits every {commit_every} s")
    demand = "<= 60" if wheels else "<= 20"
    tell("memory, MB", f"{memory(pid):.1f}", demand, "" if wheels else "9.5")
    minute = used / WATCHED * MINUTE
    tell("CPU-s a minute", taken(minute, 3), "<= 0.05", "0.026")
    tell("CPU-s an hour", taken(60 * minute, 1), "<= 3", "1.6")
    mb = written / WATCHED * DAY / 1e6
    demand, floor = ("<= 65", "11") if commit_every == 60 else ("<= 160", "41")
    tell("to the disk, MB a day (between checkpoints)", f"{mb:.0f}", demand, floor)


@pytest.mark.bench
def test_budget_of_a_viewer_at_rest(dairy: Callable[..., Premises]) -> None:
    premises = dairy(60)
    premises.plug_in(spoken(), 10.0)
    premises.recording()
    with premises.store() as store:
        until(lambda: len(store.countdowns()) == 60)
    shown, _ = first_frame(premises)
    time.sleep(20.0)
    pid, bytes_before = shown.process.pid, shown.bytes
    used, before = cpu(pid), memory(pid)
    time.sleep(WATCHED)
    used, came = cpu(pid) - used, shown.bytes - bytes_before
    minutes = WATCHED / MINUTE
    print("\ndashboard at rest, 60 wheels, 12 places")
    tell("CPU-s a minute", taken(used / minutes, 3), "<= 0.35", "0.01")
    tell("CPU-s an hour", taken(60 * used / minutes, 1), "<= 21", "0.6")
    tell("bytes to the terminal, kB a minute", f"{came / minutes / 1000:.1f}", "<= 20", "1.5")
    tell("memory, MB", f"{memory(pid):.1f}", "<= 45", "9.5")
    tell(f"  its growth in {WATCHED:.0f} s, MB", f"{memory(pid) - before:.2f}", "<= 1")


PAGES = {"home": "1", "place": "2", "wheel": "3", "tub": "4", "alarms": "6", "due": "7"}


@pytest.mark.bench
def test_budget_of_each_page_at_rest(dairy: Callable[..., Premises]) -> None:
    """Each page left open; no budget is set for one, so that of the home page stands beside it."""
    premises = dairy(60)
    premises.plug_in(spoken(), 10.0)
    premises.recording()
    with premises.store() as store:
        until(lambda: len(store.countdowns()) == 60)
    shown, _ = first_frame(premises)
    pid = shown.process.pid
    print("\neach page at rest, 60 wheels, 12 places")
    for page, key in PAGES.items():
        before = cpu(pid)
        shown.press(key)
        time.sleep(10.0)
        opened, used, came = cpu(pid) - before, cpu(pid), shown.bytes
        time.sleep(WATCHED)
        used, came = (cpu(pid) - used) * MINUTE / WATCHED, shown.bytes - came
        tell(f"{page}: until it is shown and 10 s more, CPU-s", taken(opened, 2))
        tell(f"{page}: CPU-s a minute", taken(used, 3), "<= 0.35", "0.01")
        kb = came * MINUTE / WATCHED / 1000
        tell(f"{page}: bytes to the terminal, kB a minute", f"{kb:.1f}", "<= 20", "1.5")
        tell(f"{page}: memory, MB", f"{memory(pid):.1f}", "<= 45 (home)", "9.5")


@pytest.mark.bench
def test_budget_of_news(dairy: Callable[..., Premises]) -> None:
    """How long a reading that was committed takes to a screen."""
    premises = dairy(60, 1)
    board = premises.plug_in(spoken())
    premises.recording()
    shown, _ = first_frame(premises)
    late = []
    with premises.store() as store:
        until(store.latest)
        for number in range(10):
            board.kill()
            humidity = 88.0 + number % 2
            board = premises.plug_in(spoken(humidity))
            until(lambda humidity=humidity: store.latest()[CHANNELS[1]].value == humidity)
            kept = time.monotonic()
            until(lambda humidity=humidity: f"{humidity:.0f} %" in shown.shown)
            late.append(time.monotonic() - kept)
    print()
    tell("a commit to a screen, s (most)", f"{median(late):.1f} ({max(late):.1f})", "<= 2")


@pytest.mark.bench
@pytest.mark.parametrize("every", [10, 60])
def test_budget_of_a_day_on_the_disk(tmp_path: Path, every: int) -> None:
    """A whole day's commits one after the other, with all checkpoints."""
    pid = os.getpid()
    with closing(Store.open(tmp_path / "day.sqlite")) as store:
        before = on_disk(pid)
        for begin in range(0, DAY, every):
            ats = range(begin + 10, begin + every + 10, 10)
            store.add_readings(
                Reading(channel, 1e9 + at, 12.0 + at % 7 / 10) for at in ats for channel in CHANNELS
            )
        written = on_disk(pid) - before
    print()
    demand, floor = ("<= 65", "11") if every == 60 else ("<= 160", "41")
    tell(f"a day of commits every {every} s, MB", f"{written / 1e6:.0f}", demand, floor)


def five_years(path: Path) -> None:
    """Roll-ups of five years, readings of the last 60 days, written past the store's methods.

    63 million readings take too long to make; they matter only to the size of the file.
    """
    Store.open(path).close()
    begin, raw = ENDED - FIVE_YEARS, ENDED - RAW_DAYS * DAY
    with closing(sqlite3.connect(path)) as connection:
        connection.executemany(
            "INSERT INTO channel (id, place, quantity, newest) VALUES (?, ?, ?, ?)",
            [(n, c.place, c.quantity, ENDED - 10) for n, c in enumerate(CHANNELS, start=1)],
        )
        count = (
            "WITH RECURSIVE count(ts) AS (SELECT ?1 UNION ALL SELECT ts + ?2 FROM count"
            " WHERE ts + ?2 < ?3)"
        )
        value = "1150 + (ts / ?2 * 7919 + ch * 31) % 97"
        for table, step in (("minute", 60), ("hour", 3600), ("day", DAY)):
            n = step // 10
            connection.execute(
                f"{count} INSERT INTO {table} (ts, ch, n, sum, min, max)"
                f" SELECT ts, ch, {n}, {n} * ({value}), ({value}) - 12, ({value}) + 14 FROM count,"
                " (SELECT id AS ch FROM channel)",
                (begin, step, ENDED),
            )
            connection.commit()
        connection.execute(
            f"{count} INSERT INTO reading (ts, ch, v) SELECT ts, ch, {value} FROM count,"
            " (SELECT id AS ch FROM channel)",
            (raw, 10, ENDED),
        )
        connection.commit()


@pytest.mark.bench
def test_budget_of_five_years(tmp_path: Path) -> None:
    path = tmp_path / "years.sqlite"
    Store.open(path).close()
    five_years(path)
    with closing(sqlite3.connect(path)) as connection:
        sizes = dict(connection.execute("SELECT name, sum(pgsize) FROM dbstat GROUP BY name"))
    raw = sizes["reading"] / RAW_DAYS * FIVE_YEARS / DAY
    rolled = sizes["minute"] + sizes["hour"] + sizes["day"]
    print(f"\nfive years by the minute, readings of {RAW_DAYS} days")
    tell("file with readings of 800 days, MB", f"{(rolled + raw * 800 / 1825) / 1e6:.0f}")
    tell("file with all readings, MB (scaled)", f"{(rolled + raw) / 1e6:.0f}", "<= 1300", "350")
    since, one = ENDED - 7 * DAY, CHANNELS[0]
    with closing(Store.open(path)) as store:
        week = timed(lambda: store.bins(one, 60, since, ENDED), 7)
        weeks = timed(lambda: [store.bins(each, 60, since, ENDED) for each in CHANNELS], 7)
        years = timed(lambda: store.gathered(one, DAY, ENDED - FIVE_YEARS, ENDED), 5)
        hours = timed(lambda: store.bins(one, 3600, ENDED - FIVE_YEARS, ENDED), 5)
        poll = timed(lambda: [store.changed() for _ in range(1000)], 5)
        assert len(store.bins(one, 60, since, ENDED)) == 7 * 1440
    tell("a week by the minute, 1 channel, CPU ms", taken(week, 1), "<= 10", "6")
    tell("a week by the minute, 4 channels, CPU ms", taken(weeks, 1), "<= 40", "27")
    tell("five years by the day, 1 channel, CPU ms", taken(years, 1), "<= 30", "19")
    tell("five years by the hour, 1 channel, CPU ms", taken(hours, 0))
    tell(
        "looking for news once a second, CPU-s a minute",
        taken(poll * 60 / 1e6, 4),
        "<= 0.02",
        "0.004",
    )
