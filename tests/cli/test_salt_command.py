"""`cavewatch salt` as a maker calls it."""

import json
import re
from datetime import datetime
from pathlib import Path
from typing import Any

import click
import pytest
from click.testing import CliRunner, Result

from cavewatch import clock
from cavewatch.cli import main
from cavewatch.cli.salt import salt
from cavewatch.cli.salt.layout import spoons
from cavewatch.core.brine.scales import from_sg

ROOT = Path(__file__).parents[2]
NOON = datetime.fromisoformat("2026-03-04T12:00:00+00:00").timestamp()


@pytest.fixture
def call(tmp_path: Path, monkeypatch: pytest.MonkeyPatch):  # type: ignore[no-untyped-def]
    monkeypatch.setenv("CAVEWATCH_CONFIG", str(tmp_path / "none.toml"))
    monkeypatch.setenv("TZ", "Europe/Dublin")
    monkeypatch.setenv("COLUMNS", "80")
    monkeypatch.setattr(clock, "now", lambda: NOON)

    def run(*words: str) -> Result:
        return CliRunner().invoke(main, ["salt", *words])

    return run


@pytest.fixture
def answer(call):  # type: ignore[no-untyped-def]
    def run(*words: str) -> dict[str, Any]:
        found = call(*words, "--json")
        assert found.exit_code == 0, found.output
        return json.loads(found.output)  # type: ignore[no-any-return]

    return run


def test_the_json_has_the_plan_and_every_input_in_named_units(answer) -> None:  # type: ignore[no-untyped-def]
    plan = answer(
        "--style", "gouda", "--weight", "5 lb", "--size", "7 in x 3.2 in", "--method", "brine",
        "--brine", "2.25 lb/gal", "--tub", "5 gal", "--wheels", "2", "--temperature", "54 degF",
        "--wheel-temperature", "25 degC", "--target", "1.8 %", "--diffusivity", "2.3e-10 m2/s",
        "--partition", "0.8", "--rate-factor", "0.5", "--moisture", "44 %",
    )  # fmt: skip
    inputs = plan["inputs"]
    expected = {
        "style": "gouda",
        "method": "brine",
        "weight_grams": 2267.96185,
        "form": "wheel",
        "diameter_cm": 17.78,
        "height_cm": 8.128,
        "brine_percent": 21.2663,
        "tub_litres": 18.9271,
        "wheels": 2,
        "temperature_celsius": 12.2222,
        "wheel_temperature_celsius": 25.0,
        "target_salt_percent": 1.8,
        "target_salt_in_moisture_percent": None,
        "for_hours": None,
        "diffusivity_cm2_per_day": 0.19872,
        "partition": 0.8,
        "moisture_percent": 44.0,
        "floating": True,
    }
    for key, value in expected.items():
        close = pytest.approx(value, rel=1e-4) if isinstance(value, float) else value
        assert inputs[key] == close, key
    assert inputs["rate_factor"] == {"low": 0.5, "expected": 0.5, "high": 0.5}
    lift = plan["lift_after_hours"]
    assert 0 < lift["earliest"] <= lift["expected"] <= lift["latest"]
    assert len(plan["face_salt_grams"]) == len(plan["turn_after_hours"]) + 1
    assert plan["salt_percent"]["expected"] == pytest.approx(1.8, abs=1e-3)
    assert plan["brine_after_percent"]["expected"] < 21.26
    assert 0 < plan["uptake_fraction"]["expected"] < 1
    for key in ("salt_in_moisture_percent", "weight_after_grams", "even_after_days"):
        assert plan[key]["low"] <= plan[key]["expected"] <= plan[key]["high"]


def test_a_target_in_moisture_and_a_time_are_echoed_as_what_they_are(answer) -> None:  # type: ignore[no-untyped-def]
    plan = answer("--style", "gouda", "--target", "4.5 % S/M")
    assert plan["inputs"]["target_salt_in_moisture_percent"] == 4.5
    assert plan["inputs"]["target_salt_percent"] is None
    assert plan["salt_in_moisture_percent"]["expected"] == pytest.approx(4.5, abs=2e-3)
    timed = answer("--style", "gouda", "--for", "12 h")
    assert timed["inputs"]["for_hours"] == 12.0
    assert timed["inputs"]["target_salt_percent"] is None
    assert timed["lift_after_hours"] == {"earliest": 12.0, "expected": 12.0, "latest": 12.0}


def test_what_is_not_reached_has_no_time(answer) -> None:  # type: ignore[no-untyped-def]
    plan = answer("--style", "gouda", "--brine", "3 %")
    assert not plan["reached"]
    assert plan["lift_after_hours"] == {"earliest": None, "expected": None, "latest": None}
    assert "stronger than" in plan["cautions"][0]


def test_no_style_is_needed_where_the_cheese_is_described(answer) -> None:  # type: ignore[no-untyped-def]
    plan = answer("--target", "1.8 %", "--size", "20 x 10 x 8 cm", "--moisture", "46 %")
    assert plan["inputs"]["style"] is None
    assert plan["inputs"]["form"] == "block"
    assert plan["inputs"]["weight_grams"] == pytest.approx(1600 * 1.08)


def test_a_hydrometer_may_be_read_at_the_brine_s_temperature(answer) -> None:  # type: ignore[no-untyped-def]
    def strength(text: str) -> float:
        return float(answer("--style", "gouda", "--brine", text)["inputs"]["brine_percent"])

    assert strength("1.15 SG") == pytest.approx(from_sg(1.15))
    # An instrument for 60 degF reads high in colder brine (checked in the brine's own tests).
    assert strength("1.15 SG at 4 degC") < from_sg(1.15) - 0.3
    assert strength("1.15 SG @ 60 degF") == pytest.approx(from_sg(1.15), abs=1e-6)
    assert strength("80 salometer") == pytest.approx(0.8 * 26.395, abs=0.01)
    assert strength("saturated") == pytest.approx(26.36, abs=0.03)


def test_submerged_wheels_are_not_turned(answer) -> None:  # type: ignore[no-untyped-def]
    plan = answer("--style", "gouda", "--submerged")
    assert plan["turn_after_hours"] == []
    assert plan["face_salt_grams"] == []
    assert plan["above_brine_cm"] is None
    assert answer("--style", "gouda", "--floating")["above_brine_cm"] > 0.3


def test_dry_salt_and_milled_curd_speak_json_too(answer) -> None:  # type: ignore[no-untyped-def]
    dry = answer("--style", "limburger", "--coats", "4", "--front-loaded", "--retention", "60 %")
    coats = [step["salt_grams"]["expected"] for step in dry["steps"] if step["salt_grams"]]
    assert len(coats) == 4
    assert coats == sorted(coats, reverse=True)
    assert sum(coats) == pytest.approx(dry["dry_salt_grams"]["expected"], rel=1e-6)
    curd = answer("--style", "cheddar", "--weight", "10 kg", "--applications", "3")
    assert sum(curd["applications_grams"]) == pytest.approx(curd["salt_grams"], rel=1e-6)
    assert 0 < curd["drains_fraction"]["low"] < curd["drains_fraction"]["high"] < 1
    assert curd["salt_in_moisture_percent"]["low"] < curd["salt_in_moisture_percent"]["high"]


@pytest.mark.parametrize(
    "items", ["18 %, 20 %, 22 %", "18, 20, 22 %", "18 %;20 %;22 %", "18 %,20 %,22 %"]
)
def test_strengths_are_compared_however_they_are_parted(answer, items: str) -> None:  # type: ignore[no-untyped-def]
    plans = answer("--style", "gouda", "--compare", items)["plans"]
    assert [plan["inputs"]["brine_percent"] for plan in plans] == [18.0, 20.0, 22.0]
    lifts = [plan["lift_after_hours"]["expected"] for plan in plans]
    assert lifts == sorted(lifts, reverse=True)


def test_times_are_compared_in_columns_that_fit(call) -> None:  # type: ignore[no-untyped-def]
    found = call("--style", "gouda", "--compare", "6 h, 12 h, 24 h, 36 h, 48 h, 60 h, 72 h")
    lines = found.output.splitlines()
    assert max(map(len, lines)) <= 80
    salts = re.findall(r"([\d.]+) %", " ".join(line for line in lines if line.startswith("salt ")))
    assert len(salts) == 7
    assert [float(each) for each in salts] == sorted(float(each) for each in salts)


def _hour(text: str) -> float:
    at = datetime.fromisoformat(text)
    return at.hour + at.minute / 60


def test_turns_and_lift_fall_in_waking_hours(answer) -> None:  # type: ignore[no-untyped-def]
    plan = answer("--style", "gouda", "--in-at", "16:30", "--awake", "06:00-22:00")
    table = plan["timetable"]
    assert table["zone"] == "Europe/Dublin"
    assert table["in_at"] == "2026-03-04T16:30:00+00:00"
    assert all(6 <= _hour(step["at"]) <= 22 for step in table["steps"])
    # The target that was aimed at is still told.
    assert plan["inputs"]["target_salt_percent"] == pytest.approx(1.88)


def test_being_out_by_a_time_plans_backwards(answer) -> None:  # type: ignore[no-untyped-def]
    plan = answer("--style", "gouda", "--out-by", "Sun 07:00", "--awake", "06:00-22:00")
    table = plan["timetable"]
    out = datetime.fromisoformat(table["steps"][-1]["at"])
    assert out <= datetime.fromisoformat("2026-03-08T07:00:00+00:00")
    assert 6 <= _hour(table["in_at"]) <= 22
    assert table["out_by"] == "2026-03-08T07:00:00+00:00"
    assert plan["salt_percent"]["expected"] == pytest.approx(1.88, abs=0.1)


def test_too_little_time_is_told_with_what_it_gives(call) -> None:  # type: ignore[no-untyped-def]
    found = call("--style", "gouda", "--in-at", "16:30", "--out-by", "21:00")
    assert found.exit_code == 0, found.output
    assert "takes up too little" in " ".join(found.output.split())


@pytest.mark.parametrize(
    "words",
    [
        ("--style", "gouda"),
        ("--style", "edam", "--tub", "10 L", "--wheels", "3"),
        ("--style", "emmental", "--brine", "saturated", "--in-at", "now"),
        ("--style", "limburger", "--front-loaded"),
        ("--style", "cheddar", "--weight", "20 lb", "--applications", "2"),
        ("--style", "gouda", "--brine", "3 %", "--wheel-temperature", "30 degC"),
    ],
)
def test_text_fits_the_terminal_and_tells_ranges(call, words) -> None:  # type: ignore[no-untyped-def]
    found = call(*words)
    assert found.exit_code == 0, found.output
    assert max(map(len, found.output.splitlines())) <= 80
    assert " to " in found.output
    assert "nan" not in found.output


def test_water_activity_is_never_called_a_proof_of_safety(call, answer) -> None:  # type: ignore[no-untyped-def]
    text = " ".join(call("--style", "gouda").output.split())
    assert "information, no proof that it is safe" in text
    assert "no proof" in answer("--style", "gouda")["water_activity_note"]


@pytest.mark.parametrize(
    ("teaspoons", "said"),
    [(0.02, "1/4 tsp"), (1.0, "1 tsp"), (2.3, "2 1/4 tsp"), (9.0, "3 tbsp"), (72.0, "1 1/2 cups")],
)
def test_spoons_are_those_of_a_kitchen(teaspoons: float, said: str) -> None:
    assert spoons(teaspoons) == said


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ("", "say which cheese: --style gouda, or what it is to have"),
        ("--target|1.8 %", "say how large the cheese is"),
        ("--style|moonstone", "there is no style 'moonstone'; write one of"),
        ("--style|gouda|--weight|5 parsnips", "'5 parsnips' is not a weight"),
        ("--style|gouda|--weight|5 lb|--size|40 cm x 20 cm", "check weight and size"),
        ("--style|gouda|--brine|40 %", "more than water holds"),
        ("--style|gouda|--brine|22.7 Bx at 12 degC", "no hydrometer's reading"),
        ("--style|gouda|--temperature|60 degC", "it must lie from 0 to 40 degC"),
        ("--style|gouda|--target|1.8", "'1.8' is no target; write 1.8 %"),
        ("--style|gouda|--target|1.8 % of it", "is no target"),
        ("--style|gouda|--target|30 %", "a target of 30 %"),
        ("--style|gouda|--target|2 %|--for|12 h", "say one of the two"),
        ("--style|gouda|--for|12", "'12' is not a length of time"),
        ("--style|gouda|--diffusivity|2 mm", "is no diffusivity"),
        ("--style|gouda|--rate-factor|nan", "rate factor is nan"),
        ("--style|gouda|--moisture|5 %", "moisture of the cheese is 5 %"),
        ("--style|gouda|--coats|3", "--coats is for dry salt"),
        ("--style|gouda|--method|dry|--submerged", "--floating or --submerged is for brine"),
        ("--style|gouda|--method|dry|--retention|2", "'2' is no share"),
        ("--style|cheddar", "say how much curd there is"),
        ("--style|cheddar|--weight|9 kg|--tub|9 L", "--tub is for brine"),
        ("--style|cheddar|--weight|9 kg|--applications|4", "from 1 to 3"),
        ("--style|gouda|--method|milled|--weight|9 kg", "not salted in the milled curd"),
        ("--style|gouda|--awake|06:00-22:00", "--awake wants a time to begin with"),
        ("--style|gouda|--in-at|16:30|--awake|25-99", "are no waking hours"),
        ("--style|gouda|--in-at|soon", "'soon' is not a time"),
        ("--style|gouda|--out-by|11:59", "is past; write a time to come"),
        ("--style|gouda|--in-at|18:00|--out-by|17:00", "out before it goes in"),
        ("--style|gouda|--in-at|16:30|--brine|3 %", "no lift to put on the clock"),
        ("--style|gouda|--compare|18 %", "is not from 2 to 12"),
        ("--style|gouda|--compare|18 %, 20 %|--brine|19 %", "without --brine"),
        ("--style|gouda|--compare|6 h, 9 h|--for|7 h", "goes with neither --for"),
        ("--style|gouda|--compare|6 h, 9 h|--in-at|now", "--compare goes without"),
    ],
)
def test_a_mistake_is_one_sentence_without_traceback(call, words: str, said: str) -> None:  # type: ignore[no-untyped-def]
    found = call(*filter(None, words.split("|")))
    assert found.exit_code == 1
    assert said in found.output
    assert "Traceback" not in found.output


@pytest.mark.parametrize(
    "option",
    [
        option.opts[0]
        for option in salt.params
        if isinstance(option.type, click.types.StringParamType)
    ],
)
def test_no_option_lets_an_escape_code_through(call, option: str) -> None:  # type: ignore[no-untyped-def]
    words = ["--style", "gouda"] if option != "--style" else []
    found = call(*words, option, "\x1b[31m1 \x1b]0;x\x07")
    assert found.exit_code == 1
    assert "\x1b" not in found.output
    assert "Traceback" not in found.output


def test_every_example_of_the_readme_runs(call) -> None:  # type: ignore[no-untyped-def]
    text = (ROOT / "README.md").read_text()
    examples = re.findall(r"^cavewatch salt (.*?)(?:\s+#.*)?$", text, re.MULTILINE)
    assert len(examples) >= 5
    for example in examples:
        words = [quoted or bare for quoted, bare in re.findall(r"'([^']*)'|(\S+)", example)]
        found = call(*words)
        assert found.exit_code == 0, (example, found.output)


def test_a_maker_who_thinks_in_pounds_reads_no_celsius(call) -> None:  # type: ignore[no-untyped-def]
    shown = call("--style", "gouda", "--weight", "5 lb", "--bare-top").output
    assert "53.6 °F" in shown
    assert "°C" not in shown
    assert "on the face that stands out" not in shown
