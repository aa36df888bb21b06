"""The demo's week through the recorder and the desk that the dashboard uses."""

from collections.abc import Iterator
from pathlib import Path
from threading import Thread

import pytest

from cavewatch.cli.replay import Replay
from cavewatch.core.alarms.answers import acknowledge
from cavewatch.core.alarms.table import State
from cavewatch.core.journal import Noted, Turned
from cavewatch.core.wheel import Standing
from demo.days import START

WEEK = Path(__file__).parents[2] / "demo" / "week.csv"
HOUR = 3600.0


@pytest.fixture
def replay() -> Iterator[Replay]:
    found = Replay.opened(WEEK, None, 900.0)
    found.pause()
    yield found
    found.close()


def test_it_starts_in_the_logs_own_time_with_the_journal_beside_it(replay: Replay) -> None:
    dairy = replay.desk.picture()
    assert START <= dairy.at < START + 2 * HOUR
    assert not dairy.misfits
    assert {w.standing for w in dairy.wheels.values()} >= {Standing.AGING}
    assert dairy.tasks
    assert replay.desk.notice() == ""
    assert any(view.range.low for place in dairy.places for view in place.channels)


def test_it_skips_from_alarm_to_alarm(replay: Replay) -> None:
    replay.pause()
    assert replay.running
    replay.next_alarm()
    first = replay.desk.picture()
    assert any(alarm.state is State.UNACK for alarm in first.alarms)
    assert not replay.running
    called_at = first.at
    replay.next_alarm()
    assert replay.desk.picture().at > called_at


def test_it_skips_from_entry_to_entry_and_shows_the_journal_up_to_there(replay: Replay) -> None:
    before = len(replay.desk.entries())
    replay.pause()
    for _ in range(2):
        replay.next_entry()
        found = replay.desk.entries()
        assert len(found) > before
        assert max(entry.at for entry in found) == replay.desk.now()
        assert not replay.running
        before = len(found)


def test_it_goes_to_any_time_back_too_and_shows_the_same_again(replay: Replay) -> None:
    later = START + 20 * HOUR
    replay.go_to(later)
    first = replay.desk.picture()
    assert replay.desk.now() == later
    replay.go_to(START + 30 * HOUR)
    assert replay.desk.picture().wheels != first.wheels
    replay.go_to(later)
    again = replay.desk.picture()
    assert (again.at, again.wheels) == (first.at, first.wheels)
    assert [view.measured for view in again.places] == [view.measured for view in first.places]
    assert [(a.key, a.state) for a in again.alarms] == [(a.key, a.state) for a in first.alarms]
    assert not replay.running


def test_what_was_entered_stays_when_it_goes_back(replay: Replay) -> None:
    replay.go_to(START + 20 * HOUR)
    replay.desk.append(Noted("smells of hay"), replay.desk.now(), "TT")
    replay.go_to(START + 10 * HOUR)
    assert not any(entry.by == "TT" for entry in replay.desk.entries())
    replay.go_to(START + 21 * HOUR)
    assert any(entry.by == "TT" for entry in replay.desk.entries())


def test_a_skip_can_be_stopped_on_its_way_from_another_thread(replay: Replay) -> None:
    going = Thread(target=replay.go_to, args=(replay.end,))
    going.start()
    while replay.progress < 0.05:
        going.join(0.001)
    replay.stop()
    going.join(60)
    assert not going.is_alive()
    assert 0.05 <= replay.progress < 1.0
    assert not replay.running


def test_what_is_entered_counts_at_once_and_stays_out_of_the_file(replay: Replay) -> None:
    before = WEEK.with_name("week.journal.jsonl").read_bytes()
    replay.go_to(replay.desk.now() + 30 * HOUR)
    task = next(task for task in replay.desk.picture().tasks if task.salting)
    replay.desk.append(Turned(task.wheels), replay.desk.now(), "TT")
    replay.desk.changed()
    after = replay.desk.picture()
    assert not after.pending
    assert all(task.wheels != t.wheels or t.action != task.action for t in after.tasks)
    assert WEEK.with_name("week.journal.jsonl").read_bytes() == before


def test_an_alarm_that_is_acknowledged_while_the_replay_stands_is_seen_at_once(
    replay: Replay,
) -> None:
    replay.next_alarm()
    (alarm,) = replay.desk.picture().alarms
    replay.desk.append(acknowledge(alarm), replay.desk.now(), "TT")
    assert [found.state for found in replay.desk.picture().alarms] == [State.ACKED]


def test_speed_pause_and_progress(replay: Replay) -> None:
    replay.faster()
    assert replay.speed == 3600.0
    replay.slower()
    replay.slower()
    assert replay.speed == 300.0
    assert replay.progress < 0.02
    replay.go_to(replay.desk.now() + 8 * 24 * HOUR)
    assert replay.finished
    assert replay.progress == 1.0


def test_a_log_of_channels_without_config_still_shows(tmp_path: Path) -> None:
    log = tmp_path / "bare.csv"
    log.write_text("time,shed.temperature\n2026-01-01T00:00:00Z,9.5\n2026-01-01T00:01:00Z,9.6\n")
    replay = Replay.opened(log, None, 60.0)
    dairy = replay.desk.picture()
    replay.close()
    assert dairy.places[0].place.name == "shed"
    assert dairy.places[0].channels[0].reading is not None
