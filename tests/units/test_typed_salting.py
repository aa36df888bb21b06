"""What the planner is told: targets, diffusivities, shares, waking hours."""

import pytest

from cavewatch import clock, units
from cavewatch.core.errors import CavewatchError
from cavewatch.core.salting.target import Basis, Target
from cavewatch.units import UnitError


@pytest.mark.parametrize(
    ("text", "target"),
    [
        ("1.8 %", Target(1.8)),
        ("1,8%", Target(1.8)),
        ("4.5 % S/M", Target(4.5, Basis.MOISTURE)),
        ("4.5% s / m", Target(4.5, Basis.MOISTURE)),
        ("4.5 percent salt in moisture", Target(4.5, Basis.MOISTURE)),
    ],
)
def test_a_target_says_what_it_is_counted_by(text: str, target: Target) -> None:
    assert units.target(text) == target


@pytest.mark.parametrize("text", ["1.8", "1.8 g", "1.8 % of the brine", "-1 %", "0 %", "90 %", ""])
def test_a_target_left_open_or_out_of_range_is_refused(text: str) -> None:
    with pytest.raises(CavewatchError, match=r"1\.8 %"):
        units.target(text)


@pytest.mark.parametrize(
    ("text", "per_day"),
    [
        ("0.2", 0.2),
        ("0,2 cm2/day", 0.2),
        ("0.2 cm²/day", 0.2),
        ("2.3e-10 m2/s", 0.19872),
        ("2.3e-6 cm^2 / s", 0.19872),
    ],
)
def test_a_diffusivity_is_read_per_day(text: str, per_day: float) -> None:
    assert units.diffusivity(text) == pytest.approx(per_day)


@pytest.mark.parametrize("text", ["", "fast", "0.2 cm", "0.2 m2", "1e9999 m2", "0.2 cm2/week"])
def test_what_is_no_diffusivity_is_refused(text: str) -> None:
    with pytest.raises(UnitError, match="cm2/day"):
        units.diffusivity(text)


def test_a_share_is_a_percentage() -> None:
    assert units.share("65 %") == 0.65
    for text in ("65", "101 %", "-1 %", "65 g"):
        with pytest.raises(UnitError, match="65"):
            units.share(text)


@pytest.mark.parametrize(
    ("text", "hours"),
    [
        ("06:00-22:00", (6, 22)),
        ("6 - 22", (6, 22)),
        ("18:30 to 2:00", (18.5, 2)),
        ("0-24", (0, 24)),
    ],
)
def test_waking_hours_are_read(text: str, hours: tuple[float, float]) -> None:
    assert units.waking_hours(text) == (hours[0] * 3600, hours[1] * 3600)


@pytest.mark.parametrize("text", ["", "6", "06:00", "06:00-24:30", "25-26", "6:99-7"])
def test_what_are_no_waking_hours_is_refused(text: str) -> None:
    with pytest.raises(UnitError, match="06:00-22:00"):
        units.waking_hours(text)


@pytest.mark.parametrize("name", ["Europe/Dublin", ":Europe/Dublin"])
def test_the_machine_s_zone_is_the_one_it_is_set_to(
    monkeypatch: pytest.MonkeyPatch, name: str
) -> None:
    monkeypatch.setenv("TZ", name)
    assert clock.machine_zone().key == "Europe/Dublin"


def test_a_machine_without_a_named_zone_is_in_some_zone(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("TZ", "Nowhere/At-all")
    assert clock.machine_zone().key


def test_a_time_that_cannot_be_read_is_repeated_without_its_escape_codes() -> None:
    with pytest.raises(clock.TimeError) as fault:
        clock.instant("\x1b[31msoon\x07", 0.0, clock.zone("UTC"))
    assert "soon" in str(fault.value)
    assert "\x1b" not in str(fault.value)
