"""Notices and the heartbeat in the config: what they mean, and what may be mistaken in them."""

from pathlib import Path

import pytest

from cavewatch.config import Config, ConfigError, parse
from cavewatch.core.alarms.alarm import Priority
from cavewatch.core.notices import Heartbeat, Notice, Quiet

DAIRY = """\
[dairy]
name = "A dairy"
zone = "UTC"
[[place]]
name = "cave"
kind = "cave"
"""
PHONE = '[[notice]]\nname = "phone"\n'
RING = PHONE + 'command = ["ring", "{what}"]\n'


def read(text: str) -> Config:
    return parse(DAIRY + text, Path("c.toml"))


def faults(text: str) -> list[str]:
    with pytest.raises(ConfigError) as caught:
        read(text)
    return list(caught.value.faults)


def test_a_dairy_has_no_notices_and_a_bell_unless_it_says_otherwise() -> None:
    config = read("")
    assert (config.notices, config.heartbeat, config.bell) == ((), None, True)
    silent = DAIRY.replace("[[place]]", "bell = false\n[[place]]")
    assert parse(silent, Path("c.toml")).bell is False


def test_a_notice_tells_all_but_low_alarms_at_once_and_each_hour() -> None:
    both = frozenset({Priority.MEDIUM, Priority.HIGH})
    assert read(RING).notices == (Notice("phone", ("ring", "{what}"), "", both, 0.0, 3600.0),)


def test_every_key_of_a_notice_is_read() -> None:
    text = PHONE + (
        'url = "mailto://a:b@c.example"\npriorities = ["high"]\nafter = "5 min"\nrepeat = 0\n'
        'quiet_hours = "22:00 - 6:30"\nquiet_priorities = []\n'
    )
    high, none = frozenset({Priority.HIGH}), frozenset[Priority]()
    wanted = Notice("phone", (), "mailto://a:b@c.example", high, 300.0, 0.0, Quiet(1320, 390, none))
    assert read(text).notices == (wanted,)


def test_high_alarms_call_in_quiet_hours_unless_it_is_said_otherwise() -> None:
    [notice] = read(RING + 'quiet_hours = "22:00-06:00"\n').notices
    assert notice.quiet == Quiet(1320, 360, frozenset({Priority.HIGH}))


def test_a_heartbeat_is_a_file_or_a_command_or_both() -> None:
    text = '[heartbeat]\nfile = "alive"\ncommand = ["ping", "x"]\nevery = "1 min"\n'
    assert read(text).heartbeat == Heartbeat("alive", ("ping", "x"), 60.0)
    assert read('[heartbeat]\nfile = "alive"\n').heartbeat == Heartbeat("alive", (), 300.0)


@pytest.mark.parametrize(
    ("text", "line", "words"),
    [
        (PHONE, 7, 'this key or "url" is missing'),
        (RING + 'url = "json://x"\n', 10, "has a command already; keep one"),
        (RING + RING.replace("phone", "PHONE"), 11, "name of the notice on line 8 already"),
        (PHONE + 'command = "ring loud"\n', 9, "each argument as a text of its own"),
        (PHONE + "command = []\n", 9, "is not a command"),
        (PHONE + 'command = ["ring", 7]\n', 9, "is not a command"),
        (PHONE + 'command = ["ring", "{waht}"]\n', 9, "'{waht}' stands for nothing; did you mean"),
        (PHONE + 'command = ["ring", "{xxxxx}"]\n', 9, "write one of dairy, kind, title"),
        (PHONE + 'command = ["{what}"]\n', 9, "only arguments may have one"),
        (PHONE + 'command = ["ring", "\\u001b[2J"]\n', 9, "has control characters"),
        (PHONE + 'url = "somewhere"\n', 9, "not the address of a service"),
        (RING + "priorities = []\n", 10, "not a list of priorities"),
        (RING + 'priorities = ["hihg"]\n', 10, "write low, medium or high; did you mean 'high'?"),
        (RING + 'repeat = "10 s"\n', 10, "10 s is too often; write 60 s or more, or 0 for once"),
        (RING + 'quiet_hours = "22-6"\n', 10, "names no hours"),
        (RING + 'quiet_hours = "22:00-24:00"\n', 10, "names no hours"),
        (RING + 'quiet_hours = "06:00-6:00"\n', 10, "begins when it ends"),
        ("[heartbeat]\n", 7, 'this key or "command" is missing'),
        ('[heartbeat]\ncommand = "ping"\n', 8, "is not a command"),
    ],
)
def test_a_mistake_is_named_with_its_line(text: str, line: int, words: str) -> None:
    [fault] = faults(text)
    assert fault.startswith(f"c.toml, line {line}: "), fault
    assert words in fault


def test_braces_around_anything_else_are_left_alone() -> None:
    [notice] = read(PHONE + "command = ['post', '{\"text\": \"{what}\"}']\n").notices
    assert notice.command[1] == '{"text": "{what}"}'


def test_a_url_with_its_password_is_never_repeated() -> None:
    found = faults(PHONE + 'url = "mailto: me:SECRET@x"\n')
    assert "SECRET" not in "\n".join(found)
