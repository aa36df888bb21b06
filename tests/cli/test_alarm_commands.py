"""`cavewatch alarm` as a person calls it."""

from collections.abc import Callable
from contextlib import closing
from pathlib import Path

import pytest
from click.testing import CliRunner

from cavewatch import clock
from cavewatch.cli import main
from cavewatch.core.alarms.alarm import Alarm, Explanation, Priority, Transition
from cavewatch.core.alarms.table import State, Trigger
from cavewatch.core.journal import Acknowledged, Entry, Reset, Shelved, Suppressed
from cavewatch.store import Store

DRY = "cave.humidity low"
WARM = "cave.temperature high"
CONFIG = """
[dairy]
name = "Test"
zone = "UTC"
initials = "TT"
[store]
path = "d.sqlite"
[[place]]
name = "cave"
kind = "cave"
[[sensor]]
name = "board"
port = "/dev/null"
every = "30 s"
[sensor.fields]
T = "cave.temperature"
H = "cave.humidity"
"""
QUIET = "no alarm stands, and none is suppressed\n"
Call = Callable[..., str]


@pytest.fixture
def dairy(tmp_path: Path) -> Path:
    (tmp_path / "d.toml").write_text(CONFIG)
    return tmp_path / "d.toml"


@pytest.fixture
def call(dairy: Path) -> Call:
    def run(*words: str, fails: bool = False) -> str:
        found = CliRunner().invoke(main, ["--config", str(dairy), "alarm", *words])
        assert found.exit_code == (1 if fails else 0), found.output
        assert "Traceback" not in found.output
        return found.output

    return run


def stand(dairy: Path, key: str, state: State, **more: object) -> None:
    told = Explanation(f"the cave: {key}", "a door", "rinds crack", "shut it", 4.0)
    alarm = Alarm(key, state, Priority.LOW, clock.now() - 60.0, told, **more)  # type: ignore[arg-type]
    with closing(Store.open(dairy.with_name("d.sqlite"))) as store:
        store.add_transitions([Transition(clock.now(), State.NORM, Trigger.ABNORMAL, alarm)])


def entries(dairy: Path) -> list[Entry]:
    with closing(Store.open(dairy.with_name("d.sqlite"))) as store:
        return store.entries()


def test_alarms_are_listed_with_their_state_and_name(call: Call, dairy: Path) -> None:
    assert call("list") == QUIET
    stand(dairy, DRY, State.UNACK)
    stand(dairy, WARM, State.SHLVD, beneath=State.ACKED, until=clock.now() + 600)
    dry, warm = call("list").splitlines()
    assert dry.startswith("UNACK ")
    assert f"{DRY}: the cave" in dry
    assert warm.startswith("SHLVD ")
    assert "until" in warm


def test_a_part_of_the_name_is_enough_where_only_one_has_it(call: Call, dairy: Path) -> None:
    stand(dairy, DRY, State.UNACK)
    stand(dairy, WARM, State.UNACK)
    assert "may be" in call("acknowledge", "cave", fails=True)
    assert "there is no alarm 'attic'" in call("acknowledge", "attic", fails=True)
    assert "entry 1: acknowledged" in call("acknowledge", "HUMIDITY LOW")
    assert [entry.act for entry in entries(dairy)] == [Acknowledged(DRY)]


@pytest.mark.parametrize(
    ("words", "state", "said"),
    [
        (("acknowledge", DRY), State.ACKED, "does not wait to be acknowledged: it is ACKED"),
        (("acknowledge", DRY), State.SHLVD, "does not wait to be acknowledged: it is SHLVD"),
        (("reset", DRY), State.RTNUN, "is not latched"),
        (("unshelve", DRY), State.UNACK, "no alarm is shelved"),
        (("back", DRY), State.UNACK, "no alarm is out of service"),
        (("shelve", DRY, "--for", "2 d"), State.UNACK, "at most 24 h away"),
        (("shelve", DRY, "--for", "soon"), State.UNACK, "30 s, 5 min"),
        (("out", DRY, "--why", " "), State.UNACK, "say why"),
        (("suspend", "cave", "--for", "9 h"), State.UNACK, "at most 8 h away"),
        (("suspend", "attic"), State.UNACK, "there is no place"),
    ],
)
def test_what_the_state_does_not_allow_is_refused_and_leaves_nothing(
    call: Call, dairy: Path, words: tuple[str, ...], state: State, said: str
) -> None:
    stand(dairy, DRY, state)
    assert said in call(*words, fails=True)
    assert entries(dairy) == []


def test_shelving_has_an_end_and_can_be_taken_back(call: Call, dairy: Path) -> None:
    stand(dairy, DRY, State.UNACK)
    call("shelve", DRY, "--for", "3 h", "--why", "humidifier ordered")
    (entry,) = entries(dairy)
    assert isinstance(entry.act, Shelved)
    assert entry.act.until - entry.at == pytest.approx(3 * 3600.0, abs=5.0)
    call("unshelve", DRY)
    assert "no alarm is shelved" in call("unshelve", DRY, fails=True)


def test_an_alarm_that_does_not_stand_can_be_taken_out_of_service(call: Call) -> None:
    call("out", "cave.humidity low low", "--why", "probe away", "--by", "KM")
    assert call("list") == "OOSRV          cave.humidity low low: probe away (KM)\n"
    call("back", "cave.humidity low low")
    assert call("list") == QUIET


def test_a_place_is_suspended_for_cleaning_and_that_can_be_over_sooner(
    call: Call, dairy: Path
) -> None:
    call("suspend", "CAVE", "--why", "cleaning")
    assert "DSUPR          cave until" in call("list")
    call("suspend", "cave", "--over")
    assert call("list") == QUIET
    first, last = (entry.act for entry in entries(dairy))
    assert isinstance(first, Suppressed)
    assert isinstance(last, Suppressed)
    assert (first.place, first.why) == ("cave", "cleaning")


def test_a_latched_alarm_is_reset(call: Call, dairy: Path) -> None:
    stand(dairy, DRY, State.LATCHED_ACKED)
    call("reset", DRY)
    assert [entry.act for entry in entries(dairy)] == [Reset(DRY)]


def test_no_control_character_reaches_the_terminal(call: Call) -> None:
    call("out", DRY, "--why", "\x1b[2Jgone")
    assert "\x1b" not in call("list")
