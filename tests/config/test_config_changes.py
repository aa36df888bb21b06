"""What-if: keys of the config changed for one run."""

from pathlib import Path

import pytest

from cavewatch.config import ConfigError, parse
from cavewatch.core.reading import Channel, Quantity

TEXT = """
[dairy]
name = "Tests"
zone = "UTC"

[[place]]
name = "near cave"
kind = "cave"
humidity = [80, 90]

[[place]]
name = "far cave"
kind = "cave"
"""
PATH = Path("tests.toml")


def test_without_changes_the_config_is_as_it_stands() -> None:
    assert parse(TEXT, PATH, ()) == parse(TEXT, PATH)


def test_a_place_goes_by_its_name() -> None:
    near, far = parse(TEXT, PATH, ['place."far cave".humidity=[85, 95]']).places
    assert near.own[Quantity.HUMIDITY].low == 80
    assert far.own[Quantity.HUMIDITY].low == 85


def test_a_table_that_the_file_lacks_is_made() -> None:
    changed = parse(TEXT, PATH, ['tuning."near cave.humidity".on_delay=40 min'])
    assert changed.tunings[Channel("near cave", Quantity.HUMIDITY)].on_delay == 2400.0


def test_a_later_change_of_a_key_overrules_an_earlier_one() -> None:
    assert parse(TEXT, PATH, ["dairy.name=one", "dairy.name=two"]).name == "two"


def test_a_style_borrows_stages_and_the_brines_temperature_of_another() -> None:
    before, after = parse(TEXT, PATH).styles, parse(TEXT, PATH, ["style.gouda=tilsit"]).styles
    gouda, tilsit = after["gouda"], before["tilsit"]
    assert gouda.stages == tilsit.stages != before["gouda"].stages
    assert gouda.brine is not None
    assert tilsit.brine is not None
    assert gouda.brine.temperature == tilsit.brine.temperature
    assert gouda.salt == before["gouda"].salt


@pytest.mark.parametrize(
    "change",
    ["", "=", "a=1\nb=2", "[dairy]", "style.gouda=nothing", 'place."no cave".kind=room', "x=1"],
)
def test_what_cannot_be_changed_is_a_fault(change: str) -> None:
    with pytest.raises(ConfigError):
        parse(TEXT, PATH, [change])
