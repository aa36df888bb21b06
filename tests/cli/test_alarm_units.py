"""Alarms are kept in no system of units, and told in those of who looks, wherever that is."""

import json
import time
from collections.abc import Callable, Collection, Iterator, Mapping
from contextlib import closing
from dataclasses import replace
from pathlib import Path

import pytest
from click.testing import CliRunner

from cavewatch import clock
from cavewatch.cli import main, telling
from cavewatch.cli.live import Live, words_with
from cavewatch.cli.telling import Telling
from cavewatch.config import Config, parse
from cavewatch.core.alarms.alarm import Alarm, Explanation, Priority, Transition
from cavewatch.core.alarms.table import State, Trigger
from cavewatch.core.dairy import Dairy
from cavewatch.core.journal import Made
from cavewatch.core.reading import Channel, Reading
from cavewatch.core.style import Method
from cavewatch.units import Display, System

CONFIG = """\
[dairy]
name = "Hill dairy"
zone = "UTC"
units = "us"
[store]
path = "d.sqlite"
[clock]
always_right = true
[[place]]
name = "cave"
kind = "cave"
[[sensor]]
name = "board"
port = "absent"
[sensor.fields]
T = "cave.temperature"
[[notice]]
name = "phone"
command = ["sh", "-c", 'printf "%s\\n" "$1" >> said', "-", "{what}; {action}"]
priorities = ["low", "medium", "high"]
"""
KEPT = Explanation(
    "cave is too warm: {15 degC}, at most {13 degC} for config",
    "the door",
    "above {20 degC} fat weeps",
    "cool it by {2 K}",
    4.0,
    "{2 K} above it",
)
OLD = Explanation(
    "cave is too cold: 8.0 °C {{}} {x degC}", "the door", "it stands still", "warm it", 4.0
)
WARM = Alarm("cave.temperature high", State.UNACK, Priority.HIGH, 0.0, KEPT, 0.0, "cave")
COLD = replace(WARM, key="cave.temperature low", explanation=OLD)
WHAT = "cave is too warm: 59.0 °F, at most 55.4 °F for config"


@pytest.fixture
def config(tmp_path: Path) -> Config:
    path = tmp_path / "d.toml"
    path.write_text(CONFIG)
    return parse(CONFIG, path)


@pytest.fixture
def live(config: Config) -> Iterator[Live]:
    """A dairy in which a wheel is, and both alarms call."""
    with closing((live := Live.of(config)).store):
        at = clock.now() - 60.0
        live.store.append(
            at - 60.0, at + 30.0, "MK", Made((1,), "gouda", Method.DRY, 900.0, "cave")
        )
        raised = (replace(alarm, since=at, called=at) for alarm in (WARM, COLD))
        live.store.add_transitions(
            [Transition(at, State.NORM, Trigger.ABNORMAL, alarm) for alarm in raised]
        )
        yield live


def said(live: Live, *words: str) -> str:
    found = CliRunner(env={"COLUMNS": "200"}).invoke(
        main, ["--config", str(live.config.path), *words]
    )
    assert found.exception is None or isinstance(found.exception, SystemExit)
    return found.output


def test_a_viewer_s_units_hold_for_alarms_and_their_past(live: Live) -> None:
    desk = live.desk()
    told = {alarm.key: alarm.explanation for alarm in desk.picture().alarms}
    assert told[WARM.key].what == WHAT
    assert told[WARM.key].how_far == "3.6 °F above it"
    assert told[WARM.key].consequence == "above 68.0 °F fat weeps"
    desk.switched(Display(System.METRIC))
    told = {alarm.key: alarm.explanation for alarm in desk.picture().alarms}
    assert told[WARM.key].what == "cave is too warm: 15.0 °C, at most 13.0 °C for config"
    assert told[WARM.key].action == "cool it by 2.0 °C"
    past = [each.alarm.explanation for each in desk.transitions(0.0, clock.now())]
    assert [each.how_far for each in past] == ["2.0 °C above it", ""]
    assert [each.alarm.explanation.how_far for each in desk.occurrences()] == [
        "2.0 °C above it",
        "",
    ]


def test_what_was_kept_before_without_braces_is_shown_as_it_is(live: Live) -> None:
    told = {alarm.key: alarm.explanation for alarm in live.desk().picture().alarms}
    assert told[COLD.key] == OLD


@pytest.mark.parametrize(
    "words",
    [
        ["status"],
        ["status", "--json"],
        ["alarm", "list"],
        ["alarm", "past"],
        ["make", "sheet", "1"],
        ["make", "sheet", "1", "--json"],
    ],
    ids=" ".join,
)
def test_every_command_tells_it_in_the_maker_s_units(live: Live, words: list[str]) -> None:
    output = " ".join(said(live, *words).replace("\\u00b0", "°").split())
    assert WHAT in output
    assert "{15" not in output


def test_the_record_that_is_handed_out_tells_it_in_the_maker_s_units(
    live: Live, tmp_path: Path
) -> None:
    said(live, "export", "alarms", "--out", str(tmp_path / "alarms.csv"))
    said(live, "export", "wheel", "1", "--out", str(tmp_path / "wheel.html"))
    for file in ("alarms.csv", "wheel.html"):
        text = (tmp_path / file).read_text()
        assert WHAT in text
        assert "{15" not in text


class Shown:
    """Takes what is to be published."""

    def __init__(self) -> None:
        self.alarms: Collection[Alarm] = ()

    def show(self, _: Dairy, __: Mapping[Channel, Reading], alarms: Collection[Alarm]) -> None:
        self.alarms = alarms

    def trouble(self) -> str:
        return ""

    def close(self) -> None:
        pass


def until(reached: Callable[[], bool], meanwhile: Callable[[], None]) -> None:
    deadline = time.monotonic() + 60.0
    while not reached():
        assert time.monotonic() < deadline, "did not happen in time"
        meanwhile()
        time.sleep(0.02)


def test_notices_and_what_is_published_are_in_the_maker_s_units(
    config: Config, live: Live, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    shown, told = Shown(), tmp_path / "said"
    monkeypatch.setattr(telling, "_publisher", lambda _: shown)
    with closing(
        Telling(config, words_with(config), live.store.meta, live.store.put_meta)
    ) as teller:
        now = clock.now()
        alarm = replace(WARM, since=now, called=now)
        until(told.exists, lambda: teller.after_step([alarm], clock.now(), True, True))
        teller.publish(live.desk().picture(), {}, [alarm])
    assert told.read_text() == f"{WHAT}; cool it by 3.6 °F\n"
    assert [each.explanation.what for each in shown.alarms] == [WHAT]


def test_json_keeps_numbers_in_si_and_tells_sentences_in_the_maker_s_units(live: Live) -> None:
    first, *_ = json.loads(said(live, "status", "--json"))["alarms"]
    assert first["how_far"] == "3.6 °F above it"
