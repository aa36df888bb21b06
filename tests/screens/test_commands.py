"""The registry of commands: footer, help and key table."""

import pytest

from cavewatch.screens.commands import (
    COMMANDS,
    MOVES,
    command_at,
    commands,
    footer,
    help_lines,
    key_table,
)
from cavewatch.screens.lines import text_of, width_of


def test_no_two_commands_share_a_key() -> None:
    assert len({command.key for command in COMMANDS}) == len(COMMANDS)


@pytest.mark.parametrize("replay", [True, False])
@pytest.mark.parametrize("width", [20, 38, 78, 118, 300])
def test_the_footer_fits_and_always_leads_to_the_help(width: int, replay: bool) -> None:
    line = footer(replay, width)
    assert width_of(line) <= width
    assert text_of(line).rstrip().endswith("? help")


def test_a_wide_footer_shows_all_keys() -> None:
    words = text_of(footer(True, 400))
    assert all(f"{command.shown} {command.label}" in words for command in COMMANDS)


def test_a_live_dashboard_has_no_replay_keys() -> None:
    assert not any(command.replay for command in commands(replay=False))
    assert "pause" not in text_of(footer(False, 400))


def test_every_cell_of_the_footer_is_its_command() -> None:
    words = text_of(footer(False, 78))
    for command in commands(False):
        at = words.find(f"{command.shown} {command.label}  ")
        if at >= 0:
            assert command_at(False, 78, at) is command
    assert command_at(False, 78, 77) is None


def test_the_help_and_the_table_hold_every_key() -> None:
    helped = "\n".join(text_of(line) for line in help_lines(True, 200))
    table = key_table()
    for command in COMMANDS:
        assert command.help in helped
        assert f"| `{command.shown}` | {command.help}" in table
    for shown, words in MOVES:
        assert words in helped
        assert f"| `{shown}` | {words} |" in table


def test_the_help_fits_a_narrow_screen() -> None:
    assert max(width_of(line) for line in help_lines(True, 33)) <= 33
