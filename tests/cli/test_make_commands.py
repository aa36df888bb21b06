"""The make sheet, the label and corrective actions as a person calls for them."""

import json
import subprocess
import sys
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

import pytest
from click.testing import CliRunner

from cavewatch import clock
from cavewatch.cli import main
from cavewatch.config import load
from cavewatch.core.alarms.alarm import Alarm, Explanation, Priority, Transition
from cavewatch.core.alarms.table import State, Trigger
from cavewatch.core.journal import Acidity, Corrected, Entry, Milk, Sample, Treatment
from cavewatch.core.reading import Channel, Reading
from cavewatch.store import Store

DAY = 86_400.0
CONFIG = """
[dairy]
name = "Test"
zone = "Europe/Dublin"
initials = "TT"
[store]
path = "d.sqlite"
[[place]]
name = "tub"
kind = "tub"
[place.brine]
strength = 20
temperature = 12
volume = "60 L"
[[place]]
name = "cave"
kind = "cave"
[[sensor]]
name = "board"
port = "/dev/null"
every = "5 min"
[sensor.fields]
T = "cave.temperature"
H = "cave.humidity"
"""
Call = Callable[..., str]


@pytest.fixture
def dairy(tmp_path: Path) -> Path:
    (tmp_path / "d.toml").write_text(CONFIG)
    return tmp_path / "d.toml"


@pytest.fixture
def call(dairy: Path) -> Call:
    def run(*words: str, fails: bool = False) -> str:
        found = CliRunner().invoke(main, ["--config", str(dairy), *words])
        assert found.exit_code == (1 if fails else 0), found.output
        assert "Traceback" not in found.output
        return found.output

    return run


def entries(dairy: Path) -> list[Entry]:
    with closing(Store.open(dairy.with_name("d.sqlite"))) as store:
        return store.entries()


@pytest.fixture
def made(call: Call, dairy: Path) -> Path:
    """Three wheels of raw milk: made 30 days ago, in brine two days, in the cave since."""
    call(
        "make", "milk", "--treatment", "raw", "--lot", "Tue", "--litres", "25 gal",
        "--cultures", "MA 1/8 tsp", "--at", "30 d ago",
    )  # fmt: skip
    call("make", "ph", "6.55", "milk", "--lot", "tue", "--at", "30 d ago")
    call(
        "wheel", "new", "gouda", "--count", "3", "--place", "tub", "--lot", "Tue",
        "--weight", "4.2 kg", "--made", "30 d ago", "--at", "29 d ago",
    )  # fmt: skip
    call("wheel", "lift", "1-3", "--to", "cave", "--at", "27 d ago")
    call("wheel", "weigh", "1-3", "--weight", "4.1 kg", "--at", "27 d ago")
    call("wheel", "weigh", "1", "--weight", "3.7 kg")
    call("wheel", "turn", "2", "--at", "3 d ago")
    call("wheel", "void", "7", "--why", "it was wheel 9", "--by", "KM")
    return dairy


def test_milk_and_ph_are_entered_before_there_are_wheels_and_after(call: Call, made: Path) -> None:
    call("make", "ph", "5,2", "cheese", "--make", "2")
    call("make", "ph", "5.3", "curd", "1", "3")
    acts = [entry.act for entry in entries(made)]
    assert acts[0] == Milk(
        Treatment.RAW, lot="Tue", litres=pytest.approx(94.635, abs=0.001), cultures="MA 1/8 tsp"
    )
    assert acts[1] == Acidity(6.55, Sample.MILK, lot="tue")
    assert acts[-2:] == [
        Acidity(5.2, Sample.CHEESE, (1, 2, 3)),
        Acidity(5.3, Sample.CURD, (1, 3)),
    ]


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("milk", "--treatment", "raw", "--lot", "x", "--heat", "63"), "raw milk is not heated"),
        (("milk", "--treatment", "raw"), "name the make"),
        (("milk", "--treatment", "raw", "1", "--lot", "x"), "name the make"),
        (("milk", "--treatment", "raw", "--lot", "x", "--litres", "9"), "has no unit"),
        (("milk", "--treatment", "raw", "--make", "7"), "there is no wheel 7"),
        (("ph", "14", "curd", "--lot", "x"), "is no pH"),
        (("ph", "5.2", "curd", "1-999999999"), "there is no wheel 999999999"),
        (("ph", "5.2", "curd", "9" * 5000), "names no wheel"),
        (("sheet", "7"), "there is no wheel 7 on record"),
    ],
)
def test_a_slip_is_one_sentence_and_leaves_nothing(
    call: Call, dairy: Path, words: tuple[str, ...], said: str
) -> None:
    assert said in call("make", *words, fails=True)
    assert entries(dairy) == []


def test_who_signs_nothing_is_told_that_a_record_needs_it(call: Call) -> None:
    milk = ("make", "milk", "--treatment", "raw", "--lot", "x")
    assert "nobody's initials" in call(*milk, "--by", " ")
    assert "initials" not in call(*milk)


@pytest.mark.usefixtures("made")
def test_a_sheet_tells_what_is_on_record_and_what_is_not(call: Call) -> None:
    told = call("make", "sheet", "2")
    assert max(len(line) for line in told.splitlines()) <= 80
    flat = " ".join(told.split())
    for words in (
        "MAKE SHEET: Gouda, lot Tue, wheels 1–3",
        "raw milk, 95 L (TT, written",
        "cultures: MA 1/8 tsp",
        "6.55 milk",
        "plan: brine, aim 2 % salt",
        "20.0 % going in, 19.5 % coming out",
        "lost 9.8 % since",
        "more than usual",
        "STRUCK 7: turned wheel 2",
        "struck by entry 8, KM",
        "it was wheel 9",
        "cave.temperature: no data for 27 d",
        "Listeria",
        "the licensing authority decide",
    ):
        assert words in flat, words
    assert "ALARMS\n  none on record" in told
    assert "safe" not in told.casefold()


@pytest.mark.usefixtures("made")
def test_the_same_facts_as_json(call: Call) -> None:
    told = json.loads(call("make", "sheet", "2", "--json"))
    assert told["milk"][0]["treatment"] == "raw"
    assert [wheel["number"] for wheel in told["wheels"]] == [1, 2, 3]
    assert told["weights"][0]["verdict"] == "more than usual"
    assert [line["struck_by"] for line in told["entries"]] == [
        None,
        None,
        None,
        None,
        None,
        8,
        None,
    ]
    assert told["raw_milk"][0]["unknown_days"] == pytest.approx(30, abs=0.01)
    assert {gap["channel"] for gap in told["gaps"]} == {"cave.humidity", "cave.temperature"}
    # The clock was put back an hour meanwhile, or not: each time has its own offset.
    assert told["drawn_up"][-6:] in ("+00:00", "+01:00")


def test_raw_milk_days_are_a_countdown_from_the_temperature_record(call: Call, made: Path) -> None:
    hour = (clock.now() - 26 * DAY) // 3600 * 3600
    with closing(Store.open(made.with_name("d.sqlite"))) as store:
        store.add_readings(
            Reading(Channel.named("cave.temperature"), hour + n * 3600, 1.0 if n < 48 else 11.0)
            for n in range(25 * 24)
        )
    told = " ".join(call("make", "sheet", "1").split())
    assert "wheels 1–3: day 23 of 60, earliest " in told
    assert "not counted: 2.0 days too cold, 5.0 days without a temperature on record" in told


def test_milk_that_is_not_on_record_or_pasteurised_has_no_countdown(call: Call) -> None:
    call("wheel", "new", "gouda", "--place", "cave", "--salted-already")
    assert "the milk is not on record" in call("make", "sheet", "1")
    call("make", "milk", "1", "--treatment", "pasteurised", "--heat", "63 degC, 30 min")
    assert "pasteurised milk: no days are counted" in call("make", "sheet", "1")


@pytest.mark.usefixtures("made")
def test_makes_are_listed(call: Call) -> None:
    call("wheel", "new", "tilsit", "--place", "cave")
    first, second = call("make", "list").splitlines()
    assert first.endswith("Gouda, wheels 1–3  Tue")
    assert second.endswith("wheel 4")


def test_a_label_names_the_milk_and_sends_the_rest_to_the_maker(made: Path) -> None:
    found = CliRunner().invoke(main, ["--config", str(made), "wheel", "label", "1"])
    assert found.exit_code == 0, found.output
    lines = found.stdout.splitlines()
    assert lines[0] == "Gouda"
    assert lines[1] == "Lot Tue, wheel 1"
    assert lines[2].startswith("Made ")
    assert lines[3].startswith("Weight 3.7 kg, ")
    assert lines[4:] == ["Made with raw milk"]
    assert "raw milk: day 0 of 60" in found.stderr
    assert "Check local labelling rules" in found.stderr


def test_a_label_without_milk_on_record_says_so(call: Call) -> None:
    call("wheel", "new", "gouda", "--place", "cave", "--salted-already")
    assert "the milk is not on record" in call("wheel", "label", "1")


@pytest.mark.usefixtures("made")
def test_a_wheels_weights_are_told_with_what_is_usual_and_its_sources(call: Call) -> None:
    told = call("wheel", "weights", "1")
    assert "4.2 kg to salt, 4.1 kg" in told
    assert "usual by then for style and size" in told
    assert "The Book of Cheese, 1918, table 19" in told
    assert "there is no wheel 9" in call("wheel", "weights", "9", fails=True)


def test_a_style_is_told_as_the_config_says_it_and_can_be_put_into_one(
    call: Call, dairy: Path
) -> None:
    told = call("make", "style", "gouda")
    assert told.startswith("[style.gouda]\n")
    before = load(dairy).styles["gouda"]
    dairy.write_text(CONFIG + told)
    assert load(dairy).styles["gouda"] == before
    assert "there is no style 'gold'" in call("make", "style", "gold", fails=True)


DRY = "cave.humidity low"


def alarm(dairy: Path, *changes: tuple[float, State, Trigger]) -> None:
    """One alarm with these changes, so many hours ago."""
    told = Explanation("cave is too dry: 81 %", "a door", "rinds crack", "shut it", 4.0)
    before, since = State.NORM, 0.0
    with closing(Store.open(dairy.with_name("d.sqlite"))) as store:
        for hours, state, trigger in changes:
            at = clock.now() - hours * 3600.0
            since = at if trigger is Trigger.ABNORMAL else since
            found = Alarm(DRY, state, Priority.LOW, since, told, place="cave")
            store.add_transitions([Transition(at, before, trigger, found)])
            before = state


def test_an_alarm_is_closed_with_what_was_done_and_is_on_the_sheet(call: Call, made: Path) -> None:
    alarm(made, (30, State.UNACK, Trigger.ABNORMAL), (20, State.RTNUN, Trigger.NORMAL))
    assert "no corrective action on record" in call("alarm", "past")
    told = call(
        "alarm", "close", "humidity low", "--product", "rinds brushed, kept", "--cause",
        "door shut", "--at", "25 h ago",
    )  # fmt: skip
    assert "still waits: acknowledge or reset it as well" in told
    assert entries(made)[-1].act == Corrected(DRY, "rinds brushed, kept", "door shut")
    for shown in (call("alarm", "past"), call("make", "sheet", "1")):
        flat = " ".join(shown.split())
        assert "cave is too dry: 81 %" in flat
        assert "not acknowledged" in flat
        assert "product: rinds brushed, kept; cause: door shut" in flat
    assert "product: rinds brushed" in call("alarm", "list")
    assert "no alarm came in that time without an action" in call("alarm", "past", "--open")


def test_closing_does_not_clear_an_alarm_that_is_still_abnormal(call: Call, made: Path) -> None:
    alarm(made, (30, State.UNACK, Trigger.ABNORMAL))
    told = call("alarm", "close", DRY, "--product", "moved to the other cave")
    assert "stands on: its cause is still there" in told
    assert call("alarm", "list").startswith("UNACK ")


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ((DRY, "--product", " "), "say what was done with the product"),
        ((DRY, "--product", "x", "--at", "40 h ago"), "had not come by then"),
        (("attic", "--product", "x"), "there is no alarm 'attic'"),
    ],
)
def test_an_action_that_fits_no_alarm_is_refused(
    call: Call, dairy: Path, words: tuple[str, ...], said: str
) -> None:
    alarm(dairy, (30, State.UNACK, Trigger.ABNORMAL))
    assert said in call("alarm", "close", *words, fails=True)
    assert entries(dairy) == []


@pytest.mark.usefixtures("made")
def test_hostile_text_reaches_no_terminal(call: Call) -> None:
    call("make", "milk", "1", "--treatment", "raw", "--source", "\x1b[2Jgone\u202e")
    told = call("make", "sheet", "1")
    assert "\x1b" not in told
    assert "\u202e" not in told


def test_a_sheet_needs_neither_textual_nor_numpy_nor_pint(made: Path) -> None:
    code = (
        "import sys; from cavewatch.cli import main\n"
        f"main(['--config', {str(made)!r}, 'make', 'sheet', '1'], standalone_mode=False)\n"
        "print(sorted({'textual', 'numpy', 'pint'} & set(sys.modules)))"
    )
    ran = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True, timeout=60
    )
    assert ran.stdout.splitlines()[-1] == "[]"
