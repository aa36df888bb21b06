"""The brine commands as a person calls them; every answer is checked by the balance on paper."""

import json
import shlex
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result

from cavewatch.cli import main
from cavewatch.cli.brine import brine
from cavewatch.core.brine.density import density

README = Path(__file__).parents[2] / "README.md"


@pytest.fixture
def call(tmp_path: Path, monkeypatch: pytest.MonkeyPatch):  # type: ignore[no-untyped-def]
    monkeypatch.setenv("CAVEWATCH_CONFIG", str(tmp_path / "none.toml"))

    def run(*words: str) -> Result:
        return CliRunner().invoke(main, words)

    return run


@pytest.fixture
def asked(call):  # type: ignore[no-untyped-def]
    def run(*words: str) -> dict[str, Any]:
        found = call("brine", *words, "--json")
        assert found.exit_code == 0, found.output
        return json.loads(found.output)  # type: ignore[no-any-return]

    return run


@pytest.fixture
def dairy(tmp_path: Path) -> Path:
    text = '[dairy]\nname = "Test"\nzone = "UTC"\n[store]\npath = "d.sqlite"\n'
    text += '[[place]]\nname = "cave"\nkind = "cave"\n'
    text += '[[place]]\nname = "tub"\nkind = "tub"\n'
    text += '[place.brine]\nstrength = "20 %"\nvolume = "60 L"\ntemperature = 12\n'
    (tmp_path / "d.toml").write_text(text)
    return tmp_path / "d.toml"


def test_a_mix_balances_to_the_gram(asked) -> None:  # type: ignore[no-untyped-def]
    mixed = asked(
        "mix", "--water", "20 L", "--to", "20 %", "--calcium", "0.1 %",
        "--calcium-as", "33 % solution",
    )  # fmt: skip
    total = mixed["water_g"] + mixed["salt_g"] + mixed["calcium_g"]
    # figures in JSON are cut to six
    assert mixed["brine_g"] == pytest.approx(total, rel=1e-5)
    assert mixed["salt_g"] / total == pytest.approx(0.2, rel=1e-5)
    assert 0.33 * mixed["calcium_g"] / total == pytest.approx(0.001, rel=1e-5)


def test_a_wanted_volume_is_that_of_the_finished_brine(asked) -> None:  # type: ignore[no-untyped-def]
    mixed = asked("mix", "--volume", "60 L", "--to", "20 %", "--temperature", "12 degC")
    assert mixed["brine_l"] == pytest.approx(60.0, rel=1e-5)
    assert mixed["brine_g"] == pytest.approx(60.0 * density(20.0, 12.0), rel=1e-5)


def test_a_mix_says_how_far_from_saturated_two_and_a_quarter_pounds_are(call) -> None:  # type: ignore[no-untyped-def]
    said = call("brine", "mix", "--water", "4 gal", "--to", "2.25 lb/gal").output
    for words in ("21.3 g of salt in 100 g of brine", "often called 'saturated'", "four fifths"):
        assert words in said
    assert "9.00 lb" in said  # 4 x 2.25
    strong = call("brine", "mix", "--water", "5 gal", "--to", "saturated").output
    assert "100 % of what dissolves" in strong
    assert "often called" not in strong


def test_what_the_hydrometer_should_show_reads_as_the_strength_mixed(asked) -> None:  # type: ignore[no-untyped-def]
    mixed = asked("mix", "--water", "20 L", "--to", "18 %", "--temperature", "12 degC")
    shown = mixed["hydrometer_for_60f"]
    for text in (f"{shown['sg']} SG", f"{shown['baume']} Be", f"{shown['salometer']} salometer"):
        read = asked("read", text, "--temperature", "12 degC")
        assert read["strength_percent"]["expected"] == pytest.approx(18.0, abs=0.01)


def test_acid_always_says_that_only_a_meter_tells(call) -> None:  # type: ignore[no-untyped-def]
    plain = ("brine", "mix", "--water", "20 L", "--to", "20 %")
    assert "pH meter" not in call(*plain).output
    assert "only a pH meter tells" in call(*plain, "--acid", "vinegar 5 %", "--ph", "5.2").output


def test_cautions_stand_only_where_the_thing_is_used(call) -> None:  # type: ignore[no-untyped-def]
    plain = ("brine", "mix", "--water", "20 L", "--to", "20 %")
    assert "goggles" not in call(*plain).output
    calcium = ("--calcium", "0.1 %", "--calcium-as", "dihydrate")
    assert "goggles" in call(*plain, *calcium).output


def test_a_reading_has_a_range_and_its_temperature(asked, call) -> None:  # type: ignore[no-untyped-def]
    cold = asked("read", "1.151 SG", "--temperature", "4 degC")["strength_percent"]
    warm = asked("read", "1.151 SG", "--temperature", "20 degC")["strength_percent"]
    assert cold["low"] < cold["expected"] < cold["high"] < warm["low"]
    said = call("brine", "read", "1.151 SG", "--temperature", "12 degC").output
    assert "hydrometer made for 15.6 °C" in said


def test_readings_that_contradict_each_other_are_told_apart(call) -> None:  # type: ignore[no-untyped-def]
    said = call("brine", "read", "1.151 SG", "26 Bx", "--temperature", "12 degC").output
    assert "do not agree" in said
    agreed = call("brine", "read", "1.151 SG", "22.5 Bx", "--temperature", "12 degC").output
    assert "together" in agreed
    assert "do not agree" not in agreed


def test_what_is_read_can_be_entered(call, dairy: Path) -> None:  # type: ignore[no-untyped-def]
    found = call(
        "--config", str(dairy), "brine", "read", "1.14 SG", "--temperature", "12 degC",
        "--enter", "TUB",
    )  # fmt: skip
    assert found.exit_code == 0, found.output
    assert "entry 1: brine" in found.output
    status = call("--config", str(dairy), "status")
    assert "brine 18." in status.output


def test_restored_on_paper_the_tub_is_as_strong_as_wanted(asked) -> None:  # type: ignore[no-untyped-def]
    plan = asked(
        "restore", "--volume", "60 L", "--strength", "19 %", "--to", "20 %", "--batch", "12 kg",
        "--salt-percent", "1.8 %", "--face-salt", "60 g",
    )  # fmt: skip
    grams = {(step["when"], step["what"]): step["g"] for step in plan["steps"]}
    mass = 60.0 * density(19.0, 12.0)
    taken, given = 12_000.0 * 0.018, 12_000.0 * 0.018 * 2.25
    put = grams["now", "salt"]["expected"] + grams["on the face", "salt"]["expected"]
    salt = 0.19 * mass - taken + put
    assert salt / (mass - taken + given + put) == pytest.approx(0.2, rel=1e-5)
    assert grams["now", "salt"]["low"] < grams["now", "salt"]["high"]


def test_more_salt_goes_in_than_the_cheese_took(asked) -> None:  # type: ignore[no-untyped-def]
    plan = asked(
        "restore", "--volume", "60 L", "--strength", "20 %", "--to", "20 %", "--batch", "20 kg",
        "--style", "gouda", "--after",
    )  # fmt: skip
    taken = 20_000.0 * plan["batch_salt_percent"]["expected"] / 100.0
    assert plan["steps"][0]["g"]["expected"] > 1.2 * taken


def test_restored_calcium_balances_through_what_is_drawn_off(asked) -> None:  # type: ignore[no-untyped-def]
    plan = asked(
        "restore", "--volume", "60 L", "--strength", "19 %", "--to", "20 %", "--batch", "12 kg",
        "--style", "gouda", "--hold", "60 L", "--calcium", "0.1 %", "--calcium-as", "dihydrate",
        "--calcium-now", "0.05 %",
    )  # fmt: skip
    drawn = next(s["g"]["expected"] for s in plan["steps"] if s["what"] == "draw off")
    left = 0.0005 * (60.0 * density(19.0, 12.0) - drawn)
    put = plan["calcium_g"] * 110.98 / 147.01
    assert (left + put) / plan["end_g"] == pytest.approx(0.001, rel=1e-4)


def test_a_tub_is_restored_from_its_journal(call, dairy: Path) -> None:  # type: ignore[no-untyped-def]
    def run(*words: str) -> str:
        found = call("--config", str(dairy), *words)
        assert found.exit_code == 0, found.output
        return found.output  # type: ignore[no-any-return]

    assert "nothing: it is as strong" in run("brine", "restore", "tub")
    new = run("wheel", "new", "gouda", "--weight", "4 kg", "--count", "3", "--place", "tub")
    assert "tub takes about" in new
    assert "before it falls below 18 %" in new
    inside = run("brine", "restore", "tub")
    assert "12.0 kg of cheese, counted as lifted" in inside
    assert " to " in next(
        line for line in inside.splitlines() if "of salt" in line and "now" in line
    )
    run("wheel", "lift", "--in", "tub", "--to", "cave")
    plan = json.loads(run("brine", "restore", "tub", "--json"))
    assert plan["strength_percent"]["expected"] < 20.0
    assert plan["end_percent"] == pytest.approx(20.0, rel=1e-5)


def test_a_tub_that_cannot_take_the_batch_is_named(call, dairy: Path) -> None:  # type: ignore[no-untyped-def]
    found = call(
        "--config", str(dairy), "wheel", "new", "gouda", "--weight", "5 kg", "--count", "40",
        "--place", "tub",
    )  # fmt: skip
    assert found.exit_code == 0, found.output
    assert "tub falls below 18 % before these are done" in found.output


def test_a_wheel_in_a_cave_says_nothing_of_brine(call, dairy: Path) -> None:  # type: ignore[no-untyped-def]
    words = ("wheel", "new", "gouda", "--place", "cave", "--salted-already")
    assert "falls below" not in call("--config", str(dairy), *words).output


def test_properties_have_their_units_in_their_names(asked) -> None:  # type: ignore[no-untyped-def]
    found = asked("properties", "--strength", "20 %", "--temperature", "12 degC")
    assert set(found) == {
        "strength_percent", "saturation_percent", "share_of_saturation_percent", "density_kg_m3",
        "sg_60_60", "baume",
        "salometer", "grams_per_litre", "freezing_point_c", "water_activity", "temperature_c",
        "notes",
    }  # fmt: skip
    # CoolProp's MNA fluid at 12 degC and 20 %: 1151.9 kg/m3
    assert found["density_kg_m3"] == pytest.approx(1151.9, abs=0.5)


def test_properties_say_where_a_scale_ends(call) -> None:  # type: ignore[no-untyped-def]
    said = call("brine", "properties", "--strength", "saturated", "--temperature", "20 degC").output
    assert "above 100" in said
    assert "not before salt settles" in said


def test_every_brine_command_of_the_readme_runs(call, dairy: Path) -> None:  # type: ignore[no-untyped-def]
    dairy.write_text(dairy.read_text().replace('"tub"\nkind', '"brine tub"\nkind'))
    section = README.read_text().split("## Brine\n")[1].split("```")[1]
    lines = [line for line in section.splitlines() if line.startswith("cavewatch brine")]
    named = set()
    for line in lines:
        words = shlex.split(line)[1:]
        found = call("--config", str(dairy), *words)
        assert found.exit_code == 0, f"{line}\n{found.output}"
        named.add(words[1])
    assert named == set(brine.commands)


MIX = ("mix", "--water", "20 L")
READ = ("read", "--temperature", "12 degC")
RESTORE = ("restore", "--volume", "60 L", "--strength", "19 %")


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("mix", "--to", "20 %"), "say how much"),
        ((*MIX, "--to", "20"), "what kind of strength"),
        ((*MIX, "--to", "250 g/L"), "may mean water or brine"),
        ((*MIX, "--to", "26.5 %", "--temperature", "4 degC"), "more than dissolves at 4 degC"),
        ((*MIX, "--to", "20 %", "--calcium", "0.1 %"), "calcium takes two options"),
        ((*MIX, "--to", "20 %", "--acid", "vinegar"), "acid takes two options"),
        ((*MIX, "--to", "20 %", "--acid", "vinegar", "--ph", "3.5"), "from 4 to 6.5"),
        ((*MIX, "--to", "20 %", "--alkalinity", "7 dKH"), "acid takes two options"),
        ((*MIX, "--to", "20 %", "--acid", "vinegar", "--ph", "nan"), "cannot be read"),
        (
            (*MIX, "--to", "26 %", "--calcium", "5 %", "--calcium-as", "anhydrous"),
            "more than dissolves at 20 degC beside 5 % calcium chloride, 25.13 %",
        ),
        (
            (*MIX, "--to", "20 %", "--calcium", "0 %", "--calcium-as", "anhydrous"),
            "leave --calcium out",
        ),
        ((*MIX, "--to", "20 %", "--temperature", "80 degC"), "from 0 to 60"),
        ((*READ, "20"), "names no instrument"),
        ((*READ, "1.3 SG"), "beyond saturated salt at 12 degC"),
        ((*READ, "0.9 SG"), "below water without salt"),
        (("read", "1.15 SG"), "--temperature '12 degC'"),
        (("read", "20 Bx", "--temperature", "4 degC"), "between 10 and 30 degC"),
        ((*RESTORE,), "how strong it shall be"),
        ((*RESTORE, "--to", "20 %", "--batch", "5 kg"), "a batch takes two options"),
        ((*RESTORE, "--to", "20 %", "--batch", "5 kg", "--style", "moon"), "there is no style"),
        (
            (*RESTORE, "--to", "20 %", "--calcium", "0.1 %", "--calcium-as", "dihydrate"),
            "--calcium-now '0.05 %'",
        ),
        ((*RESTORE, "--to", "20 %", "--face-salt", "60 g"), "add --batch"),
        ((*RESTORE, "--to", "20 %", "--acid", "vinegar", "--ph", "5.2"), "add --ph-now 5.8"),
        (("restore", "tub"), "there is no config at"),
        (
            ("properties", "--strength", "20 %", "--temperature", "70 degC"),
            "from 0 to 60",
        ),
    ],
)
def test_a_mistake_is_one_sentence_that_says_what_to_write(call, words, said) -> None:  # type: ignore[no-untyped-def]
    found = call("brine", *words)
    assert found.exit_code == 1
    assert said in found.output
    assert "Traceback" not in found.output
    assert len(found.output.strip().splitlines()) == 1


def test_a_restored_brine_with_calcium_and_acid_is_on_target_on_paper(asked) -> None:  # type: ignore[no-untyped-def]
    found = asked(
        *RESTORE, "--to", "20 %", "--hold", "60 L", "--calcium", "1 %", "--calcium-as",
        "dihydrate", "--calcium-now", "0 %", "--acid", "vinegar", "--ph", "5.2", "--ph-now", "5.8",
    )  # fmt: skip
    start = 60 * density(19.0, 12.0)
    steps = {each["what"]: each["g"]["expected"] for each in found["steps"]}
    kept = start - steps["draw off"]
    assert found["acid_g"]["expected"] > 0
    brought = found["calcium_g"] + found["acid_g"]["expected"]
    end = kept + steps["salt"] + brought
    assert (0.19 * kept + steps["salt"]) / end == pytest.approx(0.2, rel=1e-5)
    assert found["calcium_g"] * 0.7549 / end == pytest.approx(0.01, rel=1e-4)


def test_acid_for_used_brine_says_what_whey_does(call) -> None:  # type: ignore[no-untyped-def]
    words = ("brine", *RESTORE, "--to", "19 %", "--acid", "lactic", "--ph", "5,2", "--ph-now")
    said = call(*words, "5.8").output
    assert "only a pH meter tells" in said
    assert "whey" in said
    assert "nothing: it is at pH 5" in call(*words, "5").output


def test_strong_acid_carries_its_caution(call) -> None:  # type: ignore[no-untyped-def]
    words = ("brine", *MIX, "--to", "20 %", "--ph", "5.2", "--acid")
    assert "burns skin and eyes" in call(*words, "lactic 88 %").output
    assert "burns skin and eyes" not in call(*words, "vinegar 5 %").output


def test_the_guide_gives_no_verdict_on_cheese(call) -> None:  # type: ignore[no-untyped-def]
    said = " ".join(call("brine", "guide", "gas").output.split())
    assert "None of this says that a cheese is fit to eat" in said


def test_an_unknown_volume_of_a_tub_points_to_its_life(call, dairy: Path) -> None:  # type: ignore[no-untyped-def]
    tub = ("--config", str(dairy), "brine")
    drawn = call(*tub, "tended", "tub", "drawn-off", "--draw-off", "500 kg", "--by", "MK")
    assert drawn.exit_code == 0
    assert "'cavewatch brine life \"tub\"' tells" in call(*tub, "restore", "tub").output


def test_calcium_that_is_there_is_said_as_it_is(call) -> None:  # type: ignore[no-untyped-def]
    words = ("--to", "20 %", "--calcium", "0.1 %", "--calcium-as", "dihydrate", "--calcium-now")
    assert "nothing: 0.2 % CaCl2 is in it" in call("brine", *RESTORE, *words, "0.2 %").output


def test_salt_is_spoken_of_only_where_some_goes_in(call) -> None:  # type: ignore[no-untyped-def]
    assert "food-grade salt" in call("brine", *RESTORE, "--to", "20 %").output
    assert "food-grade salt" not in call("brine", *RESTORE, "--to", "19 %").output


def test_saturated_brine_with_calcium_holds_less_salt(asked) -> None:  # type: ignore[no-untyped-def]
    words = ("mix", "--water", "10 kg", "--to", "saturated")
    plain = asked(*words)
    with_it = asked(*words, "--calcium", "2 %", "--calcium-as", "anhydrous")
    assert with_it["salt_g"] == pytest.approx(plain["salt_g"], rel=1e-5)
    assert with_it["share_of_saturation_percent"] == pytest.approx(100.0)
    assert with_it["hydrometer_for_60f"]["sg"] > plain["hydrometer_for_60f"]["sg"] + 0.01


def test_calcium_is_taken_out_of_a_hydrometer_only(call) -> None:  # type: ignore[no-untyped-def]
    words = ("brine", *READ, "--calcium", "0.5 %")
    assert "a refractometer and a dried sample are high" in call(*words, "22 Bx").output
    assert "refractometer" not in call(*words, "20 Be").output


def test_an_entered_strength_is_said_by_weight(call, dairy: Path) -> None:  # type: ignore[no-untyped-def]
    tub = ("--config", str(dairy), "brine")
    said = call(*tub, "measured", "tub", "2.25 lb/gal", "--by", "MK").output
    assert "which is 21.3 % by weight" in said
    mixed = call(*tub, "tended", "tub", "mixed", "--strength", "19 Be", "--by", "MK").output
    assert "which is 19.9 % by weight" in mixed


@pytest.mark.parametrize(
    ("option", "typed", "said"),
    [
        ("--ph", "nan", "cannot be read"),
        ("--ph", "12", "no pH of a brine"),
        ("--temperature", "500 degC", "no temperature of a brine"),
    ],
)
def test_a_slip_is_not_entered(call, dairy: Path, option: str, typed: str, said: str) -> None:  # type: ignore[no-untyped-def]
    found = call("--config", str(dairy), "brine", "measured", "tub", option, typed, "--by", "MK")
    assert found.exit_code == 1
    assert said in found.output


def test_entering_and_json_exclude_each_other(call, dairy: Path) -> None:  # type: ignore[no-untyped-def]
    words = ("brine", "read", "1.15 SG", "--temperature", "12 degC", "--enter", "tub", "--json")
    found = call("--config", str(dairy), *words)
    assert found.exit_code == 1
    assert "give one of the two" in found.output


def test_a_cave_has_no_brine_to_restore(call, dairy: Path) -> None:  # type: ignore[no-untyped-def]
    found = call("--config", str(dairy), "brine", "restore", "cave")
    assert found.exit_code == 1
    assert "cave is no tub" in found.output
