"""The registry of commands: footer, page of keys, key table."""

from itertools import combinations
from pathlib import Path

import pytest

from cavewatch.screens.commands import COMMANDS, command_of, commands
from cavewatch.screens.keys import (
    MOVES,
    command_at,
    footer,
    key_items,
    key_table,
    ordered,
    pages,
)
from cavewatch.screens.lines import text_of, width_of
from cavewatch.screens.pages import PAGES
from cavewatch.screens.where import DIGITS, Where

README = Path(__file__).parents[2] / "README.md"


def test_no_key_has_two_meanings_on_one_page() -> None:
    for one, other in combinations(COMMANDS, 2):
        assert one.key != other.key or not one.pages & other.pages, one.key


def test_every_page_is_reached_by_its_digit_and_names_only_commands_that_it_has() -> None:
    assert set(PAGES) == set(Where)
    assert [DIGITS[digit] for digit in "12345678"] == list(Where)[:8]
    for where, page in PAGES.items():
        for key in page.first:
            assert command_of(key, where, replay=True) is not None, (where, key)


@pytest.mark.parametrize("replay", [True, False])
@pytest.mark.parametrize("where", Where)
@pytest.mark.parametrize("width", [20, 38, 78, 118, 300])
def test_the_footer_fits_and_leads_to_all_keys(width: int, where: Where, replay: bool) -> None:
    line = footer(ordered(where, replay, PAGES[where].first), width)
    assert width_of(line) <= width
    if where is not Where.KEYS:
        assert text_of(line).rstrip().endswith("? all keys")


def test_a_footer_that_leaves_keys_out_says_so() -> None:
    shown = ordered(Where.HOME, True, ())
    assert "… ? all keys" in text_of(footer(shown, 78))
    words = text_of(footer(shown, 500))
    assert "…" not in words
    assert all(f"{command.shown} {command.label}" in words for command in shown)


def test_the_digits_stand_in_a_line_of_their_own() -> None:
    assert text_of(footer(pages(Where.WHEEL, False), 100)).split() == [
        "1", "home", "2", "place", "3", "wheel", "4", "tub", "5", "planner", "6", "alarms",
        "7", "due", "8", "journal",
    ]  # fmt: skip


def test_what_a_page_is_used_for_comes_first() -> None:
    shown = ordered(Where.TUB, False, ("b", "t", "absent"))
    assert [command.key for command in shown[:2]] == ["b", "t"]
    assert {command.key for command in shown} | set(DIGITS) == {
        command.key for command in commands(Where.TUB, False)
    }


def test_a_live_dashboard_has_no_replay_keys() -> None:
    assert not any(command.replay for command in commands(Where.HOME, replay=False))
    assert command_of("x", Where.HOME, replay=False) is None


def test_every_cell_of_the_footer_is_its_command() -> None:
    shown = ordered(Where.HOME, False, ())
    words = text_of(footer(shown, 78))
    found = 0
    for command in shown:
        at = words.find(f"{command.shown} {command.label}  ")
        if at >= 0:
            found += 1
            assert command_at(shown, 78, at) is command
    assert found > 3
    assert command_at(shown, 78, 77) is None


@pytest.mark.parametrize("where", Where)
def test_the_page_of_keys_holds_every_key_of_a_page(where: Where) -> None:
    items = {item.key: text_of(item.lines[0]) for item in key_items(where, True, 200)}
    for command in commands(where, True):
        assert items[command.key].split(None, 1) == [command.shown, command.help]
    assert all(shown in items for shown, _ in MOVES)


def test_the_page_of_keys_fits_a_narrow_screen() -> None:
    lines = [line for item in key_items(Where.HOME, True, 33) for line in item.lines]
    assert max(width_of(line) for line in lines) <= 33


def test_the_readme_has_the_table_of_keys() -> None:
    for command in COMMANDS:
        assert f"| `{command.shown}` | {command.help}" in key_table()
    assert key_table() in README.read_text(encoding="utf-8")
