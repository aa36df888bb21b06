"""What a config says of alarms: how sensitive they are, and what they say."""

import re
from pathlib import Path

import pytest

from cavewatch.config import ConfigError, parse, shipped
from cavewatch.core.alarms.alarm import Priority
from cavewatch.core.alarms.limits import Side, tuning
from cavewatch.core.alarms.texts import Text
from cavewatch.core.place import PlaceKind
from cavewatch.core.reading import Channel, Quantity
from cavewatch.core.signal.health import Why
from cavewatch.core.text import VALUE
from cavewatch.styles import load as book

HEAD = """\
[dairy]
name = "A dairy"
zone = "UTC"
[[place]]
name = "cave"
kind = "cave"
"""
WARMTH = Channel("cave", Quantity.TEMPERATURE)


def faults(text: str) -> list[str]:
    with pytest.raises(ConfigError) as caught:
        parse(HEAD + text, Path("c.toml"))
    return list(caught.value.faults)


def test_without_a_word_of_alarms_they_are_as_shipped() -> None:
    config = parse(HEAD, Path("c.toml"))
    assert config.alarm_texts == shipped()
    assert config.tunings == {}


def test_a_tuning_keeps_the_starting_values_of_what_it_leaves_out() -> None:
    config = parse(HEAD + '[tuning."cave.temperature"]\nhigh_high = "68 degF"\n', Path("c.toml"))
    start = tuning(PlaceKind.CAVE, Quantity.TEMPERATURE)
    tuned = config.tunings[WARMTH]
    assert tuned.high_high == pytest.approx(20.0)
    assert (tuned.deadband, tuned.on_delay, tuned.rate) == (
        start.deadband,
        start.on_delay,
        start.rate,
    )


def test_a_rate_of_nothing_switches_its_alarm_off() -> None:
    config = parse(HEAD + '[tuning."cave.temperature"]\nrate = 0\n', Path("c.toml"))
    assert config.tunings[WARMTH].rate is None


def test_faults_of_tunings_are_all_named_with_their_lines() -> None:
    found = faults(
        '[tuning."cave.temperature"]\n'
        "low_low = 20\n"
        "high_high = 5\n"
        'on_delay = "3 weeks"\n'
        "drift = 1\n"
        "deadbnd = 3\n"
        '[tuning."cav.humidity"]\n'
        "deadband = -1\n"
        "[tuning.cave]\n"
    )
    for line, words in [
        (8, "low_low: 20 is not below high_high, 5"),
        (10, "on_delay: '3 weeks'"),
        (11, "drift: 1 is neither true nor false"),
        (12, "deadbnd: there is no such key; did you mean 'deadband'?"),
        (13, "there is no place 'cav'; did you mean 'cave'?"),
        (14, "deadband: -1 is out of range"),
        (15, "'cave' names no channel"),
    ]:
        assert any(f"line {line}: " in fault and words in fault for fault in found), (words, found)


def test_a_text_changes_only_what_is_written() -> None:
    text = '[alarm_text."lift late"]\naction = "lift, at {12 degC}"\npriority = "medium"\n'
    said = parse(HEAD + text, Path("c.toml")).alarm_texts["lift late"]
    assert (said.action, said.priority) == ("lift, at {12 degC}", Priority.MEDIUM)
    assert said.consequence == shipped()["lift late"].consequence


def test_faults_of_texts_are_all_named_with_their_lines() -> None:
    found = faults(
        '[alarm_text."humidity lo"]\n'
        'word = "dry"\n'
        '[alarm_text."humidity low"]\n'
        'action = "\\u001b[31mrun"\n'
        'causes = "a {door}"\n'
        'respond = "2 years"\n'
        '[alarm_text."humidity low".wheels]\n'
        'guoda = "it cracks"\n'
        "brie = 3\n"
    )
    for line, words in [
        (7, "there is no such alarm; did you mean 'humidity low'?"),
        (10, "has control characters"),
        (11, "a brace stands in it that holds no value; write such as {12 degC}, {2 K} or {9 g}"),
        (12, "respond: '2 years'"),
        (14, "there is no such style or family; did you mean 'gouda'?"),
        (15, "3 is not a text"),
    ]:
        assert any(f"line {line}: " in fault and words in fault for fault in found), (words, found)
    assert all(fault.isprintable() for fault in found)


def test_faulty_styles_do_not_make_the_texts_faulty_too() -> None:
    found = faults('[style.gouda]\nsalt = 90\n[alarm_text."humidity low".wheels]\ngouda = "x"\n')
    assert not any("alarm_text" in fault for fault in found)


def test_every_alarm_that_can_be_raised_has_a_text() -> None:
    texts = shipped()
    for side in Side:
        assert {f"temperature {side}", f"humidity {side}", f"brine temperature {side}"} <= set(
            texts
        )
    for trend in ("drift", "rate", "forecast"):
        assert {f"temperature {trend}", f"humidity {trend}", f"brine temperature {trend}"} <= set(
            texts
        )
    assert {f"signal {why}" for why in Why} <= set(texts)


def test_the_shipped_texts_name_families_of_the_style_book_only() -> None:
    styles = book()
    known = {*styles, *(style.family for style in styles.values())}
    named = {name for text in shipped().values() for name in text.wheels}
    assert named <= known


def test_the_limits_of_air_tell_every_family_what_dry_and_warm_do_to_it() -> None:
    families = {style.family for style in book().values()}
    assert families == set(shipped()["temperature high"].wheels)
    # Brined cheese lies in its liquid, whatever the air.
    assert families - {"brined"} == set(shipped()["humidity low"].wheels)


def test_shipped_texts_show_no_temperature_outside_of_braces_and_call_nothing_safe() -> None:
    for kind, text in shipped().items():
        for words in (text.causes, text.consequence, text.action, *text.wheels.values()):
            assert not re.search(r"°|degC|degF", VALUE.sub("", words)), kind
            assert "safe" not in words.casefold(), kind


@pytest.mark.parametrize("text", shipped().values(), ids=shipped())
def test_no_shipped_text_leaves_anything_unsaid(text: Text) -> None:
    assert all((text.word, text.causes, text.consequence, text.action))
    assert text.priority in Priority
    assert text.respond > 0


def test_most_shipped_alarms_are_low_and_few_are_high() -> None:
    priorities = [text.priority for text in shipped().values()]
    assert priorities.count(Priority.LOW) > len(priorities) / 2
    assert priorities.count(Priority.HIGH) < len(priorities) / 5
