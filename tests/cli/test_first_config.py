"""The config that the set-up writes: whatever was answered, it loads and says the same."""

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cavewatch.cli.first_config import config_text
from cavewatch.cli.setting_up import SetUpError, ThisMachine
from cavewatch.config import parse
from cavewatch.core.place import PlaceKind
from cavewatch.core.reading import Quantity
from cavewatch.core.sensor import LineFormat, Unit
from cavewatch.screens.setup.answers import (
    Answers,
    PlaceAnswer,
    PortHeard,
    SensorAnswer,
    ValueHeard,
)
from cavewatch.units import System


def words(longest: int, without: str = "") -> st.SearchStrategy[str]:
    kept = st.characters(exclude_characters=without, codec="utf-8").filter(str.isprintable)
    return st.text(kept, min_size=1, max_size=longest).map(str.strip).filter(bool)


RANGES = {
    Quantity.TEMPERATURE: ("10 degC", "14 degC"),
    Quantity.HUMIDITY: ("85 %", "95 %"),
}


@st.composite
def places(draw: st.DrawFn) -> tuple[PlaceAnswer, ...]:
    found = []
    for name in draw(
        st.lists(words(24, "."), min_size=1, max_size=4, unique_by=lambda name: name.casefold())
    ):
        kind = draw(st.sampled_from(PlaceKind))
        tub = kind is PlaceKind.TUB
        wanted = [] if tub else draw(st.lists(st.sampled_from(Quantity), unique=True))
        volume = draw(st.sampled_from(["", "60 L"])) if tub else ""
        brine = ("19 Be", volume, "54 degF") if tub else ("", "", "")
        found.append(PlaceAnswer(name, kind, {q: RANGES[q] for q in wanted}, *brine))
    return tuple(found)


@st.composite
def answers(draw: st.DrawFn) -> Answers:
    where = draw(places())
    names = draw(
        st.lists(words(12), min_size=1, max_size=3, unique_by=lambda name: name.casefold())
    )
    heard = PortHeard(
        "/dev/serial/by-id/usb-probe",
        "USB",
        19_200,
        format=draw(st.sampled_from([LineFormat.PAIRS, LineFormat.JSON, LineFormat.COLUMNS])),
        columns=tuple(names),
        every=draw(st.none() | st.integers(1, 86_400)),
        values=tuple(ValueHeard(name, "12.3", None) for name in names),
    )
    feeds = {
        names[0]: (
            f"{where[0].name}.temperature",
            draw(st.sampled_from([Unit.CELSIUS, Unit.FAHRENHEIT])),
        )
    }
    used = draw(st.booleans())
    return Answers(
        name=draw(words(40)),
        units=draw(st.sampled_from(System)),
        zone="Europe/Dublin",
        initials=draw(st.just("") | words(8)),
        styles=tuple(draw(st.lists(st.sampled_from(["gouda", "edam", "tilsit"]), unique=True))),
        places=where,
        sensors=(SensorAnswer("probe", heard, feeds),) if used else (),
        idle=() if used else draw(st.sampled_from([(), (heard,)])),
    )


@given(answers())
def test_whatever_is_answered_loads_without_fault_and_says_the_same(told: Answers) -> None:
    config = parse(config_text(told), Path("/nowhere/config.toml"))
    assert (config.name, config.units, config.initials) == (told.name, told.units, told.initials)
    assert [(p.name, p.kind) for p in config.places] == [(p.name, p.kind) for p in told.places]
    assert [set(p.own) for p in config.places] == [set(p.ranges) for p in told.places]
    assert {id for id, each in config.styles.items() if each.made_here} == set(told.styles)
    assert [s.name for s in config.sensors] == [s.name for s in told.sensors]


CAVE = Answers(name="Hillside", zone="UTC", places=(PlaceAnswer("cave", PlaceKind.CAVE),))


def test_it_is_commented() -> None:
    text = config_text(CAVE)
    for table in ("[dairy]", "[store]", "[[place]]", "#[[sensor]]"):
        before, _, _ = text.partition(table)
        assert before.rstrip("\n").splitlines()[-1].startswith("#") or table == "[dairy]"
    assert text.startswith("# Settings of one dairy")


def test_a_config_is_written_whole_in_a_folder_that_is_made(tmp_path: Path) -> None:
    machine = ThisMachine(tmp_path / "new" / "folder" / "config.toml")
    machine.write(machine.config(CAVE))
    folder = tmp_path / "new" / "folder"
    assert [file.name for file in folder.iterdir()] == ["config.toml"]
    assert (folder / "config.toml").read_text(encoding="utf-8") == config_text(CAVE)


def test_nothing_is_overwritten(tmp_path: Path) -> None:
    path = tmp_path / "config.toml"
    path.write_text("mine", encoding="utf-8")
    with pytest.raises(SetUpError, match="is there by now and is left as it is"):
        ThisMachine(path).write(config_text(CAVE))
    assert path.read_text(encoding="utf-8") == "mine"
    assert list(tmp_path.iterdir()) == [path]


def test_a_folder_that_cannot_be_made_is_told_in_a_sentence(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("", encoding="utf-8")
    with pytest.raises(SetUpError, match="cannot be made"):
        ThisMachine(tmp_path / "file" / "config.toml").write(config_text(CAVE))


def test_a_config_that_does_not_fit_on_the_disk_is_taken_away_again(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(_: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("os.fsync", full)
    with pytest.raises(SetUpError, match="cannot be written: No space left"):
        ThisMachine(tmp_path / "config.toml").write(config_text(CAVE))
    assert list(tmp_path.iterdir()) == []
