"""Keys in words: the line at the bottom, the page of all keys, the README's table."""

from collections.abc import Sequence

from cavewatch.screens.commands import COMMANDS, Command, commands
from cavewatch.screens.lines import Item, Line, Part, Role, pad, width_of, wrap
from cavewatch.screens.where import DIGITS, EVERYWHERE, Where

MOVES = (
    ("↑ ↓ k j", "Move the cursor in a list, or scroll"),
    ("pgup pgdn", "Move further"),
    ("home end", "Go to the first or the last"),
    ("tab", "Go to the next list of a page"),
    ("enter", "Open what is under the cursor; a click does the same"),
    ("ctrl+s", "Write down what is in a form; enter does the same in a field"),
    ("ctrl+p", "Find a command by its name"),
    ("ctrl+q", "Leave from anywhere"),
)
"""Keys that are no commands."""

_MORE = Part("… ", Role.FAINT)
"""Stands before the last key where others are left out."""


def ordered(where: Where, replay: bool, first: Sequence[str]) -> tuple[Command, ...]:
    """The commands of a page as its footer shows them: those it is mostly used for first."""
    every = commands(where, replay)
    known = {command.key: command for command in every}
    front = [known[key] for key in first if key in known]
    return *front, *(c for c in every if c not in front and c.key not in DIGITS)


def pages(where: Where, replay: bool) -> tuple[Command, ...]:
    """The commands that lead to the pages, for a line of their own."""
    return tuple(c for c in commands(where, replay) if c.key in DIGITS)


def footer(shown: Sequence[Command], width: int) -> Line:
    """As many keys with their labels as fit, the last always among them."""
    return tuple(part for _, line in _fitting(shown, width) for part in line)


def command_at(shown: Sequence[Command], width: int, x: int) -> Command | None:
    """The command that stands in this cell of the footer."""
    end = 0
    for command, line in _fitting(shown, width):
        end += width_of(line)
        if x < end:
            return command
    return None


def _fitting(shown: Sequence[Command], width: int) -> list[tuple[Command, Line]]:
    *most, last = ((command, key(command)) for command in shown)
    if width_of(part for _, line in (*most, last) for part in line) <= width:
        return [*most, last]
    left = width - width_of((_MORE, *last[1]))
    kept = []
    for command, line in most:
        left -= width_of(line)
        if left < 0:
            break
        kept.append((command, line))
    return [*kept, (last[0], (_MORE, *last[1]))]


def key(command: Command) -> Line:
    """A key with its label."""
    return Part(command.shown, Role.STRONG), Part(f" {command.label}  ", Role.FAINT)


def key_items(where: Where, replay: bool, width: int) -> list[Item]:
    """All keys of a page and what they do, each to be given from here; then the others."""
    given = [(c.key, c.shown, c.help) for c in commands(where, replay)]
    named = {shown for _, shown, _ in given}
    rows = [*given, *(("", shown, words) for shown, words in MOVES if shown not in named)]
    column = 2 + max(len(shown) for _, shown, _ in rows)
    return [
        Item(
            name or shown,
            tuple(
                (Part(pad(shown if index == 0 else "", column), Role.STRONG), Part(text))
                for index, text in enumerate(wrap(words, width - column))
            ),
        )
        for name, shown, words in rows
    ]


def key_table() -> str:
    """All keys as a table in Markdown."""
    rows = [(c.shown, c.help + _only(c)) for c in COMMANDS]
    body = "\n".join(f"| `{shown}` | {words} |" for shown, words in [*rows, *MOVES])
    return f"| key | what it does |\n| --- | --- |\n{body}\n"


def _only(command: Command) -> str:
    """Where a command can be given, unless that is nearly everywhere."""
    if command.replay:
        return " (replay)"
    few = len(command.pages) <= len(EVERYWHERE) // 2
    return f" ({', '.join(w for w in Where if w in command.pages)})" if few else ""
